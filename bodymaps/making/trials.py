"""The drawings the ranking is tested with, and how it does on each of them.

Every muscle is drawn from its own pattern by two noise models (redraw, redraw_second), on either side. Seeds
are the names of model, muscle and number: the same atlas and numbers give the same results.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import inf

import numpy as np

from bodymaps import alike, atlas, geometry, grid, matching, notices, overlap, skin
from bodymaps.atlas import Muscle, Site
from bodymaps.candidates import PATTERN
from bodymaps.counted import Drawing, count
from bodymaps.grid import Cells
from bodymaps.making import plain, redraw, redraw_second
from bodymaps.making.plain import Line
from bodymaps.marks import Mark
from bodymaps.skin import MIDLINE_X

# By what each model does to a pattern: bends its area, or lays strokes over it.
MODELS = ("bent", "strokes")
DRAWINGS = 50
# Of these so many are drawn a second time.
REDRAWN = 20
PAIRS = 200
# Body parts (groups of muscles) that lie beside each other.
NEXT = {
    "head_neck": ("jaw", "shoulder_girdle", "back"),
    "shoulder_girdle": ("arm", "chest", "back"),
    "arm": ("forearm",),
    "forearm": ("hand",),
    "chest": ("abdomen", "back"),
    "back": ("abdomen", "hip"),
    "abdomen": ("pelvis",),
    "pelvis": ("hip",),
    "hip": ("thigh",),
    "thigh": ("leg",),
    "leg": ("foot",),
}


@dataclass(frozen=True)
class Trial:
    """One drawing of a muscle. `ranks` by index: its place (1 the first, 0 for none). `before`: the muscles
    before it by the shipped score. `like_pattern`: Jaccard index of the drawing and the site it is made from.
    Of those drawn twice: `like_other`, the Jaccard index of both drawings, `edges_mm`, how far apart their
    edges lie at their worst, and by index whether the first
    stays the first (`same_first`) and at least two of the first three stay among them (`same_three`).
    """

    muscle: str
    group: str
    site: str
    drawn_mm2: float
    ranks: Mapping[str, int]
    before: tuple[str, ...]
    like_pattern: float
    like_other: float | None
    edges_mm: float | None
    same_first: Mapping[str, bool]
    same_three: Mapping[str, bool]


@dataclass(frozen=True)
class PairTrial:
    """Two muscles drawn together: how many of both are in the smallest set (`alike`: or one of the same area
    in its place; `told`: or named as what would do in the place of one), how many parts the set has and what
    share it explains.
    """

    first: str
    second: str
    found: int
    alike: int
    told: int
    parts: int
    share: float


def muscle_trials(model: str, muscle_id: str, drawings: int = DRAWINGS, again: int = REDRAWN) -> list[Trial]:
    """The drawings of one muscle by one model; the first `again` of them are drawn twice."""
    muscle = atlas.load().muscles[muscle_id]
    return [
        _trial(muscle, model, random.Random(f"{model} {muscle_id} {number}"), number < again)  # noqa: S311
        for number in range(drawings)
    ]


def _trial(muscle: Muscle, model: str, dice: random.Random, twice: bool) -> Trial:
    site, side = site_of(muscle, dice), dice.choice(atlas.SIDES)
    drawings = [on_side(marks, side) for marks in _drawings(site, model, dice, 2 if twice else 1)]
    orders = [lines(marks) for marks in drawings]
    found = orders[0][plain.SHIPPED]
    rank = place((muscle.id, side), found)
    drawn, *other = (cells(marks) for marks in drawings)
    return Trial(
        muscle=muscle.id,
        group=muscle.group,
        site=site.id,
        drawn_mm2=grid.CELL_MM2 * len(drawn),
        ranks={metric: place((muscle.id, side), order) for metric, order in orders[0].items()},
        before=tuple(name for name, _ in (found[: rank - 1] if rank else found[:5])),
        like_pattern=jaccard(drawn, _site_cells(muscle.id, site.id, side)),
        like_other=jaccard(drawn, other[0]) if other else None,
        edges_mm=_edges_apart(*drawings) if twice else None,
        same_first={metric: _same_first(*(one[metric] for one in orders)) for metric in orders[0]}
        if twice
        else {},
        same_three={metric: _same_three(*(one[metric] for one in orders)) for metric in orders[0]}
        if twice
        else {},
    )


def _edges_apart(one: Sequence[Mark], other: Sequence[Mark]) -> float | None:
    """The Hausdorff distance (mm) of two drawings of one pain, the greater of the views both show."""
    first, second = (
        {mark.view: geometry.unite(m.area for m in marks if m.view == mark.view) for mark in marks}
        for marks in (one, other)
    )
    both = [overlap.hausdorff_mm(first[view], second[view]) for view in first.keys() & second.keys()]
    return max((far for far in both if far != inf), default=None)


def site_of(muscle: Muscle, dice: random.Random) -> Site:
    """One of the sites, by how common it is."""
    return dice.choices(muscle.sites, [redraw.COMMON[site.how_common] for site in muscle.sites])[0]


def _drawings(site: Site, model: str, dice: random.Random, count: int) -> list[list[Mark]]:
    """One patient's pain, drawn so often. The second model knows no patient: it draws all anew."""
    if model == "strokes":
        return [redraw_second.redrawn(site.zones, dice) for _ in range(count)]
    patient = redraw.patient(site.zones, dice)
    return [patient.drawn() for _ in range(count)]


def on_side(marks: Sequence[Mark], side: str) -> list[Mark]:
    """Marks that were drawn for the right side, for the side asked for."""
    if side == "right":
        return list(marks)
    return [Mark(mark.view, mark.kind, geometry.mirrored(mark.area, MIDLINE_X)) for mark in marks]


def lines(marks: Sequence[Mark]) -> dict[str, list[Line]]:
    """The ranking of a drawing by each index. What the product would not rank (a dot) has no line.

    As `matching.rank`, without its reasons, roots and notices, which take half of the time.
    """
    numbers, skin_ = matching.parameters(), skin.load()
    index = matching.index(atlas.load(), skin_)
    drawn = Drawing.of(marks, index.grid)
    if notices.instead_of_ranking(marks, True, bool(len(drawn.cells)), skin_, numbers):
        return {metric: [] for metric in plain.METRICS}
    return plain.orders(count(drawn, index, numbers.costs))


def place(line: Line, order: Sequence[Line]) -> int:
    """The place of a line, 1 for the first, 0 when it is not there."""
    return order.index(line) + 1 if line in order else 0


def _same_first(one: Sequence[Line], other: Sequence[Line]) -> bool:
    return bool(one) and one[:1] == other[:1]


def _same_three(one: Sequence[Line], other: Sequence[Line]) -> bool:
    return len(set(one[:3]) & set(other[:3])) >= min(2, max(1, len(one)))


def cells(marks: Sequence[Mark]) -> Cells:
    """The skin that is drawn."""
    return grid.of(skin.load()).cells({mark.view: mark.area for mark in marks})


def jaccard(one: Cells, other: Cells) -> float:
    """Jaccard index of two sets of skin cells (each once, in order)."""
    shared = len(np.intersect1d(one, other, assume_unique=True))
    return float(plain.index(shared, len(one), len(other), "jaccard"))


@cache
def _site_cells(muscle_id: str, site_id: str, side: str) -> Cells:
    zones = [zone for zone in atlas.load().zones(muscle_id, side) if zone.site == site_id]
    return grid.of(skin.load()).cells(
        {
            view: geometry.unite(zone.area for zone in zones if zone.view == view)
            for view in {zone.view for zone in zones}
        }
    )


def pairs(count: int = PAIRS) -> list[tuple[str, str]]:
    """Fixed random pairs of muscles of neighbouring body parts."""
    groups: dict[str, list[str]] = {}
    for muscle in atlas.load().muscles.values():
        groups.setdefault(muscle.group, []).append(muscle.id)
    borders = [
        (one, other) for one, others in NEXT.items() for other in others if {one, other} <= set(groups)
    ]
    possible = [(a, b) for one, other in borders for a in groups[one] for b in groups[other]]
    dice = random.Random("pairs")  # noqa: S311 - dice with a fixed seed, no secret
    return dice.sample(possible, min(count, len(possible)))


def pair_trial(model: str, first: str, second: str) -> PairTrial:
    """Both muscles drawn on one side, and the fewest sources that explain it."""
    dice = random.Random(f"{model} {first} {second}")  # noqa: S311 - as above
    side = dice.choice(atlas.SIDES)
    drawn = [
        mark
        for muscle_id in (first, second)
        for mark in _drawings(site_of(atlas.load().muscles[muscle_id], dice), model, dice, 1)[0]
    ]
    fewest = matching.rank(on_side(together(drawn), side), atlas.load(), something_drawn=True).fewest
    if fewest is None:
        return PairTrial(first, second, 0, 0, 0, 0, 0.0)
    named = {part.id for part in fewest.parts if part.layer == PATTERN and part.side == side}
    others = {one.id for part in fewest.parts for one in part.others if one.side == side}
    same = alike.same_area(atlas.load())
    return PairTrial(
        first,
        second,
        found=sum(muscle in named for muscle in (first, second)),
        alike=sum(not named.isdisjoint({muscle, *same[muscle]}) for muscle in (first, second)),
        told=sum(muscle in named | others for muscle in (first, second)),
        parts=len(fewest.parts),
        share=fewest.share,
    )


def together(drawn: Sequence[Mark]) -> list[Mark]:
    """One mark for each view."""
    views = dict.fromkeys(mark.view for mark in drawn)
    return [
        Mark(view, redraw.KIND, geometry.unite(mark.area for mark in drawn if mark.view == view))
        for view in views
    ]

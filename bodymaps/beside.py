"""What else could hurt there: nerves, plexuses, joints and organs held against a drawing, beside the muscles.

A reminder to examine and to exclude, never a diagnosis. Nerves of the skin and plexuses are held against the
burning, shooting, tingling and numb parts only; nerves whose pain is a deep ache, joints and organs against
all pain. The same score as for muscles; data/ranking.toml says from what share on one is named.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bodymaps import words
from bodymaps.atlas import LAYERS, Atlas, Structure
from bodymaps.counted import COMPARED, Counted

# Held against the nerve-like part of the drawing.
NERVES = ("peripheral_nerve", "plexus")


@dataclass(frozen=True)
class Beside:
    """One nerve, plexus, joint or organ on one side ("midline" for a single one in the middle).

    `explained`: the share of what it was held against that lies in its area; `core_coverage`: the share of
    its usual area that is drawn. `urgent`: may need a physician the same day.
    """

    layer: str
    id: str
    name: str
    side: str
    score: float
    explained: float
    core_coverage: float
    urgent: bool
    reasons: tuple[str, ...]


def consider(
    whole: Counted, nerve: Counted | None, atlas: Atlas, nerve_share: float, share: float
) -> Mapping[str, tuple[Beside, ...]]:
    """By layer, best first: what holds at least `share` of the pain (`nerve_share` of the nerve-like part).

    `nerve` is None when nothing nerve-like is drawn.
    """
    found: dict[str, tuple[Beside, ...]] = {}
    for layer in LAYERS:
        lines = _lines(layer, whole, atlas, share, deep=True)
        if layer in NERVES:
            lines = [line for line in lines if atlas.structures[layer][line.id].felt == "deep"]
            lines += _lines(layer, nerve, atlas, nerve_share, deep=False) if nerve else []
        found[layer] = tuple(sorted(lines, key=lambda line: -round(line.score, COMPARED)))
    return found


def _lines(layer: str, counted: Counted, atlas: Atlas, share: float, deep: bool) -> list[Beside]:
    structures = atlas.structures.get(layer, {})
    return [
        _line(counted, number, structures[counted.one(number).id], deep)
        for number in counted.best(layer)
        if counted.explained[number] >= share and (deep or structures[counted.one(number).id].felt != "deep")
    ]


def _line(counted: Counted, number: int, one: Structure, deep: bool) -> Beside:
    explained, coverage = float(counted.explained[number]), float(counted.coverage[number])
    what = "drawing" if deep else "burning, shooting, tingling and numb area"
    return Beside(
        layer=one.layer,
        id=one.id,
        name=one.name,
        side=counted.one(number).side,
        score=float(counted.scores[number]),
        explained=explained,
        core_coverage=coverage,
        urgent=one.urgent,
        reasons=(
            f"{words.percent(explained)} of the {what} lies where it is felt",
            f"covers {words.percent(coverage)} of its usual area"
            if coverage > 0
            else "only the area to which it may spread is drawn",
        ),
    )

"""The fewest sources that together explain a whole drawing, what could stand in their place, and what stays
unexplained.

Every pattern that scores is considered, each site of a muscle and their union. Of sets of one size the one is
taken whose sources fit best what lies inside them (Counted.fits): held against the whole drawing, each would
be blamed for the pain the others explain. Muscles are considered for all pain, nerve roots and nerves for its
burning, shooting, tingling and numb part. Joints and organs are named beside and never picked: they are to be
excluded, not preferred for the room they take. Numbers in data/fewest.toml; the search is exact (cover) and
says so when it had to be cut.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from bodymaps import cover, geometry, words
from bodymaps.atlas import Atlas
from bodymaps.candidates import DERMATOME, PATTERN, Candidate
from bodymaps.counted import COMPARED, DIGITS, Counted, Drawing
from bodymaps.geometry import Area
from bodymaps.grid import CELL_MM, CELL_MM2, Mask, Weights
from bodymaps.marks import Mark, symptoms

FILE = Path(__file__).parent / "data" / "fewest.toml"
NERVE = "peripheral_nerve"
NERVE_LEFT = (
    "Most of the burning, shooting, tingling or numb part stays unexplained: "
    "consider the roots and nerves named."
)
# mm²: what is left over along an edge, by cells and by outline, is no area of pain.
CRUMB_MM2 = 20.0


@dataclass(frozen=True)
class Named:
    """A source that could stand in the place of another."""

    id: str
    side: str
    name: str


@dataclass(frozen=True)
class Part:
    """One of the sources: `explained` is the share (0..1) of the drawing it explains, `adds` what it explains
    beyond those before it; `fit` how well it fits what lies inside it. `others` would do in its place.
    """

    layer: str
    id: str
    name: str
    side: str
    site: str
    score: float
    fit: float
    explained: float
    adds: float
    others: tuple[Named, ...] = ()

    @property
    def words(self) -> str:
        return f"{self.side} {self.name}"

    @property
    def doubt(self) -> str:
        """ "Right infraspinatus; or teres minor; or left teres major"; "" when nothing else would do."""
        others = [one.name if one.side == self.side else f"{one.side} {one.name}" for one in self.others]
        return "; or ".join([words.sentence_case(self.words), *others]) if others else ""


@dataclass(frozen=True, eq=False)
class Fewest:
    """`share` of the drawing that the `parts` explain together, by weight as in a ranking. `left`: the drawn
    cells that stay unexplained; `places`: the patches of skin where they are a notable part, largest first.
    `nerve_left`: the share of the burning, shooting, tingling and numb part that stays unexplained.
    """

    parts: tuple[Part, ...]
    share: float
    pruned: bool
    places: tuple[str, ...]
    nerve_left: float
    whole: Counted = field(repr=False)
    left: Mask = field(repr=False)

    @property
    def sentence(self) -> str:
        """In plain words."""
        return self.told({})

    def told(self, areas: Mapping[tuple[str, str], str], unexplained: str = "") -> str:
        """In plain words; `areas` says what areas a source explains, by id and side, `unexplained` which stay
        so.
        """
        if not self.parts:
            return "Nothing in this atlas explains the drawing."
        # Names of muscles hold commas.
        named = "; ".join(
            f"{part.words} ({areas[part.id, part.side]})" if (part.id, part.side) in areas else part.words
            for part in self.parts
        )
        verb = "together explain" if len(self.parts) > 1 else "alone explains"
        open_ = [f"parts of {words.listed(list(self.places))}"] if self.places else []
        open_ = [*([unexplained] if unexplained else []), *open_]
        rest = f"unexplained: {'; '.join(open_)}" if open_ else "little stays unexplained"
        cut = " The search was cut short: there may be a smaller set." if self.pruned else ""
        nerve = f" {NERVE_LEFT}" if self.nerve_left > 0.5 else ""
        share = words.percent(self.share)
        return f"{words.sentence_case(named)} {verb} {share} of the drawing; {rest}.{nerve}{cut}"

    @property
    def doubts(self) -> tuple[str, ...]:
        """Which of them could be another, one line each."""
        return tuple(part.doubt for part in self.parts if part.others)

    def unexplained(self, areas: Sequence[Sequence[Mark]], least: float) -> tuple[int, ...]:
        """The areas (numbered from 1) of which less than `least` is explained; `areas` are parts of the
        drawing.
        """
        left = np.zeros(self.whole.index.grid.size, np.bool_)
        left[self.whole.drawing.cells[self.left]] = True
        drawn = [Drawing.of(symptoms(marks), self.whole.index.grid).cells for marks in areas]
        return tuple(n for n, cells in enumerate(drawn, 1) if len(cells) and 1 - left[cells].mean() < least)

    def as_json(self) -> dict[str, Any]:
        """Plain data; the outlines of what is left are not in it (see `outlines`)."""
        return {
            "fewest": parameters().version,
            "sources": [
                {
                    "layer": part.layer,
                    "id": part.id,
                    "name": part.name,
                    "side": part.side,
                    "site": part.site,
                    "score": round(part.score, DIGITS),
                    "fit": round(part.fit, DIGITS),
                    "explained": round(part.explained, DIGITS),
                    "adds": round(part.adds, DIGITS),
                    "or": [{"id": one.id, "side": one.side, "name": one.name} for one in part.others],
                }
                for part in self.parts
            ],
            "share": round(self.share, DIGITS),
            "pruned": self.pruned,
            "left": {"share": round(1 - self.share, DIGITS), "regions": list(self.places)},
            "words": self.sentence,
        }


@dataclass(frozen=True)
class Parameters:
    """The numbers of data/fewest.toml; see there for their reasons."""

    version: str
    set_share: float
    set_most: int
    place_share: float
    others_most: int
    others_fit: float
    others_share: float


@cache
def parameters() -> Parameters:
    with FILE.open("rb") as file:
        return Parameters(**tomllib.load(file))


@dataclass(frozen=True)
class _Line:
    """A candidate that may be picked: where it was counted, and the drawn atoms it explains."""

    counted: Counted
    number: int
    covers: int

    @property
    def one(self) -> Candidate:
        return self.counted.one(self.number)

    @property
    def fit(self) -> float:
        return float(self.counted.fits[self.number])

    @property
    def source(self) -> cover.Source:
        return cover.Source(f"{self.one.id}.{self.one.site}", self.one.side, self.fit, self.covers)


def explain(whole: Counted, nerve: Counted | None, atlas: Atlas) -> Fewest:
    """The fewest sources, at most `set_most`, that explain `set_share` of the weighted drawing."""
    limits = parameters()
    weight = CELL_MM2 * whole.index.density[whole.drawing.cells] * whole.drawing.weight
    picks, inside = _inside(whole, nerve)
    atoms, atom = np.unique(np.packbits(inside, axis=0), axis=1, return_inverse=True)
    members = np.unpackbits(atoms, axis=0, count=len(picks))
    weights = np.bincount(atom.ravel(), weight, atoms.shape[1]).astype(np.float64)
    lines = [
        _Line(counted, number, _bits(row)) for (counted, number), row in zip(picks, members, strict=True)
    ]
    sources = {line.source: line for line in lines}
    found = cover.smallest(
        [float(one) for one in weights], list(sources), most=limits.set_most, share=limits.set_share
    )
    chosen = [sources[one] for one in found.chosen]
    shares = weights / weights.sum()
    parts = tuple(
        Part(
            layer=line.one.layer,
            id=line.one.id,
            name=_name(line.one, atlas),
            side=line.one.side,
            site=line.one.site,
            score=float(line.counted.scores[line.number]),
            fit=line.fit,
            explained=_weigh(line.covers, shares),
            adds=_weigh(adds, shares),
            others=_others(line, chosen, lines, shares, atlas),
        )
        for line, adds in zip(chosen, found.adds, strict=True)
    )
    left = np.array([found.left >> place & 1 for place in range(len(weights))], np.bool_)[atom.ravel()]
    nerve_left = left[np.searchsorted(whole.drawing.cells, nerve.drawing.cells)].mean() if nerve else 0.0
    places = _places(whole, left, limits.place_share)
    return Fewest(parts, found.share, found.pruned, places, float(nerve_left), whole, left)


def _inside(whole: Counted, nerve: Counted | None) -> tuple[list[tuple[Counted, int]], Mask]:
    """The candidates that may be picked, and which drawn cells each explains: candidates x drawn cells."""
    numbers = whole.scoring(PATTERN)
    picks, inside = [(whole, number) for number in numbers], whole.covered(numbers)
    if nerve is None:
        return picks, inside
    numbers = [*nerve.scoring(DERMATOME), *nerve.scoring(NERVE)]
    place = np.searchsorted(whole.drawing.cells, nerve.drawing.cells)
    held = np.zeros((len(numbers), len(whole.drawing.cells)), np.bool_)
    held[:, place] = nerve.covered(numbers)
    return [*picks, *((nerve, number) for number in numbers)], np.vstack([inside, held])


def _others(
    line: _Line, chosen: Sequence[_Line], lines: Sequence[_Line], shares: Weights, atlas: Atlas
) -> tuple[Named, ...]:
    """What would do in the place of one of the chosen: it explains most of what this one alone adds, and fits
    not much worse. By both, best first, each muscle once.
    """
    limits, own = parameters(), line.covers
    for other in chosen:
        own &= ~other.covers if other is not line else own
    needed = limits.others_share * _weigh(own, shares)
    ranked: list[tuple[float, str, str, Candidate]] = []
    for other in lines:
        explained = _weigh(own & other.covers, shares)
        if explained >= needed and other.fit >= limits.others_fit * line.fit:
            worth = round(other.fit * explained, COMPARED)
            ranked.append((-worth, other.one.id, other.one.side, other.one))
    found = dict.fromkeys((one.one.id, one.one.side) for one in chosen)
    taken = len(found)
    names = []
    for _, name, side, one in sorted(ranked, key=lambda entry: entry[:3]):
        if (name, side) not in found and len(found) < taken + limits.others_most:
            found[name, side] = None
            names.append(Named(name, side, _name(one, atlas)))
    return tuple(names)


def _bits(members: Sequence[int]) -> int:
    """A row of 0 and 1 as a bit mask, the first the lowest."""
    return int.from_bytes(np.packbits(members, bitorder="little").tobytes(), "little")


def _weigh(atoms: int, weights: Weights) -> float:
    return float(sum(weight for place, weight in enumerate(weights) if atoms >> place & 1))


def _name(one: Candidate, atlas: Atlas) -> str:
    if one.layer == PATTERN:
        return atlas.muscles[one.id].name
    if one.layer == DERMATOME:
        return f"{words.root(one.id)} nerve root"
    return atlas.structures[one.layer][one.id].name


def _places(whole: Counted, left: Mask, share: float) -> tuple[str, ...]:
    """The patches where at least `share` of the drawing stays unexplained, largest first."""
    sizes = np.bincount(whole.drawing.patch[left], minlength=1) / len(left)
    found = sorted(np.flatnonzero(sizes >= share), key=lambda patch: (-sizes[patch], patch))
    return tuple(words.patch(whole.index.skin.patches[patch]) for patch in found)


def outlines(found: Fewest, marks: Sequence[Mark]) -> dict[str, Area]:
    """By view, the part of the drawing (mm) that stays unexplained. `marks` are those it was counted from."""
    grid = found.whole.index.grid
    left = np.zeros(grid.size, np.bool_)
    left[found.whole.drawing.cells[found.left]] = True
    shapes = {}
    for view, cell in grid.cell.items():
        drawn = geometry.unite(mark.area for mark in marks if mark.view == view)
        open_ = geometry.overlap(geometry.unite(_runs((cell >= 0) & left[cell])), drawn)
        open_ = geometry.without_crumbs(open_, CRUMB_MM2)
        if not open_.is_empty:
            shapes[view] = open_
    return shapes


def _runs(held: Mask) -> Iterator[Area]:
    """The cells of a frame as boxes (mm), one for each run in a row."""
    step = np.diff(np.pad(held, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    for (row, first), (_, last) in zip(np.argwhere(step == 1), np.argwhere(step == -1), strict=True):
        yield geometry.box(CELL_MM * first, CELL_MM * row, CELL_MM * last, CELL_MM * (row + 1))

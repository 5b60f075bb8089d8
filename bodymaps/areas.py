"""Which strokes belong together: the symptom areas of a drawing, numbered in the order they were begun.

Strokes of pain whose ink, as it stands after rubbing out, comes near each other are together, on whatever
layer; ink at the edge of the figure is also near ink at the same place of the other view's edge. What
somebody decides ("these together", "these apart") is replayed in the order of drawing, and a stroke drawn
later never unites what was taken apart. All numbers stand, with their reasons, in data/areas.toml.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bodymaps import figure, geometry, kinds, marks
from bodymaps.geometry import Area
from bodymaps.marks import Laid, Mark
from bodymaps.skin import MIDLINE_X, NOTHING_MM2
from bodymaps.strokes import VIEWS, Stroke

FILE = Path(__file__).parent / "data" / "areas.toml"


@dataclass(frozen=True)
class Parameters:
    """The numbers of data/areas.toml; see there for their reasons."""

    near_mm: float
    rim_mm: float
    piece_mm: float


@cache
def parameters() -> Parameters:
    with FILE.open("rb") as file:
        return Parameters(**tomllib.load(file))


@dataclass(frozen=True)
class Decision:
    """What somebody decided: every area that holds one of the strokes becomes one (together), or exactly
    these strokes become an area of their own. `seq` is counted together with that of the strokes.
    """

    seq: int
    id: str
    strokes: tuple[str, ...]
    together: bool


@dataclass(frozen=True)
class Piece:
    """Strokes of one kind and view that touch: what an area can be taken apart into."""

    strokes: tuple[str, ...]
    view: str
    kind: str


@dataclass(frozen=True)
class SymptomArea:
    """One numbered area: ids of its strokes in the order of drawing, painted as in the whole drawing."""

    number: int
    strokes: tuple[str, ...]
    marks: tuple[Mark, ...]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class Ink:
    """A stroke of pain and what is left of it on the body (mm)."""

    stroke: Stroke
    area: Area


def group(strokes: Iterable[Stroke], decisions: Iterable[Decision] = ()) -> tuple[SymptomArea, ...]:
    """The areas of a drawing, the same in whatever order strokes and decisions arrive.

    Findings, worst spots and strokes that were rubbed out whole are in no area; a decision leaves out strokes
    it does not know. The areas' marks together are those of `marks.paint`. About 0.15 s for 60 long strokes.
    """
    return group_laid(marks.lay(strokes), decisions)


def group_laid(laid: Sequence[Laid], decisions: Iterable[Decision] = ()) -> tuple[SymptomArea, ...]:
    """`group` for strokes that are laid already (marks.lay), so that who paints as well lays them once."""
    inks = _standing(laid)
    replay = _Replay(inks, _neighbours(inks))
    replay.run(decisions)
    touching = _touching(inks)
    edges = marks.body_outlines()
    return tuple(
        SymptomArea(
            number,
            tuple(inks[one].stroke.id for one in members),
            marks.paint_laid(_with_erasers(laid, {inks[one].stroke.id for one in members}), edges),
            _pieces(inks, members, touching),
        )
        for number, members in enumerate(replay.areas(), start=1)
    )


def _standing(laid: Sequence[Laid]) -> list[Ink]:
    """The strokes of pain that have left any ink on the body, less what later erasers of their layer took."""
    edges, erasers, found = marks.body_outlines(), [], []
    for stroke, covered in reversed(laid):
        if stroke.mode == "erase":
            erasers.append((stroke, covered))
        elif stroke.kind in kinds.IDS:
            left = geometry.overlap(_rubbed(stroke, covered, erasers), edges[stroke.view])
            if left.area > NOTHING_MM2:
                found.append(Ink(stroke, left))
    return found[::-1]


def _rubbed(stroke: Stroke, covered: Area, erasers: Sequence[Laid]) -> Area:
    for eraser, taken in erasers:
        if (eraser.view, eraser.layer) == (stroke.view, stroke.layer):
            covered = geometry.take_away(covered, taken)
    return covered


def _with_erasers(laid: Sequence[Laid], ids: set[str]) -> list[Laid]:
    return [one for one in laid if one[0].mode == "erase" or one[0].id in ids]


# Near or not: pairs of places in the list of inks.

Pairs = list[tuple[int, int]]


def _neighbours(inks: Sequence[Ink]) -> dict[int, set[int]]:
    """For each ink those it is near to, on its view or round the edge of the figure."""
    near: dict[int, set[int]] = {place: set() for place in range(len(inks))}
    for one, other in (*_near_on_a_view(inks, parameters().near_mm), *_near_round_the_edge(inks)):
        near[one].add(other)
        near[other].add(one)
    return near


def _near_on_a_view(inks: Sequence[Ink], reach: float) -> Pairs:
    pairs = []
    for view in VIEWS:
        here = [place for place, ink in enumerate(inks) if ink.stroke.view == view]
        found = geometry.near_pairs([inks[place].area for place in here], reach)
        pairs += [(here[one], here[other]) for one, other in found]
    return pairs


def _touching(inks: Sequence[Ink]) -> Pairs:
    """Pairs of one kind and view with hardly a gap."""
    close = _near_on_a_view(inks, parameters().piece_mm)
    return [(one, other) for one, other in close if inks[one].stroke.kind == inks[other].stroke.kind]


def _near_round_the_edge(inks: Sequence[Ink]) -> Pairs:
    """Pairs of both views that reach the edge of the figure at matching places."""
    if len({ink.stroke.view for ink in inks}) < len(VIEWS):
        return []
    found = geometry.near_pairs([_at_the_edge(ink) for ink in inks], parameters().near_mm)
    return [(one, other) for one, other in found if inks[one].stroke.view != inks[other].stroke.view]


def _at_the_edge(ink: Ink) -> Area:
    """The ink along the edge, in the frame of the front view."""
    along = geometry.overlap(ink.area, _rim(ink.stroke.view))
    return along if ink.stroke.view == VIEWS[0] else geometry.mirrored(along, MIDLINE_X)


@cache
def _rim(view: str) -> Area:
    """The strip along the edge of one view; a sole has no other side."""
    return geometry.strip_along_edges([figure.load().view(view).body], parameters().rim_mm)


class _Replay:
    """Strokes and decisions, one after the other. `members` are the areas: sets of places in the list of
    inks.
    """

    def __init__(self, inks: Sequence[Ink], near: dict[int, set[int]]) -> None:
        self.inks, self.near = inks, near
        self.members: list[set[int]] = []
        self.apart: set[tuple[int, int]] = set()

    def run(self, decisions: Iterable[Decision]) -> None:
        places = {ink.stroke.id: place for place, ink in enumerate(self.inks)}
        known = [(one, {places[name] for name in one.strokes if name in places}) for one in decisions]
        # A decision never comes before a stroke it names, whatever number a device gave it.
        last = [max([one.seq, *(self.inks[place].stroke.seq for place in named)]) for one, named in known]
        order = sorted(
            zip(last, known, strict=True), key=lambda entry: (entry[0], entry[1][0].seq, entry[1][0].id)
        )
        for place, ink in enumerate(self.inks):
            while order and order[0][0] < ink.stroke.seq:
                self._decide(*order.pop(0)[1])
            self._draw(place)
        for _, decided in order:
            self._decide(*decided)

    def areas(self) -> list[list[int]]:
        """The areas in the order in which they were begun."""
        return sorted(sorted(area) for area in self.members)

    def _draw(self, place: int) -> None:
        """Join what the ink touches, the area it overlaps most first, less what was taken apart from it."""
        joined = {place}
        for area in sorted(self._touched(place), key=lambda area: self._closeness(place, area)):
            if not self._is_apart(joined, area):
                self.members.remove(area)
                joined |= area
        self.members.append(joined)

    def _touched(self, place: int) -> list[set[int]]:
        return [area for area in self.members if area & self.near[place]]

    def _closeness(self, place: int, area: set[int]) -> tuple[float, float, int]:
        if not self.apart:
            return (0, 0, min(area))  # they all become one, in whatever order
        ink = self.inks[place]
        here = geometry.unite(
            self.inks[one].area for one in area if self.inks[one].stroke.view == ink.stroke.view
        )
        shared = float(geometry.overlap(ink.area, here).area)
        return (-round(shared, 3), round(geometry.gap(ink.area, here), 3), min(area))

    def _is_apart(self, one: set[int], other: set[int]) -> bool:
        return bool(self.apart) and any(_pair(a, b) in self.apart for a in one for b in other)

    def _decide(self, decision: Decision, named: set[int]) -> None:
        if not named:
            return
        met = [area for area in self.members if area & named]
        whole = set().union(*met) if decision.together else set(named)
        self.members = [area for area in self.members if area not in met]
        self.members += [area - whole for area in met if area - whole]
        self.members.append(whole)
        self.apart = {(a, b) for a, b in self.apart if not (a in whole and b in whole)}
        self.apart |= {_pair(a, b) for area in met for a in whole for b in area - whole}


def _pair(one: int, other: int) -> tuple[int, int]:
    return (one, other) if one < other else (other, one)


def _pieces(inks: Sequence[Ink], members: Sequence[int], touching: Pairs) -> tuple[Piece, ...]:
    """The members of one kind and view that touch, in the order in which they were begun."""
    of: dict[int, list[int]] = {one: [one] for one in members}
    for one, other in touching:
        if one in of and other in of and of[one] is not of[other]:
            both = sorted(of[one] + of[other])
            of.update(dict.fromkeys(both, both))
    pieces = {id(piece): piece for piece in of.values()}.values()
    return tuple(
        Piece(
            tuple(inks[one].stroke.id for one in piece),
            inks[piece[0]].stroke.view,
            str(inks[piece[0]].stroke.kind),
        )
        for piece in sorted(pieces)
    )

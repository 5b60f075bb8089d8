"""Where the numbers of the areas stand on a figure: inside the area, beside one they would hide, never one on
another.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin

from bodymaps import geometry
from bodymaps.geometry import Area
from bodymaps.marks import Mark, Spot
from charting.drawing.areas import ToldArea

Place = tuple[float, float]

# The disc under a number, in figure millimetres: 8 pt on paper, and still a number in the smallest figure.
RADIUS = 30.0
# Two discs have this much room between them; else the later steps aside, by steps of this size.
ROOM, STEP = 6.0, 20.0
FARTHEST = 12
# A disc that would cover more than this share of what it names stands beside it.
HIDES = 0.45
DIRECTIONS = 16


@dataclass(frozen=True)
class Badge:
    """A number in a disc. `line` leads from it to its area where it had to step aside, "" otherwise."""

    number: int
    x: str
    y: str
    radius: str
    baseline: str
    line: str
    # Whose area it is; "" when more than one drew on it.
    layer: str = ""


def on_view(view: str, areas: Iterable[ToldArea], spots: Sequence[Spot] = ()) -> tuple[Badge, ...]:
    """A badge for each area that shows on this view, clear of each other and of the worst spots."""
    taken: list[Place] = [(spot.x, spot.y) for spot in spots if spot.view == view]
    found = []
    for area in areas:
        here = geometry.unite(mark.area for mark in area.marks if mark.view == view)
        if not here.is_empty:
            inside, place = _placed(here, taken)
            layers = {mark.layer for mark in area.marks}
            badge = _badge(area.number, place, inside)
            found.append(replace(badge, layer=layers.pop()) if len(layers) == 1 else badge)
    return tuple(found)


def letters_on_view(view: str, pieces: Iterable[tuple[str, Sequence[Mark]]]) -> tuple[tuple[str, Badge], ...]:
    """A letter for each piece of an area that shows on this view, clear of each other."""
    taken: list[Place] = []
    found = []
    for letter, shown in pieces:
        inside, place = _placed(geometry.unite(mark.area for mark in shown if mark.view == view), taken)
        found.append((letter, _badge(0, place, inside)))
    return tuple(found)


def _placed(here: Area, taken: list[Place]) -> tuple[Place, Place]:
    """A place inside the area, and where its disc stands: there, or as near to it as there is room."""
    inside = geometry.inner_place(here)
    beside = _covered(here, inside) > HIDES * here.area
    place = next((at for at in _round(inside) if _is_free(at, here, taken, beside)), inside)
    taken.append(place)
    return inside, place


def _is_free(at: Place, here: Area, taken: Sequence[Place], beside: bool) -> bool:
    if any(_gap(at, other) < 2 * RADIUS + ROOM for other in taken):
        return False
    return not beside or _covered(here, at) == 0


def _covered(here: Area, at: Place) -> float:
    return float(geometry.overlap(geometry.paint_line([at], 2 * RADIUS), here).area)


def _round(place: Place) -> Iterator[Place]:
    """The place itself, then places round it, nearer ones first."""
    yield place
    for step in range(1, FARTHEST + 1):
        for turn in range(DIRECTIONS):
            angle = 2 * pi * turn / DIRECTIONS
            yield (place[0] + step * STEP * cos(angle), place[1] + step * STEP * sin(angle))


def _gap(one: Place, other: Place) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _badge(number: int, place: Place, inside: Place) -> Badge:
    (x, y), (to_x, to_y) = place, inside
    line = f"M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}" if _gap(place, inside) > RADIUS else ""
    return Badge(number, f"{x:.1f}", f"{y:.1f}", f"{RADIUS:g}", f"{y + RADIUS / 2:.1f}", line)

"""A drawing as a picture: plain values for both views, the same on screen, on paper and in a signed note.

Every number is a string made here (dot decimals), so that no language setting can bend a path.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from bodymaps import describe, figure, geometry, kinds, svg
from bodymaps.geometry import Area
from bodymaps.marks import Mark, Spot
from charting.drawing import badges
from charting.drawing.areas import ToldArea
from charting.drawing.badges import Badge

# The part of each 1000 x 1700 frame that is shown: the outline runs from x = 71 to 929.
WHOLE = "55 -12 890 1724"
# Head to fingertips, which end at y = 1037: larger on a screen while nothing lies further down.
UPPER, UPPER_ENDS = "55 -12 890 1078", 1060.0
LEFT_EDGE, RIGHT_EDGE = "68", "932"
TITLES = {"front": "Front view", "back": "Back view"}
SIDES = {
    "front": ("Patient's right", "Patient's left"),
    "back": ("Patient's left", "Patient's right"),
}
# The worst spot, as on the board: a lozenge within a lozenge. Their reach from the middle, in mm.
LOZENGES = (25.0, 9.0)
# A key beside the figure shows a piece of each texture: a swatch this wide and high, in figure millimetres.
SWATCH = (96.0, 48.0)


@dataclass(frozen=True)
class AreaPicture:
    """One kind in one view, of one layer: the filled area, and its texture as lines clipped to it."""

    kind: str
    label: str
    path: str
    colour: str
    ink: str
    texture: str
    texture_width: str
    layer: str = ""
    is_faint: bool = False


@dataclass(frozen=True)
class SpotPicture:
    """Where it is worst: two lozenges as one path."""

    path: str
    layer: str


@dataclass(frozen=True)
class ViewPicture:
    """One view with what is drawn on it. `words` describes it to somebody who can't see it."""

    view: str
    title: str
    box: str
    outline: str
    relief: str
    left_edge: str
    right_edge: str
    left_side: str
    right_side: str
    areas: tuple[AreaPicture, ...]
    words: str
    badges: tuple[Badge, ...] = ()
    spots: tuple[SpotPicture, ...] = ()


@dataclass(frozen=True)
class KindPicture:
    """One line of the key: a swatch, the word, and how strong it is (0-10, or None when not asked)."""

    kind: str
    label: str
    colour: str
    ink: str
    texture: str
    texture_width: str
    intensity: int | None


def views_of(
    marks: Iterable[Mark],
    *,
    box: str = WHOLE,
    areas: Sequence[ToldArea] = (),
    spots: Iterable[Spot] = (),
    faint: Iterable[Mark] = (),
) -> tuple[ViewPicture, ...]:
    """Front and back with what is drawn on each; `faint` marks beside them, hardly to be seen. Each of
    `areas` gets its number, `spots` their mark.
    """
    drawn, pale, worst = tuple(marks), tuple(faint), tuple(spots)
    return tuple(
        _view(
            name,
            [mark for mark in drawn if mark.view == name],
            box,
            pale=[mark for mark in pale if mark.view == name],
            areas=areas,
            spots=[spot for spot in worst if spot.view == name],
        )
        for name in TITLES
    )


def box_for(areas: Iterable[Area]) -> str:
    """The whole figure, or head to fingertips when none of the areas reaches further down."""
    lowest = max((area.bounds[3] for area in areas if not area.is_empty), default=0.0)
    return UPPER if lowest <= UPPER_ENDS else WHOLE


def box_round(middle: tuple[float, float], size: tuple[float, float]) -> str:
    """A box (mm) of a size round a place, moved so that it lies within the whole figure where it can."""
    frame = [float(edge) for edge in WHOLE.split()]
    left, top = (
        min(max(at - side / 2, start), max(start, start + room - side))
        for at, side, start, room in zip(middle, size, frame[:2], frame[2:], strict=True)
    )
    return f"{left:.0f} {top:.0f} {size[0]:.0f} {size[1]:.0f}"


def key_of(marks: Iterable[Mark], intensities: Mapping[str, int]) -> tuple[KindPicture, ...]:
    """The kinds that are drawn, in their fixed order; a kind with an intensity but no area is kept."""
    shown = {mark.kind for mark in marks} | set(intensities)
    return tuple(_key(kind, intensities.get(kind.id)) for kind in kinds.load() if kind.id in shown)


@cache
def outline_of(view: str) -> str:
    """The outline of the figure as a path: thousands of points, and the same on every page."""
    return svg.path(figure.load().view(view).outline)


def _view(
    name: str,
    here: list[Mark],
    box: str,
    *,
    pale: Sequence[Mark] = (),
    areas: Sequence[ToldArea] = (),
    spots: Sequence[Spot] = (),
) -> ViewPicture:
    view = figure.load().view(name)
    left, right = SIDES[name]
    return ViewPicture(
        view=name,
        title=TITLES[name],
        box=box,
        outline=outline_of(name),
        relief=view.relief,
        left_edge=LEFT_EDGE,
        right_edge=RIGHT_EDGE,
        left_side=left,
        right_side=right,
        areas=(*(_area(mark, is_faint=True) for mark in pale), *(_area(mark) for mark in here)),
        words=_words(name, here),
        badges=badges.on_view(name, areas, spots),
        spots=tuple(SpotPicture(_lozenges(spot), spot.layer) for spot in spots),
    )


def _area(mark: Mark, *, is_faint: bool = False) -> AreaPicture:
    kind = kinds.kind(mark.kind)
    return AreaPicture(
        kind=kind.id,
        label=kind.label,
        path=svg.path(mark.area),
        colour=kind.colour,
        ink=kind.ink,
        texture=svg.texture_path(mark.area, mark.kind),
        texture_width=f"{kind.texture.width:g}",
        layer=mark.layer,
        is_faint=is_faint,
    )


def _lozenges(spot: Spot) -> str:
    return "".join(svg.diamond(spot.x, spot.y, reach) for reach in LOZENGES)


def _words(name: str, here: list[Mark]) -> str:
    said = " ".join(describe.drawing(here)) if here else "Nothing is drawn on it."
    return f"{TITLES[name]} of the body. {said}"


def _key(kind: kinds.Kind, intensity: int | None) -> KindPicture:
    return KindPicture(
        kind=kind.id,
        label=kind.label,
        colour=kind.colour,
        ink=kind.ink,
        texture=svg.texture_path(geometry.box(0, 0, *SWATCH), kind.id),
        texture_width=f"{kind.texture.width:g}",
        intensity=intensity,
    )

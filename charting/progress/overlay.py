"""Two drawings in one picture: gone, new and unchanged told apart by edge and hatching, colour comes second.

Every number is a string made here (dot decimals), as in charting.drawing.picture.
"""

from dataclasses import dataclass
from functools import cache

from bodymaps import describe, figure, geometry, kinds, svg
from bodymaps.compare import Compared, ViewChange
from bodymaps.geometry import Area
from bodymaps.kinds import Texture
from bodymaps.marks import Mark
from charting.drawing.picture import LEFT_EDGE, RIGHT_EDGE, SIDES, TITLES, box_for, outline_of

# A piece of each beside the figure is this wide and high, in figure millimetres.
SWATCH = (96.0, 48.0)


@dataclass(frozen=True)
class Style:
    """How one of the three is drawn. `dash` of its edge and `hatch` of its inside may be none."""

    name: str
    label: str
    says: str
    fill: str
    opacity: str
    ink: str
    edge: str
    dash: str
    texture: Texture | None


# Plain grey lies below; what is gone has a broken edge and few lines, what is new many lines the other way.
UNCHANGED = Style("unchanged", "Unchanged", "plain grey", "#6f767b", "0.5", "#3f464b", "2.4", "", None)
GONE = Style(
    "gone",
    "Gone",
    "broken edge, few thin lines",
    "#ffffff",
    "0.75",
    "#14606b",
    "4",
    "14 9",
    Texture((30.0, 30.0), (((0.0, 0.0), (30.0, 30.0)),), 2.2),
)
NEW = Style(
    "new",
    "New",
    "solid edge, many thick lines",
    "#f3c9a8",
    "0.8",
    "#7a2b08",
    "4",
    "",
    Texture((14.0, 14.0), (((0.0, 14.0), (14.0, 0.0)),), 4.4),
)
STYLES = (UNCHANGED, GONE, NEW)


@dataclass(frozen=True)
class Part:
    """One of the three on one view, or a piece of it for the key."""

    style: Style
    path: str
    hatch: str
    hatch_width: str


@dataclass(frozen=True)
class OverlayView:
    """One view with both drawings on it. `words` describes it to somebody who can't see it."""

    view: str
    title: str
    box: str
    outline: str
    relief: str
    left_edge: str
    right_edge: str
    left_side: str
    right_side: str
    parts: tuple[Part, ...]
    words: str


def overlay(found: Compared) -> tuple[OverlayView, ...]:
    """Front and back, both cut to the same box."""
    box = box_for(area for view in found.views for area in (view.gone, view.new, view.unchanged))
    return tuple(_view(view, box) for view in found.views)


@cache
def key() -> tuple[Part, ...]:
    """What each edge and hatching means."""
    return tuple(_part(style, geometry.box(0, 0, *SWATCH)) for style in (GONE, NEW, UNCHANGED))


def _view(one: ViewChange, box: str) -> OverlayView:
    view = figure.load().view(one.view)
    areas = {"unchanged": one.unchanged, "gone": one.gone, "new": one.new}
    left, right = SIDES[one.view]
    return OverlayView(
        view=one.view,
        title=TITLES[one.view],
        box=box,
        outline=outline_of(one.view),
        relief=view.relief,
        left_edge=LEFT_EDGE,
        right_edge=RIGHT_EDGE,
        left_side=left,
        right_side=right,
        parts=tuple(_part(style, areas[style.name]) for style in STYLES if not areas[style.name].is_empty),
        words=_words(one.view, areas),
    )


def _part(style: Style, area: Area) -> Part:
    hatch = svg.hatch(area, style.texture) if style.texture else ""
    return Part(style, svg.path(area), hatch, f"{style.texture.width:g}" if style.texture else "")


def _words(view: str, areas: dict[str, Area]) -> str:
    """ "Front view of the body. Gone: front of right shoulder, 62 cm²."; what is not there is not named."""
    said = [_told(view, style.label, areas[style.name]) for style in (GONE, NEW, UNCHANGED)]
    return " ".join([f"{TITLES[view]} of the body.", *(filter(None, said))]) + (
        "" if any(said) else " Nothing."
    )


def _told(view: str, label: str, area: Area) -> str:
    marks = [Mark(view, kinds.IDS[0], area)]
    where = describe.where(marks) if not area.is_empty else ""
    return f"{label}: {where}, {describe.size(marks)}." if where else ""

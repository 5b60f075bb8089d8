"""What the strokes mean: one area per layer, view and kind, by one fixed and versioned painting rule.

The rule `paint-2`: strokes are taken in order of sequence number (ties by id), whatever order they arrived
in. A line is thinned to 1 mm, widened by half the nib in pieces of 20 points, and united. An encircled area
is the inside of the closed line, repaired so that doubled-over parts count as filled, together with the
line itself. The eraser takes its area away from every kind painted so far on its own view and layer. A
worst spot paints nothing. Each result is put on a 0.001 mm grid and clipped to the outline. Pressure and
time never change an area.

What changed from `paint-1`: there are layers, and the eraser reaches its own only. A drawing of one layer is
painted as before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from bodymaps import figure, geometry, kinds
from bodymaps.geometry import Area
from bodymaps.strokes import THIN_MM, VIEWS, Stroke, thinned

RULE = "paint-2"

# A stroke and what it covers (mm), before any eraser and before it is clipped to the body.
Laid = tuple[Stroke, Area]


@dataclass(frozen=True)
class Mark:
    """The area (mm) of one kind on one view and layer. `tap` is true when it is nothing but touches in one
    place.
    """

    view: str
    kind: str
    area: Area
    tap: bool = False
    layer: str = ""

    @property
    def is_finding(self) -> bool:
        return self.kind in kinds.FINDINGS


@dataclass(frozen=True)
class Spot:
    """Where it is worst: one place (mm) on one view and layer."""

    layer: str
    view: str
    x: float
    y: float


def symptoms(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """The marks of pain, without the findings: what is ranked."""
    return tuple(mark for mark in marks if not mark.is_finding)


def findings(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """The marks of what was found on examination."""
    return tuple(mark for mark in marks if mark.is_finding)


def spots(strokes: Iterable[Stroke]) -> tuple[Spot, ...]:
    """The worst spot of each layer that has one, by layer name: the one of the highest number."""
    last = {stroke.layer: stroke for stroke in in_order(strokes) if stroke.mode == "spot"}
    return tuple(
        Spot(layer, one.view, one.points[0].x, one.points[0].y) for layer, one in sorted(last.items())
    )


def paint(
    strokes: Iterable[Stroke],
    outlines: Mapping[str, Area] | None = None,
    kinds: Sequence[str] = kinds.ALL_IDS,
) -> tuple[Mark, ...]:
    """One Mark for each layer, view and kind that has any area on the body: front first, then in the order of
    the kinds, then of the layers' names.

    `outlines` (by view) is the edge of the body, by default that of the figure. `kinds` is what the strokes
    can show.
    """
    return paint_laid(lay(strokes), outlines if outlines is not None else body_outlines(), kinds)


def in_order(strokes: Iterable[Stroke]) -> list[Stroke]:
    """The order of drawing, whatever order they arrived in."""
    return sorted(strokes, key=lambda stroke: (stroke.seq, stroke.id))


def lay(strokes: Iterable[Stroke]) -> list[Laid]:
    """Each stroke that leaves or takes away ink, with what it covers, in the order of drawing."""
    return [(stroke, stroke_area(stroke)) for stroke in in_order(strokes) if stroke.mode != "spot"]


def paint_laid(
    laid: Sequence[Laid], outlines: Mapping[str, Area], kinds: Sequence[str] = kinds.ALL_IDS
) -> tuple[Mark, ...]:
    """`paint` for strokes that are laid already, all of them or some, in the order of drawing."""
    return tuple(
        mark
        for view in VIEWS
        for mark in _paint_view(view, [one for one in laid if one[0].view == view], outlines[view], kinds)
    )


def body_outlines() -> dict[str, Area]:
    """The outline of each view of the figure, soles included."""
    return {view: geometry.as_area(figure.load().view(view).outline) for view in VIEWS}


def _paint_view(view: str, here: Sequence[Laid], outline: Area, kinds: Sequence[str]) -> list[Mark]:
    layers = {name: [one for one in here if one[0].layer == name] for name in _layers(here)}
    found = []
    drawn = {stroke.kind for stroke, _ in here}
    for kind in (one for one in kinds if one in drawn):
        for layer, laid in layers.items():
            area = clipped(_painted(laid, kind), outline)
            if not area.is_empty:
                found.append(Mark(view, kind, area, _is_one_tap(laid, kind), layer))
    return found


def _layers(laid: Iterable[Laid]) -> list[str]:
    return sorted({stroke.layer for stroke, _ in laid})


def _painted(strokes: Sequence[Laid], kind: str) -> Area:
    """The strokes of one kind united run by run, with the eraser applied where it came in between."""
    area: Area = geometry.EMPTY
    run: list[Area] = []
    for stroke, covered in strokes:
        if stroke.mode == "erase":
            area, run = geometry.take_away(geometry.unite([area, *run]), covered), []
        elif stroke.kind == kind:
            run.append(covered)
    return geometry.unite([area, *run])


def clipped(area: Area, outline: Area) -> Area:
    """The part on the body, on the grid of the painting rule."""
    return geometry.on_grid(geometry.overlap(area, outline))


def stroke_area(stroke: Stroke) -> Area:
    """What one stroke covers (mm), before it is clipped to the body."""
    line = thinned([geometry.place_on_grid(point.x, point.y) for point in stroke.points])
    area = geometry.paint_line(line, stroke.nib_mm)
    if stroke.mode == "area":
        area = geometry.unite([area, geometry.ring_repaired(line)])
    return geometry.on_grid(area)


def is_tap(points: list[tuple[float, float]]) -> bool:
    """True when the pen stayed within 1 mm of where it first went down, however often it did."""
    return bool(points) and all(hypot(x - points[0][0], y - points[0][1]) <= THIN_MM for x, y in points)


def _is_one_tap(laid: Sequence[Laid], kind: str) -> bool:
    drawn = [stroke for stroke, _ in laid if stroke.kind == kind]
    return is_tap([(point.x, point.y) for stroke in drawn for point in stroke.points])

"""What the strokes mean: one area per view and kind, by one fixed and versioned painting rule.

The rule `paint-1`: strokes are taken in order of sequence number (ties by id), whatever order they arrived
in. A line is thinned to 1 mm, widened by half the nib in pieces of 20 points, and united. An encircled area
is the inside of the closed line, repaired so that doubled-over parts count as filled, together with the
line itself. The eraser takes its area away from every kind painted on that view so far. Each result is put
on a 0.001 mm grid and clipped to the outline. Pressure and time never change an area.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot

from bodymaps import figure, geometry, kinds
from bodymaps.geometry import Area
from bodymaps.strokes import THIN_MM, VIEWS, Stroke, thinned

RULE = "paint-1"


@dataclass(frozen=True)
class Mark:
    """The area (mm) of one kind of pain on one view. `tap` is true when it is nothing but touches in one
    place.
    """

    view: str
    kind: str
    area: Area
    tap: bool = False


def paint(strokes: Iterable[Stroke], outlines: Mapping[str, Area] | None = None) -> tuple[Mark, ...]:
    """One Mark for each view and kind that has any area on the body, front first, then in the order of the
    kinds.

    `outlines` (by view) is the edge of the body, by default that of the figure.
    """
    ordered = sorted(strokes, key=lambda stroke: (stroke.seq, stroke.id))
    edges = outlines if outlines is not None else body_outlines()
    return tuple(mark for view in VIEWS for mark in _paint_view(view, ordered, edges[view]))


def body_outlines() -> dict[str, Area]:
    """The outline of each view of the figure, soles included."""
    return {view: geometry.as_area(figure.load().view(view).outline) for view in VIEWS}


def _paint_view(view: str, ordered: list[Stroke], outline: Area) -> list[Mark]:
    here = [(stroke, stroke_area(stroke)) for stroke in ordered if stroke.view == view]
    painted = {kind: clipped(_painted(here, kind), outline) for kind in kinds.IDS}
    return [
        Mark(view, kind, area, tap=_is_one_tap(ordered, view, kind))
        for kind, area in painted.items()
        if not area.is_empty
    ]


def _painted(strokes: list[tuple[Stroke, Area]], kind: str) -> Area:
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


def _is_one_tap(strokes: list[Stroke], view: str, kind: str) -> bool:
    drawn = [stroke for stroke in strokes if stroke.view == view and stroke.kind == kind]
    return is_tap([(point.x, point.y) for stroke in drawn for point in stroke.points])

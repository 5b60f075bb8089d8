"""Read a drawing from a GeoJSON FeatureCollection in figure millimetres into marks.

Each feature has a geometry (Polygon, MultiPolygon, LineString or Point) and properties `view` (front,
back), `kind` (an id of kinds.toml), optional `intensity` (0..10, kept by the caller, it never changes an
area) and optional `nib_mm` (width of a line or point, by default NIB_MM). Polygons are taken as drawn,
self-crossings repaired by the painting rule; lines and points are painted with a round nib. Everything is
clipped to the body. Beside `features` the file may carry `age`, `sex`, `history` and `findings`, read by
reasoning.case; other members are left alone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from bodymaps import geometry, kinds, marks
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.reasoning import case as cases
from bodymaps.reasoning.case import Case, CaseError
from bodymaps.strokes import LIMITS, VIEWS, StrokeError, check_crossings, choice, number, thinned

NIB_MM = 12.0
GEOMETRIES = ("Polygon", "MultiPolygon", "LineString", "Point")


class FileLimits(NamedTuple):
    """What one file may hold. A line is a stroke and has the limits of one; outlines made by programs may
    be longer.
    """

    bytes: int = 4 * 1024 * 1024
    features: int = LIMITS.strokes_per_visit
    points_per_line: int = LIMITS.points_per_stroke
    points_per_ring: int = 5_000
    points: int = 100_000
    # Of one ring: a thousand points in any order cross about 120,000 times and are repaired in some 4 s.
    crossings_per_ring: int = 150_000


FILE_LIMITS = FileLimits()


class DrawingError(ValueError):
    """A drawing that cannot be read; the message is one line and names the feature by its index, or the
    member ("history.onset").
    """


@dataclass(frozen=True)
class DrawingFile:
    """Marks on the body, whether the file held any feature at all (on the body or not), and what it tells of
    the person.
    """

    marks: tuple[Mark, ...]
    something_drawn: bool
    case: Case = Case()


@dataclass(frozen=True)
class Feature:
    """One drawn feature, not yet clipped. pen: the points of a line or a tap, none of a polygon."""

    view: str
    kind: str
    area: Area
    points: int
    pen: list[tuple[float, float]]


def read(text: str | bytes, outlines: Mapping[str, Area] | None = None) -> DrawingFile:
    """Marks from the text of a FeatureCollection; raises DrawingError."""
    data = _collection(text)
    features = _features(_entries(data))
    edges = outlines if outlines is not None else marks.body_outlines()
    found = [
        mark
        for view in VIEWS
        for kind in kinds.IDS
        if (mark := _mark(features, view, kind, edges[view])) is not None
    ]
    return DrawingFile(tuple(found), something_drawn=bool(features), case=_case(data))


def _case(data: Mapping[str, Any]) -> Case:
    try:
        return cases.read(data)
    except CaseError as error:
        raise DrawingError(str(error)) from None


def _collection(text: str | bytes) -> dict[str, Any]:
    size = len(text.encode() if isinstance(text, str) else text)
    if size > FILE_LIMITS.bytes:
        raise DrawingError(f"the drawing has {size:,} bytes; at most {FILE_LIMITS.bytes:,} are read")
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise DrawingError(f"the drawing is not JSON: {' '.join(str(error).split())}") from None
    if not isinstance(data, dict) or data.get("type") != "FeatureCollection":
        raise DrawingError("the drawing must be a FeatureCollection")
    return data


def _entries(data: Mapping[str, Any]) -> list[Any]:
    entries = data.get("features")
    if not isinstance(entries, list):
        raise DrawingError("the drawing's features must be a list")
    if len(entries) > FILE_LIMITS.features:
        raise DrawingError(
            f"feature {FILE_LIMITS.features}: one too many; at most {FILE_LIMITS.features} features are read"
        )
    return entries


def _features(entries: list[Any]) -> list[Feature]:
    features, points = [], 0
    for index, entry in enumerate(entries):
        features.append(_feature(entry, index))
        points += features[-1].points
        if points > FILE_LIMITS.points:
            raise DrawingError(
                f"feature {index}: {points:,} points up to here; at most {FILE_LIMITS.points:,} are read"
            )
    return features


def _feature(entry: Any, index: int) -> Feature:
    try:
        return _read_feature(entry)
    except StrokeError as error:
        raise DrawingError(f"feature {index}: {str(error).rstrip('.')}") from None


def _read_feature(entry: Any) -> Feature:
    properties = entry.get("properties") if isinstance(entry, dict) else None
    shape = entry.get("geometry") if isinstance(entry, dict) else None
    if not isinstance(properties, dict) or not isinstance(shape, dict):
        raise StrokeError("a feature needs properties and a geometry")
    view = choice(properties.get("view"), "view", VIEWS)
    kind = choice(properties.get("kind"), "kind", kinds.IDS)
    nib = number(properties.get("nib_mm", NIB_MM), "nib_mm", LIMITS.smallest_nib_mm, LIMITS.largest_nib_mm)
    if properties.get("intensity") is not None:
        number(properties["intensity"], "intensity", 0, 10)
    name, coordinates = choice(shape.get("type"), "geometry", GEOMETRIES), shape.get("coordinates")
    if name in ("Point", "LineString"):
        pen = [_place(coordinates)] if name == "Point" else _line(coordinates, FILE_LIMITS.points_per_line)
        return Feature(view, kind, geometry.paint_line(thinned(pen), nib), len(pen), pen)
    polygons = [coordinates] if name == "Polygon" else coordinates
    if not isinstance(polygons, list):
        raise StrokeError("coordinates must be a list")
    read = [_polygon(rings) for rings in polygons]
    return Feature(view, kind, geometry.unite(area for area, _ in read), sum(count for _, count in read), [])


def _polygon(rings: Any) -> tuple[Area, int]:
    """Outer ring less its holes; every ring repaired on its own: a crossing never turns inside out."""
    if not isinstance(rings, list):
        raise StrokeError("coordinates must be a list of rings")
    lines = [_line(ring, FILE_LIMITS.points_per_ring) for ring in rings]
    if not lines:
        return geometry.EMPTY, 0
    for line in lines:
        check_crossings(line, FILE_LIMITS.crossings_per_ring)
    outer, *holes = (geometry.ring_repaired(line) for line in lines)
    return geometry.take_away(outer, geometry.unite(holes)), sum(len(line) for line in lines)


def _line(coordinates: Any, most: int) -> list[tuple[float, float]]:
    if not isinstance(coordinates, list) or not coordinates:
        raise StrokeError("coordinates must be a list of at least one point")
    if len(coordinates) > most:
        raise StrokeError(f"{len(coordinates):,} points in one line; at most {most:,} are read")
    return [_place(place) for place in coordinates]


def _place(place: Any) -> tuple[float, float]:
    """x and y; a third coordinate, which GeoJSON allows, is left out."""
    if not isinstance(place, list) or len(place) not in (2, 3):
        raise StrokeError("a point must be [x, y]")
    far = LIMITS.farthest_mm
    return geometry.place_on_grid(number(place[0], "x", -far, far), number(place[1], "y", -far, far))


def _mark(features: list[Feature], view: str, kind: str, outline: Area) -> Mark | None:
    here = [feature for feature in features if feature.view == view and feature.kind == kind]
    area = marks.clipped(geometry.unite(geometry.on_grid(feature.area) for feature in here), outline)
    if area.is_empty:
        return None
    taps = all(feature.pen for feature in here)
    return Mark(view, kind, area, taps and marks.is_tap([place for feature in here for place in feature.pen]))

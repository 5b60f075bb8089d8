"""The one place that speaks to shapely: areas on the body figure, in figure millimetres, y down.

Every area inside the product is a `MultiPolygon` (possibly empty), so nobody has to ask which kind of
geometry came back. Cost: a union or an overlay grows faster than the number of vertices when lines cross
often; paint in pieces (`paint_line`) and keep to the limits of `strokes.LIMITS`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf, isnan

import numpy as np
import numpy.typing as npt
import shapely
from shapely import MultiPolygon as Area
from shapely.affinity import affine_transform

__all__ = ["Area"]  # the type under which everybody else knows a MultiPolygon

Line = Sequence[tuple[float, float]]

EMPTY: Area = shapely.MultiPolygon()

# One micrometre of the figure. Putting every painted stroke on this grid before it is united makes the united
# area independent of the order in which strokes arrive.
GRID = 0.001
# Segments in a quarter circle of the nib. At 8 the disc is 0.6 % smaller than a true circle, less than the
# finger of a patient repeats, and a stroke has half the vertices it would have at shapely's default of 16.
QUARTER = 8
# Points of a line that are widened at a time. One buffer over a dense scribble is superlinear in its
# crossings.
PIECE = 20
# Segments whose crossings are counted at a time.
COUNTED = 100


def as_area(geometry: object) -> Area:
    """Keep the polygons of any geometry; lines and points, which have no area, are dropped.

    >>> as_area(shapely.box(0, 0, 2, 3)).area
    6.0
    >>> as_area(shapely.Point(1, 1)).is_empty
    True
    """
    if isinstance(geometry, shapely.MultiPolygon):
        return geometry
    if isinstance(geometry, shapely.Polygon):
        return Area() if geometry.is_empty else Area([geometry])
    # A collection may hold collections: two steps down reach every part GEOS makes.
    parts = [part for part in shapely.get_parts(shapely.get_parts(geometry)) if part.geom_type == "Polygon"]
    return Area([part for part in parts if not part.is_empty])


def area_from_rings(rings: Sequence[Line]) -> Area:
    """One polygon from [outer ring, hole, hole ...]."""
    return shapely.MultiPolygon([shapely.Polygon(rings[0], rings[1:])])


def area_from_polygons(polygons: Sequence[Sequence[Line]]) -> Area:
    """An area from [[outline, hole, ...], ...], taken as it is. ValueError for what is no ring."""
    parts = [
        shapely.polygons(_ring(rings[0]), [_ring(hole) for hole in rings[1:]] or None) for rings in polygons
    ]
    return shapely.multipolygons(parts) if parts else EMPTY


def _ring(points: Line) -> shapely.LinearRing:
    try:
        return shapely.linearrings(np.asarray(points, np.float64))
    except shapely.errors.ShapelyError as error:
        raise ValueError(str(error)) from None


def rings_of(area: Area, digits: int = 1) -> list[list[list[list[float]]]]:
    """GeoJSON MultiPolygon coordinates (rings closed), rounded to `digits` decimals of a millimetre."""
    return [
        [_rounded(ring, digits) for ring in (polygon.exterior, *polygon.interiors)]
        for polygon in as_area(area).geoms
    ]


def edges(area: Area) -> npt.NDArray[np.float64]:
    """Every edge of every ring as a row x1, y1, x2, y2 (mm)."""
    points, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(area)), return_index=True)
    same = ring[1:] == ring[:-1]
    return np.hstack([points[:-1][same], points[1:][same]])


def _rounded(ring: object, digits: int) -> list[list[float]]:
    return [[round(x, digits), round(y, digits)] for x, y in shapely.get_coordinates(ring).tolist()]


def box(left: float, top: float, right: float, bottom: float) -> Area:
    return as_area(shapely.box(left, top, right, bottom))


def place_on_grid(x: float, y: float) -> tuple[float, float]:
    """A point on the grid of the painting rule; numbers too small to matter would upset GEOS."""
    return (round(x, 3) + 0.0, round(y, 3) + 0.0)


def on_grid(area: Area, grid: float = GRID) -> Area:
    """Snap to a grid (mm) in one fixed ring order, so that equal areas have equal coordinates."""
    return as_area(shapely.normalize(shapely.set_precision(area, grid)))


def unite(areas: Iterable[Area]) -> Area:
    return as_area(shapely.union_all(list(areas)))


def together(areas: Iterable[Area]) -> Area:
    """As `unite`, for areas that do not overlap themselves: one alone stays as it is. Uniting a scribble with
    nothing would cost more than ranking it.
    """
    found = list(areas)
    return found[0] if len(found) == 1 else unite(found)


def take_away(area: Area, other: Area) -> Area:
    return as_area(shapely.difference(area, other))


def overlap(area: Area, other: Area) -> Area:
    return as_area(shapely.intersection(area, other))


def widen(area: Area, by: float) -> Area:
    """Grow by `by` mm (negative: shrink), with round corners."""
    return as_area(shapely.buffer(area, by, quad_segs=QUARTER))


def rounded(area: Area, radius: float) -> Area:
    """Round off corners: notches narrower than two radii are filled, then spikes narrower than that are
    taken off.
    """
    closed = shapely.buffer(shapely.buffer(area, radius, quad_segs=QUARTER), -radius, quad_segs=QUARTER)
    opened = shapely.buffer(shapely.buffer(closed, -radius, quad_segs=QUARTER), radius, quad_segs=QUARTER)
    return as_area(opened)


def thinned_outline(area: Area, tolerance: float) -> Area:
    """Fewer vertices, none moved by more than `tolerance` mm."""
    return as_area(shapely.simplify(area, tolerance))


def patches_of(area: Area) -> list[Area]:
    """The connected patches of an area, each an area of its own."""
    return [Area([polygon]) for polygon in area.geoms]


def without_crumbs(area: Area, smallest: float) -> Area:
    """Leave out parts and fill holes smaller than `smallest` mm²."""
    kept = []
    for polygon in area.geoms:
        if polygon.area >= smallest:
            holes = [hole for hole in polygon.interiors if shapely.Polygon(hole).area >= smallest]
            kept.append(shapely.Polygon(polygon.exterior, holes))
    return shapely.MultiPolygon(kept)


def mirrored(area: Area, midline_x: float) -> Area:
    """The same area on the other side of the body: x -> 2 · midline - x."""
    return affine_transform(area, [-1, 0, 0, 1, 2 * midline_x, 0])


def ring_repaired(ring: Line) -> Area:
    """The area a closed ring surrounds, however it crosses itself: doubled-over parts count as filled.

    `method="structure"` is part of the painting rule: the default of make_valid takes seconds on a scribble
    and treats doubled-over parts as holes, which is not what a patient means.
    """
    if len(ring) < 3:
        return EMPTY
    return repaired(area_from_rings([ring]))


def repaired(area: Area) -> Area:
    return as_area(shapely.make_valid(area, method="structure", keep_collapsed=False))


def paint_line(points: Line, width: float) -> Area:
    """What a round nib `width` mm wide leaves along the points; one point leaves a disc."""
    if len(points) == 1:
        return as_area(shapely.buffer(shapely.Point(points[0]), width / 2, quad_segs=QUARTER))
    pieces = [points[start : start + PIECE + 1] for start in range(0, len(points) - 1, PIECE)]
    strips = shapely.buffer([shapely.LineString(piece) for piece in pieces], width / 2, quad_segs=QUARTER)
    return as_area(shapely.union_all(strips))


def tapered(points: Line, widths: Sequence[float]) -> Area:
    """A band through the points whose width changes from point to point, with round ends."""
    discs = shapely.buffer([shapely.Point(p) for p in points], [w / 2 for w in widths], quad_segs=QUARTER)
    if len(points) == 1:
        return as_area(discs[0])
    links = [
        shapely.convex_hull(shapely.union(first, second))
        for first, second in zip(discs[:-1], discs[1:], strict=True)
    ]
    return as_area(shapely.union_all(links))


def area_cm2(area: Area) -> float:
    """Area in cm² on the figure (a person 1,700 mm tall)."""
    return float(area.area) / 100


def overlap_sizes(area: Area, others: Sequence[Area]) -> list[float]:
    """mm² that `area` shares with each of the others."""
    # All at once: asking first whether one lies inside the other costs more than it saves.
    return [float(size) for size in shapely.area(shapely.intersection(area, list(others)))]


def near_pairs(areas: Sequence[Area], reach: float) -> list[tuple[int, int]]:
    """The pairs of places (lower first, sorted) of areas that come within `reach` mm of each other.

    The tree prepares the areas it is asked about: only for areas that belong to the caller alone.
    """
    if not areas:
        return []
    tree = shapely.STRtree(list(areas))
    found = tree.query(list(areas), predicate="dwithin", distance=reach).T.tolist()
    return sorted((one, other) for one, other in found if one < other)


def gap(area: Area, other: Area) -> float:
    """mm between two areas, 0 when they meet, infinite when one is empty."""
    distance = float(shapely.distance(area, other))
    return inf if isnan(distance) else distance


def farthest_apart(area: Area, other: Area) -> float:
    """The Hausdorff distance in mm: how far the farthest corner of either lies from the other area's edge."""
    return float(shapely.hausdorff_distance(area, other))


def nearest(areas: Sequence[Area], x: float, y: float) -> int:
    """The place in the list of the area nearest to a point, the first of equals."""
    return int(shapely.distance(list(areas), shapely.Point(x, y)).argmin())


def is_inside(area: Area, outline: Area, slack: float = 0.0) -> bool:
    """True when at most `slack` mm² of `area` lies outside `outline`."""
    return bool(shapely.covers(outline, area)) or float(shapely.difference(area, outline).area) <= slack


def holds_point(area: Area, x: float, y: float) -> bool:
    # Not intersects_xy: it prepares the area it is given, and two threads that prepare one area at once
    # crash the process.
    return bool(shapely.intersects(area, shapely.Point(x, y)))


def which_hold(areas: Sequence[Area], x: float, y: float) -> list[bool]:
    """For each area whether it holds the point (edges count), all at once; none of them is prepared."""
    return [bool(found) for found in shapely.intersects(list(areas), shapely.Point(x, y))] if areas else []


def inner_place(area: Area) -> tuple[float, float]:
    """The middle of the largest circle that fits into the area's largest patch (to 1 mm): room for a number.

    Raises ValueError for an area that is empty.
    """
    if area.is_empty:
        raise ValueError("an empty area has no place inside")
    patch = max(area.geoms, key=lambda polygon: polygon.area)
    # A radius of the circle: its first point is the middle.
    x, y = shapely.get_coordinates(shapely.maximum_inscribed_circle(patch, tolerance=1.0))[0].tolist()
    return (x, y)


def why_not_valid(area: Area) -> str:
    """Empty text when the polygons are valid, otherwise the reason in the words of GEOS."""
    return "" if shapely.is_valid(area) else str(shapely.is_valid_reason(area))


def edge_length_near(area: Area, strip: Area) -> float:
    """mm of the edge of `area` that run inside `strip`."""
    return float(shapely.intersection(shapely.boundary(area), strip).length)


def strip_along_edges(areas: Sequence[Area], reach: float) -> Area:
    """The strip within `reach` mm of any edge of the areas."""
    edges = shapely.union_all(shapely.boundary(list(areas)))
    return as_area(shapely.buffer(edges, reach, quad_segs=2))


def lines_inside(lines: Sequence[Line], area: Area) -> list[list[tuple[float, float]]]:
    """The pieces of the lines that lie inside the area."""
    if area.is_empty or not lines:
        return []
    cut = shapely.intersection(shapely.MultiLineString([list(line) for line in lines]), area)
    parts = [part for part in shapely.get_parts(shapely.get_parts(cut)) if part.geom_type == "LineString"]
    return [[(x, y) for x, y in shapely.get_coordinates(part).tolist()] for part in parts]


def long_axis(area: Area) -> tuple[float, float]:
    """Unit vector along the longer side of the tightest rectangle round the area, pointing down the body."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(area)).tolist()
    sides = [(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in zip(corners[:2], corners[1:3], strict=True)]
    dx, dy = max(sides, key=lambda side: side[0] ** 2 + side[1] ** 2)
    length = float((dx * dx + dy * dy) ** 0.5)
    sign = 1.0 if dy >= 0 else -1.0
    return (sign * dx / length, sign * dy / length)


def slice_between(area: Area, axis: tuple[float, float], start: float, end: float) -> Area:
    """The part of `area` between two fractions (0..1) of its extent along the unit vector `axis`."""
    ax, ay = axis
    along = [x * ax + y * ay for x, y in shapely.get_coordinates(area).tolist()]
    low, extent = min(along), max(along) - min(along)
    near, far = low + start * extent, low + end * extent
    reach = 5000.0
    corners = [
        (ax * d - ay * side, ay * d + ax * side)
        for d, side in ((near, -reach), (far, -reach), (far, reach), (near, reach))
    ]
    return overlap(area, area_from_rings([corners]))


def cut_by(area: Area, others: Sequence[Area]) -> list[tuple[int, Area]]:
    """The parts of `area` that lie in each of the others, with the place of the other in the list."""
    parts = enumerate(shapely.intersection(area, list(others)))
    found = [(index, as_area(part)) for index, part in parts if not part.is_empty]
    return [(index, part) for index, part in found if not part.is_empty]


def crosses_itself_more_than(line: Line, most: int) -> bool:
    """True when pairs of the closed line's segments that meet, neighbours apart, are more than `most`.

    Repair costs about 30 microseconds for each of them. Counting stops as soon as the answer is known.
    """
    pairs = zip(line, [*line[1:], line[0]], strict=True)
    segments = [shapely.LineString(pair) for pair in pairs if pair[0] != pair[1]]
    tree, met = shapely.STRtree(segments), 0
    for start in range(0, len(segments), COUNTED):
        chunk = segments[start : start + COUNTED]
        met += tree.query(chunk, predicate="intersects").shape[1]
        # Every pair is found from both its ends, every segment meets itself and its two neighbours.
        if met - 3 * len(segments) > 2 * most:
            return True
    return False

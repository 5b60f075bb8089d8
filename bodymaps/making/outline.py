"""Where the edge of the body runs: from projected faces to one smooth, symmetric ring per part."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Geometry
from shapely.geometry import LinearRing, MultiPolygon, Polygon, box

MIDLINE = 500.0
FRAME = (1000.0, 1700.0)

# Gaps narrower than twice this are closed: slits between faces, not between fingers.
CLOSING = 0.9
# Spacing of the ring's points in mm, and rounds of relaxation.
SPACING = 1.0
SMOOTHING_ROUNDS = 40
# Largest distance of a dropped point from the ring: below what four times zoom can show.
FLATNESS = 0.04
# Longest straight piece, so that a region's border finds a point of the outline to end on.
LONGEST = 5.0


def silhouette(corners: np.ndarray) -> Polygon:
    """Union of projected triangles (n, 3, 2), without slits; the largest part when there are several."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / 2
    united = shapely.union_all(shapely.polygons(corners[area > 1e-4]), grid_size=0.001)
    closed = united.buffer(CLOSING).buffer(-CLOSING)
    return max(getattr(closed, "geoms", [closed]), key=lambda part: part.area)


def smooth(shape: Polygon) -> Polygon:
    """The outer ring resampled evenly and relaxed, so that no facet shows at four times zoom."""
    ring = resampled(np.array(shape.exterior.coords), SPACING)
    for _ in range(SMOOTHING_ROUNDS):
        # Taubin's pair: the second, negative step keeps the ring from shrinking.
        for pull in (0.5, -0.53):
            ring = ring + pull * ((np.roll(ring, 1, 0) + np.roll(ring, -1, 0)) / 2 - ring)
    return Polygon(resampled(ring, SPACING)).simplify(FLATNESS).segmentize(LONGEST)


def resampled(ring: np.ndarray, spacing: float) -> np.ndarray:
    line = LinearRing(ring)
    count = max(int(round(line.length / spacing)), 8)
    places = shapely.line_interpolate_point(line, np.arange(count) / count, normalized=True)
    return shapely.get_coordinates(places)


def rounded_below(shape: Polygon, height: float, radius: float) -> Polygon:
    """Outward corners lower than the height (y) rounded off."""
    low = box(-50, height, 2 * MIDLINE + 50, FRAME[1] + 50)
    corners = shape.difference(shape.buffer(-radius).buffer(radius)).intersection(low)
    kept = shape.difference(corners, grid_size=0.001)
    return max(getattr(kept, "geoms", [kept]), key=lambda part: part.area)


def to_stature(shape: Polygon) -> Polygon:
    """Stretched by the millimetre that smoothing took away, so that crown and floor are 0 and 1700 again."""
    _, top, _, bottom = shape.bounds
    factor = FRAME[1] / (bottom - top)
    return shapely.transform(shape, lambda c: np.column_stack([c[:, 0], (c[:, 1] - top) * factor]))


def symmetric(whole_body: Polygon) -> Polygon:
    """The half on the patient's right of the front view joined with its mirror image about the midline."""
    kept = rounded(whole_body.intersection(box(-50, -50, MIDLINE, FRAME[1] + 50)))
    whole = shapely.union_all([kept, mirrored(kept)])
    return max(getattr(whole, "geoms", [whole]), key=lambda part: part.area)


def mirrored(shape: Geometry) -> Geometry:
    """The shape on the other side of the midline."""
    return shapely.transform(shape, lambda c: np.column_stack([2 * MIDLINE - c[:, 0], c[:, 1]]))


def rounded(shape: Geometry) -> Geometry:
    """Coordinates on the 0.1 mm grid of the data files, still valid."""
    return shapely.set_precision(shape, 0.1)


def rings(shape: Geometry) -> list[list[list[float]]]:
    """Polygon or MultiPolygon as lists of closed rings, one decimal."""
    parts = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    return [
        [[round(float(x), 1), round(float(y), 1)] for x, y in ring.coords]
        for part in parts
        for ring in [part.exterior, *part.interiors]
    ]

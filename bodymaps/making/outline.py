"""Where the edge of the body runs: from projected faces to one smooth, symmetric ring per part."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LinearRing, MultiPolygon, Polygon, box

MIDLINE = 500.0
FRAME = (1000.0, 1700.0)

# Gaps narrower than twice this are closed: slits between faces, not between fingers.
CLOSING = 0.9
# Spacing of the ring's points before and after smoothing.
COARSE, FINE = 2.0, 1.0
SMOOTHING_ROUNDS = 6
# Largest distance of a dropped point from the ring: below what four times zoom can show.
FLATNESS = 0.06


def silhouette(corners: np.ndarray) -> Polygon:
    """Union of projected triangles (n, 3, 2), without slits; the largest part when there are several."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / 2
    united = shapely.union_all(shapely.polygons(corners[area > 1e-4]), grid_size=0.001)
    closed = united.buffer(CLOSING).buffer(-CLOSING)
    return max(getattr(closed, "geoms", [closed]), key=lambda part: part.area)


def smooth(shape: Polygon) -> Polygon:
    """The outer ring resampled evenly and relaxed, so that no facet shows at four times zoom."""
    ring = resampled(np.array(shape.exterior.coords), COARSE / 2)
    for _ in range(SMOOTHING_ROUNDS):
        # Taubin's pair: the second, negative step keeps the ring from shrinking.
        for pull in (0.5, -0.53):
            ring = ring + pull * ((np.roll(ring, 1, 0) + np.roll(ring, -1, 0)) / 2 - ring)
    return Polygon(resampled(ring, FINE)).simplify(FLATNESS)


def resampled(ring: np.ndarray, spacing: float) -> np.ndarray:
    line = LinearRing(ring)
    count = max(int(round(line.length / spacing)), 8)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, np.arange(count) / count, normalized=True))


def symmetric(half: Polygon, keep_left_of_frame: bool) -> Polygon:
    """The half on the patient's right joined with its mirror image about the midline.

    A hair's overlap at the midline keeps rounding from splitting the two halves.
    """
    width, height = FRAME
    window = box(-50, -50, MIDLINE, height + 50) if keep_left_of_frame else box(MIDLINE, -50, width + 50, height + 50)
    kept = rounded(half.intersection(window))
    whole = shapely.union_all([kept, mirrored(kept)])
    return max(getattr(whole, "geoms", [whole]), key=lambda part: part.area)


def mirrored(shape):
    return shapely.transform(shape, lambda c: np.column_stack([2 * MIDLINE - c[:, 0], c[:, 1]]))


def rounded(shape):
    """Coordinates on the 0.1 mm grid of the data files, still valid."""
    return shapely.set_precision(shape, 0.1)


def rings(shape) -> list[list[list[float]]]:
    """Polygon or MultiPolygon as lists of closed rings, one decimal."""
    parts = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    return [
        [[round(float(x), 1), round(float(y), 1)] for x, y in ring.coords]
        for part in parts
        for ring in [part.exterior, *part.interiors]
    ]

"""How a body becomes a picture: depth and surface normal per pixel, then a soft grey tone."""

from __future__ import annotations

import numpy as np


def normals(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Unit normal per point (n, 3), the mean of the faces around it by area."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    face = np.cross(b - a, c - a)
    total = np.zeros_like(points)
    for k in range(3):
        for axis in range(3):
            total[:, axis] += np.bincount(triangles[:, k], face[:, axis], len(points))
    return total / (np.linalg.norm(total, axis=1, keepdims=True) + 1e-12)


def rasterised(
    points: np.ndarray, triangles: np.ndarray, values: np.ndarray, size: tuple[int, int]
) -> tuple[np.ndarray, np.ndarray]:
    """Nearest surface per pixel. points (n, 3) in pixels, z toward the viewer; values (n, k).

    Returns depth (rows, columns), -inf where nothing is, and the values there (rows, columns, k).
    """
    rows, columns = size
    depth = np.full(size, -np.inf)
    picture = np.zeros((rows, columns, values.shape[1]))
    for corners, value in zip(points[triangles], values[triangles], strict=True):
        (x0, y0, _), (x1, y1, _), (x2, y2, _) = corners
        twice_area = (y1 - y2) * (x0 - x2) + (x2 - x1) * (y0 - y2)
        if abs(twice_area) < 1e-9:
            continue
        left, right = max(int(np.floor(min(x0, x1, x2))), 0), min(int(max(x0, x1, x2)) + 1, columns)
        top, bottom = max(int(np.floor(min(y0, y1, y2))), 0), min(int(max(y0, y1, y2)) + 1, rows)
        if left >= right or top >= bottom:
            continue
        gx, gy = np.arange(left, right) + 0.5, (np.arange(top, bottom) + 0.5)[:, None]
        u = ((y1 - y2) * (gx - x2) + (x2 - x1) * (gy - y2)) / twice_area
        v = ((y2 - y0) * (gx - x2) + (x0 - x2) * (gy - y2)) / twice_area
        w = 1 - u - v
        z = u * corners[0, 2] + v * corners[1, 2] + w * corners[2, 2]
        here = depth[top:bottom, left:right]
        seen = (u >= -1e-6) & (v >= -1e-6) & (w >= -1e-6) & (z > here)
        if seen.any():
            here[seen] = z[seen]
            weights = np.stack([u[seen], v[seen], w[seen]], 1)
            picture[top:bottom, left:right][seen] = weights @ value
    return depth, picture

"""How a body becomes a picture: depth and surface normal per pixel, then a soft grey tone.

Only the patient's right half is drawn; the other half is its mirror image, so the picture is symmetric.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely
from PIL import Image, ImageDraw
from shapely import Geometry

PIXELS_PER_MM = 2

# Paper white is 255. The relief stays light so that colours and textures laid over it keep their contrast.
LIGHTEST, DARKEST = 251.0, 172.0
LIGHT = np.array([0.0, 0.5, 0.87])
# How much of the tone comes from the light above, from the surface turning away, from hollows.
FROM_LIGHT, FROM_EDGE = 0.60, 0.30
HOLLOWS = ((28.0, 0.7), (7.0, 0.5))
# How soon the tone levels off toward its darkest, so that no shadow becomes a flat patch.
SOFTNESS = 2.0
EDGE_SUPERSAMPLING = 4


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
        left, right = max(int(min(x0, x1, x2)), 0), min(int(max(x0, x1, x2)) + 1, columns)
        top, bottom = max(int(min(y0, y1, y2)), 0), min(int(max(y0, y1, y2)) + 1, rows)
        if abs(twice_area) < 1e-9 or left >= right or top >= bottom:
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
            picture[top:bottom, left:right][seen] = np.stack([u[seen], v[seen], w[seen]], 1) @ value
    return depth, picture


def surface(points: np.ndarray, triangles: np.ndarray, window: tuple[int, int, int, int]) -> np.ndarray:
    """Unit normals (rows, columns, 3) of what a viewer at +z sees, their y running up.

    window: left, top, right, bottom in mm. Where nothing is seen the nearest surface goes on, so that a
    smoothed outline never shows a blank rim.
    """
    left, top, right, bottom = window
    facing = normals(points * [1, -1, 1], triangles)
    turned_to_viewer = (facing[triangles][:, :, 2] > -0.3).any(1)
    x = points[triangles][:, :, 0]
    near = triangles[turned_to_viewer & (x.min(1) < right + 1) & (x.max(1) > left - 1)]
    pixels = (points - [left, top, 0]) * PIXELS_PER_MM
    size = ((bottom - top) * PIXELS_PER_MM, (right - left) * PIXELS_PER_MM)
    depth, picture = rasterised(pixels, near, facing, size)
    return _continued(picture, np.isfinite(depth), rounds=8)


def _continued(picture: np.ndarray, known: np.ndarray, rounds: int) -> np.ndarray:
    picture = picture.copy()
    for _ in range(rounds):
        total, count = np.zeros_like(picture), np.zeros(known.shape)
        for dy, dx in ((0, 1), (0, -1), (1, 0), (-1, 0)):
            total += np.roll(picture * known[..., None], (dy, dx), (0, 1))
            count += np.roll(known, (dy, dx), (0, 1))
        fresh = ~known & (count > 0)
        picture[fresh] = total[fresh] / count[fresh][:, None]
        known = known | fresh
    return picture


def blurred(picture: np.ndarray, sigma_mm: float, known: np.ndarray) -> np.ndarray:
    """Gaussian blur (three box blurs) that ignores what is not known, so edges do not darken."""
    radius = max(int(round(sigma_mm * PIXELS_PER_MM)), 1)
    flat = picture if picture.ndim == 3 else picture[..., None]
    total, weight = flat * known[..., None], known[..., None].astype(float)
    for _ in range(3):
        for axis in (0, 1):
            total, weight = _boxed(total, radius, axis), _boxed(weight, radius, axis)
    smooth = total / np.maximum(weight, 1e-9)
    return smooth if picture.ndim == 3 else smooth[..., 0]


def _boxed(values: np.ndarray, radius: int, axis: int) -> np.ndarray:
    padding = [(0, 0)] * values.ndim
    padding[axis] = (radius + 1, radius)
    sums = np.cumsum(np.pad(values, padding), axis)
    width = 2 * radius + 1
    length = values.shape[axis]
    upper = np.take(sums, np.arange(width, width + length), axis)
    return (upper - np.take(sums, np.arange(length), axis)) / width


def toned(facing: np.ndarray, known: np.ndarray) -> np.ndarray:
    """Grey 0..255 per pixel: light from above and the front, edges and hollows a little darker."""
    facing = facing / (np.linalg.norm(facing, axis=-1, keepdims=True) + 1e-9)
    lit = np.clip(facing @ (LIGHT / np.linalg.norm(LIGHT)), 0, 1)
    turned_away = (1 - np.clip(facing[..., 2], 0, 1)) ** 2
    shade = FROM_LIGHT * (1 - lit) + FROM_EDGE * turned_away
    for width, gain in HOLLOWS:
        hollow = shade - blurred(shade, width, known)
        shade = shade + gain * np.clip(hollow, -0.08, 0.2)
    return LIGHTEST - (LIGHTEST - DARKEST) * (1 - np.exp(-SOFTNESS * np.clip(shade, 0, None)))


def covered(shape: Geometry, size: tuple[int, int]) -> np.ndarray:
    """Share of each pixel (rows, columns) inside a shape given in mm, 0..1."""
    finer = PIXELS_PER_MM * EDGE_SUPERSAMPLING
    canvas = Image.new("L", (size[1] * EDGE_SUPERSAMPLING, size[0] * EDGE_SUPERSAMPLING))
    pen = ImageDraw.Draw(canvas)
    for part in shapely.get_parts(shape):
        pen.polygon([(x * finer - 0.5, y * finer - 0.5) for x, y in part.exterior.coords], fill=255)
    share = np.asarray(canvas.reduce(EDGE_SUPERSAMPLING)) / 255.0
    return (share + share[:, ::-1]) / 2


def saved(tone: np.ndarray, alpha: np.ndarray, path: Path) -> None:
    grey = Image.fromarray(np.where(alpha > 0, np.round(tone), LIGHTEST).astype("uint8"))
    Image.merge("LA", (grey, Image.fromarray(np.round(alpha * 255).astype("uint8")))).save(
        path, optimize=True
    )

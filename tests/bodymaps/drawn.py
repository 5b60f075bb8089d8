"""Drawings made of regions of the figure: whole, or a fraction of each, as a patient might shade them."""

from __future__ import annotations

from functools import cache

from bodymaps import geometry, regions
from bodymaps.geometry import Area
from bodymaps.marks import Mark


def region(region_id: str, side: str = "right") -> Area:
    for one in regions.load():
        if one.id == region_id and one.side in (side, "midline"):
            return geometry.as_area(one.area)
    raise KeyError(region_id)


@cache
def part(region_id: str, side: str, fraction: float) -> Area:
    """The inner part of a region, drawn in evenly from its borders until `fraction` of its area is left."""
    whole = region(region_id, side)
    low, high = 0.0, 200.0
    for _ in range(30):
        middle = (low + high) / 2
        if geometry.widen(whole, -middle).area > fraction * whole.area:
            low = middle
        else:
            high = middle
    return geometry.widen(whole, -low)


def end(region_id: str, side: str, fraction: float, first: bool = True) -> Area:
    """One end of a region along its long axis (the upper one first), as wide as the region, by extent."""
    whole = region(region_id, side)
    span = (0.0, fraction) if first else (1 - fraction, 1.0)
    return geometry.slice_between(whole, geometry.long_axis(whole), *span)


def marks(kind: str = "ache", side: str = "right", **fractions: float) -> tuple[Mark, ...]:
    """marks(front__temple=0.8) -> the inner 80 % of that region."""
    found = {name.replace("__", ":"): share for name, share in fractions.items()}
    return tuple(Mark(name.split(":")[0], kind, part(name, side, share)) for name, share in found.items())


def copy(region_id: str, side: str, fraction: float) -> Area:
    """A smaller copy of a region round the same middle, clipped to it."""
    whole = region(region_id, side)
    left, top, right, bottom = whole.bounds
    x, y, scale = (left + right) / 2, (top + bottom) / 2, fraction**0.5
    smaller = geometry.area_from_polygons(
        [
            [[(x + (px - x) * scale, y + (py - y) * scale) for px, py in ring] for ring in polygon]
            for polygon in geometry.rings_of(whole, 3)
        ]
    )
    return geometry.overlap(smaller, whole)

"""Areas as SVG: path strings with dot decimals whatever the locale, and textures.

Colours are written into attributes by whoever draws, never taken from CSS, so that screen and print are the
same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor

from bodymaps import geometry, kinds
from bodymaps.geometry import Area
from bodymaps.kinds import Kind, Polyline, Texture

# The kinds' colours, inks and textures, by id.
KINDS: dict[str, Kind] = {kind.id: kind for kind in kinds.load()}


def diamond(x: float, y: float, reach: float) -> str:
    """The `d` of a square that stands on its corner, by its middle and the reach of its corners (mm)."""
    corners = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
    return "M" + "L".join(f"{cx:.1f} {cy:.1f}" for cx, cy in corners) + "Z"


def path(area: Area) -> str:
    """The `d` of a path (mm, one decimal): "M12.3 45.6L...Z" ring by ring; fill it with fill-rule evenodd."""
    return "".join(_ring(ring) for polygon in geometry.rings_of(area, 2) for ring in polygon)


def _ring(ring: Sequence[Sequence[float]]) -> str:
    return f"M{'L'.join(_place(x, y) for x, y in ring[:-1])}Z"


def _place(x: float, y: float) -> str:
    return f"{_number(x)} {_number(y)}"


def _number(value: float) -> str:
    """12.0 -> "12", -0.04 -> "0"; `format` with a fixed code takes no notice of the locale."""
    text = format(value, ".1f")
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def texture_path(area: Area, kind: str) -> str:
    """The `d` of the kind's texture clipped to the area: stroke it, no fill, width
    KINDS[kind].texture.width mm.
    """
    return hatch(area, KINDS[kind].texture)


def hatch(area: Area, texture: Texture) -> str:
    """The `d` of any texture clipped to the area.

    Clipped here and not by the renderer, so that screen, print and PDF show the same lines.
    """
    if area.is_empty:
        return ""
    pieces = geometry.lines_inside(list(_tiled(area.bounds, texture)), area)
    return "".join(f"M{'L'.join(_place(x, y) for x, y in piece)}" for piece in pieces)


def _tiled(bounds: tuple[float, float, float, float], texture: Texture) -> Iterator[Polyline]:
    """The tile's lines repeated over a box, in step with the frame, so that neighbouring areas join up."""
    width, height = texture.tile
    left, top, right, bottom = bounds
    for row in range(floor(top / height), ceil(bottom / height)):
        for column in range(floor(left / width), ceil(right / width)):
            for line in texture.lines:
                yield tuple((x + column * width, y + row * height) for x, y in line)

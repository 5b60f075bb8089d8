"""The small picture of a drawing in a list. The only importer of Pillow outside the build commands."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from io import BytesIO

from PIL import Image, ImageDraw

from bodymaps import figure, geometry, kinds
from bodymaps.geometry import Area
from bodymaps.marks import Mark, body_outlines

BODY, EDGE, PAPER = "#eceae5", "#8c8a85", "#ffffff"
# Pillow draws hard edges: draw larger, then scale down.
FINE = 3


def png(marks: Sequence[Mark], height: int = 120) -> bytes:
    """Front and back side by side with the drawing on them, `height` pixels high, as PNG bytes."""
    picture = _bodies(height).copy()
    for mark in marks:
        kind = kinds.kind(mark.kind)
        picture.paste(kind.colour, (0, 0), _mask(picture.size, mark.view, mark.area, height))
    small = picture.resize((picture.width // FINE, picture.height // FINE), Image.Resampling.LANCZOS)
    out = BytesIO()
    small.save(out, format="PNG", optimize=True)
    return out.getvalue()


@cache
def _bodies(height: int) -> Image.Image:
    frame = figure.load().view("front")
    scale = height * FINE / frame.height
    picture = Image.new("RGB", (round(2 * frame.width * scale), height * FINE), PAPER)
    draw = ImageDraw.Draw(picture)
    for view, outline in body_outlines().items():
        for polygon in _rings(view, outline, height):
            draw.polygon(polygon[0], fill=BODY, outline=EDGE)
    return picture


def _mask(size: tuple[int, int], view: str, area: Area, height: int) -> Image.Image:
    mask = Image.new("L", size, 0)
    draw = ImageDraw.Draw(mask)
    for polygon in _rings(view, area, height):
        for depth, ring in enumerate(polygon):
            draw.polygon(ring, fill=255 if depth == 0 else 0)
    return mask


def _rings(view: str, area: Area, height: int) -> list[list[list[tuple[float, float]]]]:
    """Polygons as rings in pixels; the back view stands to the right of the front."""
    frame = figure.load().view(view)
    scale = height * FINE / frame.height
    shift = 0.0 if view == "front" else frame.width
    return [
        [[((x + shift) * scale, y * scale) for x, y in ring] for ring in polygon]
        for polygon in geometry.rings_of(area)
    ]

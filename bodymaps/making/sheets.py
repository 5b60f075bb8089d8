"""Print pictures of the atlas, to be looked at: every site of every muscle over the figure, several on a
sheet.

    python -m bodymaps.making.sheets                                  everything, into out/atlas-sheets
    python -m bodymaps.making.sheets OUT_FOLDER                       everything: all muscles and the
    dermatomes python -m bodymaps.making.sheets OUT_FOLDER muscle [muscle ...]   these only (a pattern
    file's name without .toml) python -m bodymaps.making.sheets OUT_FOLDER dermatomes            the
    dermatomes only; so with nerves, plexuses, joints, organs

It reads the pattern files, not the compiled file, so that a change can be seen before it is compiled. Front
and back stand side by side at one scale, cropped to the part of the body in use. Core: deep teal with a
firm edge. Spillover: light teal lines with a dashed edge. Ring with a dot: where the site lies (in the back
view when the muscle is there). Thin grey lines: borders of the regions.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from bodymaps import atlas, atlas_file, figure, geometry
from bodymaps.atlas import AtlasError
from bodymaps.geometry import Area
from bodymaps.making.atlas import DERMATOMES, PATTERNS, STRUCTURES, FigureBody, dermatomes, muscle, structures

TEAL, INK, EDGE, PAPER = (12, 92, 94), (25, 35, 40), (120, 130, 136), (255, 255, 255)
PANEL_W, PANEL_H, TITLE_H, GAP = 330, 380, 58, 14
COLUMNS, ROWS = 3, 4
# Draw this much larger and scale down: smooth edges from a library that has none of its own.
FINE = 2
MARGIN_MM, SMALLEST_MM = 45.0, 210.0

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Picture:
    """One cell of a sheet: a title, a line below it, the areas by view and zone, the place of the site."""

    title: str
    line: str
    areas: Mapping[tuple[str, str], Area]
    at: atlas.Place | None


def of_muscle(path: Path, body: FigureBody) -> list[Picture]:
    one = atlas_file.muscle(muscle(path, body), path.name, atlas.known_muscles())
    return [
        Picture(f"{one.id} / {site.id}", f"{site.how_common}: {site.where}", site.zones, site.at)
        for site in one.sites
    ]


def of_dermatomes(path: Path, body: FigureBody) -> list[Picture]:
    roots = [atlas_file.dermatome(entry, path.name) for entry in dermatomes(path, body)]
    return [
        Picture(
            f"dermatome {root.id}", root.note, {(v, "core"): a for v, a in root.areas.items()}, root.key_point
        )
        for root in roots
    ]


def of_structures(path: Path, body: FigureBody) -> list[Picture]:
    found = [atlas_file.structure(entry, path.name) for entry in structures(path, body)]
    return [Picture(f"{one.id} ({one.sides})", one.note or one.name, one.zones, one.at) for one in found]


def cell(picture: Picture) -> Image.Image:
    """One picture: the views in use side by side under the title."""
    views = [view for view in atlas.VIEWS if any(view == used for used, _ in picture.areas)]
    boxes = {
        view: _crop([a for (v, _), a in picture.areas.items() if v == view], picture.at, view)
        for view in views
    }
    scale = min(
        min(PANEL_W / (right - left), PANEL_H / (bottom - top)) for left, top, right, bottom in boxes.values()
    )
    image = Image.new("RGB", (2 * PANEL_W + 3 * GAP, PANEL_H + TITLE_H + GAP), PAPER)
    draw = ImageDraw.Draw(image)
    draw.text((GAP, 4), picture.title, fill=INK, font=ImageFont.load_default(17))
    for row, text in enumerate(_wrapped(picture.line, 100)[:2]):
        draw.text((GAP, 25 + 14 * row), text, fill=EDGE, font=ImageFont.load_default(12))
    for place, view in enumerate(views):
        panel = _panel(picture, view, boxes[view], scale)
        image.paste(panel, (GAP + place * (PANEL_W + GAP), TITLE_H))
    return image


def _crop(areas: Sequence[Area], at: atlas.Place | None, view: str) -> Box:
    left, top, right, bottom = geometry.unite(areas).bounds
    if at is not None and at.view == view:
        left, top, right, bottom = min(left, at.x), min(top, at.y), max(right, at.x), max(bottom, at.y)
    width = max(right - left + 2 * MARGIN_MM, SMALLEST_MM)
    height = max(bottom - top + 2 * MARGIN_MM, width * PANEL_H / PANEL_W)
    left, right = _at_least(left, right, height * PANEL_W / PANEL_H)
    top, bottom = _at_least(top, bottom, height)
    return left, top, right, bottom


def _at_least(low: float, high: float, wanted: float) -> tuple[float, float]:
    spare = max(0.0, wanted - (high - low)) / 2
    return low - spare, high + spare


def _panel(picture: Picture, view: str, box: Box, scale: float) -> Image.Image:
    left, top, right, bottom = box
    canvas = Canvas(left, top, right - left, bottom - top, scale * FINE)
    canvas.relief(view)
    for area in _regions(view):
        canvas.edge(area, (175, 180, 184), 1)
    canvas.edge(geometry.as_area(figure.load().view(view).outline), EDGE, 2)
    if (view, "spillover") in picture.areas:
        canvas.hatched(picture.areas[view, "spillover"], TEAL)
    if (view, "core") in picture.areas:
        canvas.filled(picture.areas[view, "core"], TEAL, 165)
    if picture.at is not None and picture.at.view == view:
        canvas.ring(picture.at.x, picture.at.y)
    canvas.words(f"{view}   patient's right is {'left' if view == 'front' else 'right'} here")
    return canvas.image.resize(
        (canvas.image.width // FINE, canvas.image.height // FINE), Image.Resampling.LANCZOS
    )


def _regions(view: str) -> list[Area]:
    return atlas_file.regions_by_view()[view]


class Canvas:
    """A part of one view, `scale` pixels to the millimetre."""

    def __init__(self, left: float, top: float, width: float, height: float, scale: float) -> None:
        self.left, self.top, self.scale = left, top, scale
        self.image = Image.new("RGB", (max(1, round(width * scale)), max(1, round(height * scale))), PAPER)

    def at(self, x: float, y: float) -> tuple[float, float]:
        return ((x - self.left) * self.scale, (y - self.top) * self.scale)

    def relief(self, view: str) -> None:
        path = figure.FOLDER / figure.load().view(view).relief
        if path.exists():
            with Image.open(path) as whole:
                per_mm = whole.width / figure.load().view(view).width
                right, bottom = (
                    self.left + self.image.width / self.scale,
                    self.top + self.image.height / self.scale,
                )
                box = tuple(round(v * per_mm) for v in (self.left, self.top, right, bottom))
                part = whole.convert("RGBA").crop(box).resize(self.image.size)  # type: ignore[arg-type]
                self.image.paste(part, (0, 0), part)

    def mask(self, area: Area) -> Image.Image:
        mask = Image.new("L", self.image.size, 0)
        draw = ImageDraw.Draw(mask)
        for polygon in geometry.rings_of(area, 2):
            for depth, ring in enumerate(polygon):
                draw.polygon([self.at(x, y) for x, y in ring], fill=255 if depth == 0 else 0)
        return mask

    def edge(self, area: Area, colour: tuple[int, int, int], width: int) -> None:
        draw = ImageDraw.Draw(self.image)
        for polygon in geometry.rings_of(area, 2):
            for ring in polygon:
                draw.line([self.at(x, y) for x, y in ring], fill=colour, width=width, joint="curve")

    def filled(self, area: Area, colour: tuple[int, int, int], strength: int) -> None:
        mask = self.mask(area).point(lambda value: value * strength // 255)
        self.image.paste(Image.new("RGB", self.image.size, colour), (0, 0), mask)
        self.edge(area, colour, 2 * FINE)

    def hatched(self, area: Area, colour: tuple[int, int, int]) -> None:
        lines = Image.new("L", self.image.size, 38)
        draw = ImageDraw.Draw(lines)
        for offset in range(0, self.image.width + self.image.height, 8 * FINE):
            draw.line([(offset, 0), (offset - self.image.height, self.image.height)], fill=135, width=FINE)
        mask = Image.composite(lines, Image.new("L", self.image.size, 0), self.mask(area))
        self.image.paste(Image.new("RGB", self.image.size, colour), (0, 0), mask)
        draw = ImageDraw.Draw(self.image)
        for polygon in geometry.rings_of(area, 2):
            for ring in polygon:
                for dash in _dashes([self.at(x, y) for x, y in ring], 7.0 * FINE):
                    draw.line(dash, fill=colour, width=FINE)

    def ring(self, x: float, y: float) -> None:
        px, py = self.at(x, y)
        draw = ImageDraw.Draw(self.image)
        for size, width, colour in ((8, 5, PAPER), (8, 2, INK), (2, 4, INK)):
            reach = size * FINE
            draw.ellipse(
                (px - reach, py - reach, px + reach, py + reach), outline=colour, width=width * FINE // 1
            )

    def words(self, text: str) -> None:
        draw = ImageDraw.Draw(self.image)
        draw.text((4 * FINE, 2 * FINE), text, fill=INK, font=ImageFont.load_default(11 * FINE))


def _dashes(points: Sequence[tuple[float, float]], length: float) -> list[list[tuple[float, float]]]:
    """Every other piece of the line, each `length` long."""
    dashes: list[list[tuple[float, float]]] = [[points[0]]]
    on, left = True, length
    for (x1, y1), (x2, y2) in zip(points, points[1:], strict=False):
        whole = hypot(x2 - x1, y2 - y1)
        gone = 0.0
        while whole - gone > left:
            gone += left
            corner = (x1 + (x2 - x1) * gone / whole, y1 + (y2 - y1) * gone / whole)
            if on:
                dashes[-1].append(corner)
            else:
                dashes.append([corner])
            on, left = not on, length
        left -= whole - gone
        if on:
            dashes[-1].append((x2, y2))
    return [dash for dash in dashes if len(dash) > 1]


def _wrapped(text: str, width: int) -> list[str]:
    lines = [""]
    for word in text.split():
        if len(lines[-1]) + len(word) >= width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def sheets(pictures: Sequence[Picture], folder: Path) -> list[Path]:
    """Write the pictures, COLUMNS by ROWS on a sheet; returns the files."""
    folder.mkdir(parents=True, exist_ok=True)
    each, written = COLUMNS * ROWS, []
    for number, start in enumerate(range(0, len(pictures), each), start=1):
        cells = [cell(picture) for picture in pictures[start : start + each]]
        rows = -(-len(cells) // COLUMNS)
        width, height = cells[0].size
        sheet = Image.new("RGB", (min(COLUMNS, len(cells)) * width, rows * height), PAPER)
        for place, image in enumerate(cells):
            sheet.paste(image, (place % COLUMNS * width, place // COLUMNS * height))
        path = folder / f"sheet_{number:02d}.png"
        sheet.save(path, optimize=True)
        written.append(path)
    return written


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="python -m bodymaps.making.sheets", description=__doc__.split("\n")[0]
    )
    parser.add_argument("folder", type=Path, nargs="?", default=Path("out/atlas-sheets"))
    parser.add_argument("muscle", nargs="*")
    chosen = parser.parse_args(words)
    names = chosen.muscle or everything()
    try:
        pictures = _pictures(names)
    except AtlasError as error:
        print(error, file=sys.stderr)
        return 1
    for path in sheets(pictures, chosen.folder):
        print(path)
    return 0


def everything() -> list[str]:
    """Every file of the atlas that is there."""
    others = [path.stem for name in STRUCTURES if (path := DERMATOMES.with_name(name)).exists()]
    return [*(path.stem for path in sorted(PATTERNS.glob("*.toml"))), DERMATOMES.stem, *others]


def _pictures(names: Sequence[str]) -> list[Picture]:
    body = FigureBody()
    found: list[Picture] = []
    for name in names:
        if name == DERMATOMES.stem:
            found += of_dermatomes(DERMATOMES, body)
        elif f"{name}.toml" in STRUCTURES:
            found += of_structures(DERMATOMES.with_name(f"{name}.toml"), body)
        else:
            found += of_muscle(PATTERNS / f"{name}.toml", body)
    return found


if __name__ == "__main__":
    sys.exit(main())

"""Compile the pattern files into data/atlas/compiled.json.

    python -m bodymaps.making.atlas                     compile everything
    python -m bodymaps.making.atlas --check FILE...     read these pattern files only, say what is wrong,
    write nothing

Only the patient's right side is written; the left is its mirror. Every zone is what its shape words cover,
rounded, clipped to the outline drawn in by 2.5 mm, spillover without core; coordinates to 0.1 mm. The same
texts give the same file, byte for byte.
"""

from __future__ import annotations

import argparse
import json
import sys
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from bodymaps import atlas, atlas_file, fields, figure, geometry, regions, shapes
from bodymaps.atlas import AtlasError
from bodymaps.geometry import Area
from bodymaps.patterns import status_counts

PATTERNS = atlas.FOLDER / "patterns"
DERMATOMES = atlas.FOLDER / "dermatomes.toml"

# Zones keep this far from the edge of the body. The outline is a border of regions too, and the edge of a
# zone that runs within 2 mm of a border looks copied from it.
INSET_MM = 2.5
# Spillover begins this far from the core: rounding to 0.1 mm can then never make them overlap.
APART_MM = 0.3
# Left-over crumbs of clipping smaller than this (mm²) are dropped: a fingertip's pad has about 150.
CRUMB_MM2 = 20.0
# Vertices may be left out as long as no edge moves by more than this.
TOLERANCE_MM = 0.15

MUSCLE_WORDS = {
    "id",
    "name",
    "attachments",
    "action",
    "innervation",
    "cautions",
    "commonly_mistaken_for",
    "source",
    "site",
    "synergists",
    "often_with",
    "brings_on",
    "eases",
    "position",
    "find",
    "depth",
    "neighbours",
    "at_risk",
}
SITE_WORDS = {"id", "where", "at", "how_common", "core"}
SITE_MAY = {"note", "spillover"}
DERMATOME_WORDS = {"id", "source", "key_point", "area"}
# The file, the name of its tables and the layer of each kind of structure.
STRUCTURES = {
    "nerves.toml": ("nerve", "peripheral_nerve"),
    "plexuses.toml": ("plexus", "plexus"),
    "joints.toml": ("joint", "joint_referral"),
    "organs.toml": ("organ", "visceral"),
}
STRUCTURE_WORDS = {
    "id",
    "name",
    "sides",
    "roots",
    "points_to",
    "examine",
    "told_apart",
    "urgent",
    "source",
    "core",
}
STRUCTURE_MAY = {"note", "spillover", "at", "felt"}


class FigureBody:
    """The committed figure and regions, as the shape words see them: the patient's right side."""

    def landmark(self, view: str, name: str) -> shapes.Point:
        return figure.load().landmark(view, name)

    def midline(self, view: str) -> float:
        return float(figure.load().view(view).midline_x)

    def region(self, region_id: str) -> Area:
        return self._regions[region_id]

    @cached_property
    def _regions(self) -> dict[str, Area]:
        return {one.id: geometry.as_area(one.area) for one in regions.load() if one.side != "left"}

    @cached_property
    def patches(self) -> dict[str, list[Area]]:
        return atlas_file.regions_by_view()

    @cached_property
    def canvas(self) -> dict[str, Area]:
        """The outline of each view drawn in by the inset."""
        return {
            view: geometry.widen(geometry.as_area(figure.load().view(view).outline), -INSET_MM)
            for view in shapes.VIEWS
        }


def zones(
    core: Any, spillover: Any, body: FigureBody, where: Callable[[str, str], AtlasError]
) -> list[dict[str, Any]]:
    """The zones of one site as plain data: front before back, core before spillover."""
    inner, outer = _drawn(core, "core", body, where), _drawn(spillover, "spillover", body, where)
    found = []
    for view in shapes.VIEWS:
        if view in inner:
            found.append({"view": view, "zone": "core", "area": geometry.rings_of(inner[view])})
        if view in outer:
            area = outer[view]
            if view in inner:
                apart = geometry.widen(inner[view], APART_MM)
                area = _tidy(geometry.take_away(area, apart))
            if not area.is_empty:
                found.append({"view": view, "zone": "spillover", "area": geometry.rings_of(area)})
    return found


def _drawn(
    specs: Any, name: str, body: FigureBody, where: Callable[[str, str], AtlasError]
) -> dict[str, Area]:
    if not isinstance(specs, list):
        raise where(name, "is not a list of shapes")
    areas: dict[str, list[Area]] = {}
    for number, spec in enumerate(specs, start=1):
        try:
            one = shapes.outlined(spec, body)
        except shapes.ShapeError as error:
            raise where(f"{name} shape {number}", str(error)) from None
        on_body = geometry.overlap(one.area, body.canvas[one.view])
        if on_body.is_empty:
            raise where(f"{name} shape {number}", "does not touch the body")
        areas.setdefault(one.view, []).append(one.area)
    return {
        view: _tidy(geometry.overlap(shapes.smooth(found), body.canvas[view]))
        for view, found in areas.items()
    }


def _tidy(area: Area) -> Area:
    """Crumbs dropped, vertices thinned, coordinates on the grid of the file."""
    thinned = geometry.thinned_outline(geometry.without_crumbs(area, CRUMB_MM2), TOLERANCE_MM)
    return geometry.without_crumbs(geometry.on_grid(thinned, 0.1), CRUMB_MM2)


def muscle(path: Path, body: FigureBody) -> dict[str, Any]:
    """One pattern file as plain data in the shape of the compiled file; raises AtlasError."""
    text = _toml(path)
    _words(text, MUSCLE_WORDS, set(), path.name, "file")
    if text["id"] != path.stem:
        raise AtlasError(path.name, "id", f"{text['id']!r} is not the name of the file")
    names = {"source": "sources", "site": "sites"}
    data = {names.get(word, word): value for word, value in text.items()}
    data["sites"] = [_site(site, path.name, body) for site in _tables(text, "site", path.name)]
    return data


def _site(site: Mapping[str, Any], file: str, body: FigureBody) -> dict[str, Any]:
    entry = f"site {site.get('id', '?')}"
    _words(site, SITE_WORDS, SITE_MAY, file, entry)

    def where(word: str, reason: str) -> AtlasError:
        return AtlasError(file, f"{entry}, {word}", reason)

    return {
        "id": site["id"],
        "where": site["where"],
        "how_common": site["how_common"],
        "note": site.get("note", ""),
        "at": _place(site["at"], body, where),
        "zones": zones(site["core"], site.get("spillover", []), body, where),
    }


def _place(at: Any, body: FigureBody, where: Callable[[str, str], AtlasError]) -> dict[str, Any]:
    if not isinstance(at, dict) or at.get("view") not in shapes.VIEWS:
        raise where("at", "needs view and point")
    try:
        x, y = shapes.point(at.get("point"), at["view"], body)
    except shapes.ShapeError as error:
        raise where("at", str(error)) from None
    return {"view": at["view"], "x": round(x, 1), "y": round(y, 1)}


def dermatomes(path: Path, body: FigureBody) -> list[dict[str, Any]]:
    """The dermatome file as plain data, in the order of the file."""
    return [_dermatome(entry, path.name, body) for entry in _tables(_toml(path), "dermatome", path.name)]


def _dermatome(entry: Mapping[str, Any], file: str, body: FigureBody) -> dict[str, Any]:
    root = str(entry.get("id", "?"))
    _words(entry, DERMATOME_WORDS, {"note"}, file, root)

    def where(word: str, reason: str) -> AtlasError:
        return AtlasError(file, f"{root}, {word}", reason)

    drawn = _drawn(entry["area"], "area", body, where)
    key_point = _place(entry["key_point"], body, where)
    return {
        "id": root,
        "note": entry.get("note", ""),
        "source": entry["source"],
        "key_point": {**key_point, "described": entry["key_point"].get("described", "")},
        "areas": [{"view": view, "area": geometry.rings_of(area)} for view, area in drawn.items()],
    }


def structures(path: Path, body: FigureBody) -> list[dict[str, Any]]:
    """One of the files of STRUCTURES as plain data, in the order of the file."""
    table, layer = STRUCTURES[path.name]
    return [_structure(entry, layer, path.name, body) for entry in _tables(_toml(path), table, path.name)]


def _structure(entry: Mapping[str, Any], layer: str, file: str, body: FigureBody) -> dict[str, Any]:
    name = str(entry.get("id", "?"))
    _words(entry, STRUCTURE_WORDS, STRUCTURE_MAY, file, name)

    def where(word: str, reason: str) -> AtlasError:
        return AtlasError(file, f"{name}, {word}", reason)

    left = entry["sides"] == "left"
    drawn = zones(entry["core"], entry.get("spillover", []), body, where)
    kept = {word: entry[word] for word in entry if word not in ("source", "core", "spillover", "at")}
    place = {"at": _place(entry["at"], body, where)} if "at" in entry else {}
    if left:
        drawn = [{**zone, "area": _on_left(zone["area"], zone["view"], body)} for zone in drawn]
        place = {
            word: {**at, "x": round(2 * body.midline(at["view"]) - at["x"], 1)} for word, at in place.items()
        }
    return {**kept, "layer": layer, **place, "sources": entry["source"], "zones": drawn}


def _on_left(rings: Any, view: str, body: FigureBody) -> Any:
    """Written as for the right side, it lies on the left."""
    return geometry.rings_of(geometry.mirrored(geometry.area_from_polygons(rings), body.midline(view)))


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise AtlasError(path.name, "file", f"is not TOML: {error}") from None
    except OSError as error:
        raise AtlasError(path.name, "file", f"cannot be read: {error.strerror}") from None


def _tables(text: Mapping[str, Any], word: str, file: str) -> list[dict[str, Any]]:
    found = text.get(word)
    if not isinstance(found, list) or not found or not all(isinstance(one, dict) for one in found):
        raise AtlasError(file, "file", f"has no [[{word}]]")
    return found


def _words(table: Mapping[str, Any], needed: set[str], may: set[str], file: str, entry: str) -> None:
    if missing := sorted(needed - set(table)):
        raise AtlasError(file, entry, f"{', '.join(missing)} is missing")
    if unknown := sorted(set(table) - needed - may):
        raise AtlasError(file, entry, f"unknown word {', '.join(unknown)}")


def compiled(patterns: Path = PATTERNS, roots: Path = DERMATOMES) -> str:
    """The text of compiled.json from the pattern files; raises AtlasError for the first thing that is
    wrong.
    """
    body = FigureBody()
    order = list(atlas.known_muscles())
    paths = sorted(patterns.glob("*.toml"), key=lambda path: _position(order, path))
    data = {
        "version": atlas.VERSION,
        "figure": figure.load().version,
        "muscles": [_checked(path, body) for path in paths],
        "dermatomes": dermatomes(roots, body) if roots.exists() else [],
        "structures": [
            one
            for name in STRUCTURES
            if (path := roots.with_name(name)).exists()
            for one in structures(path, body)
        ],
    }
    text = _text(data)
    atlas_file.read(text, "compiled.json")
    return text


def _position(order: Sequence[str], path: Path) -> int:
    if path.stem not in order:
        raise AtlasError(path.name, "file", "is not named after a muscle the product knows (muscles.toml)")
    return order.index(path.stem)


def _checked(path: Path, body: FigureBody) -> dict[str, Any]:
    """A muscle whose every promise holds; errors name its own file."""
    data = muscle(path, body)
    one = atlas_file.muscle(data, path.name, atlas.known_muscles())
    atlas_file.check_muscle(one, path.name, atlas_file.outlines())
    atlas_file.check_borders(one, path.name, body.patches)
    return data


def _text(data: Mapping[str, Any]) -> str:
    """JSON with one line for each zone, so that a changed pattern shows as a few changed lines."""
    return _lines(data, 0) + "\n"


def _lines(value: Any, depth: int) -> str:
    pad = " " * depth
    if isinstance(value, dict) and "area" not in value:
        inside = ",\n".join(
            f"{pad} {json.dumps(key)}: {_lines(item, depth + 1)}" for key, item in value.items()
        )
        return f"{{\n{inside}\n{pad}}}" if value else "{}"
    if isinstance(value, list) and value and isinstance(value[0], dict):
        inside = ",\n".join(f"{pad} {_lines(item, depth + 1)}" for item in value)
        return f"[\n{inside}\n{pad}]"
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(
        prog="python -m bodymaps.making.atlas", description=__doc__.split("\n")[0]
    )
    parser.add_argument("--check", nargs="+", type=Path, metavar="FILE", help="read these files only")
    chosen = parser.parse_args(words)
    try:
        return _check_files(chosen.check) if chosen.check else _compile()
    except AtlasError as error:
        print(error, file=sys.stderr)
        return 1


def _check_files(paths: Sequence[Path]) -> int:
    """Every file on its own line, so that one bad file does not hide the next."""
    body, wrong = FigureBody(), 0
    for path in paths:
        try:
            print(f"{path.name}: good ({_check_file(path, body)})")
        except AtlasError as error:
            wrong += 1
            print(error, file=sys.stderr)
    return 1 if wrong else 0


def _check_file(path: Path, body: FigureBody) -> str:
    """How much is in a file in which everything is as it should be."""
    edges = atlas_file.outlines()
    if path.name == DERMATOMES.name:
        roots = [atlas_file.dermatome(one, path.name) for one in dermatomes(path, body)]
        for root in roots:
            atlas_file.check_dermatome(root, path.name, edges)
        return f"{len(roots)} dermatomes"
    if path.name in STRUCTURES:
        found = [atlas_file.structure(one, path.name) for one in structures(path, body)]
        for one in found:
            atlas_file.check_structure(one, path.name, edges)
        fields.by_id(found, path.name)
        return f"{len(found)} entries"
    return f"{len(_checked(path, body)['sites'])} sites"


def _compile() -> int:
    text = compiled()
    atlas.COMPILED.write_text(text, encoding="utf-8")
    held = atlas_file.read(text, atlas.COMPILED.name)
    sites = sum(len(one.sites) for one in held.muscles.values())
    print(
        f"{len(held.muscles)} muscles, {sites} sites, {len(held.dermatomes)} dermatomes, {len(text):,} bytes"
    )
    print(", ".join(f"{layer} {len(found)}" for layer, found in held.structures.items()))
    for layer, counts in status_counts(held).items():
        print(f"sources, {layer}: " + ", ".join(f"{count} {status}" for status, count in counts.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())

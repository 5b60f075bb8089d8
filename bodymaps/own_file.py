"""Own patterns in one file, to be carried from one practice to another: the format `own-patterns-1`.

Its shape stands in DEVELOPERS.md. Every entry is checked; what is wrong is said with file, entry and reason.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any, NoReturn

from bodymaps import fields, figure, geometry, own
from bodymaps.geometry import Area
from bodymaps.own import OwnPattern
from bodymaps.patterns import AtlasError, Place, Source

FORMAT = "own-patterns-1"
# On the grid of the painting rule, so that what is read is what was painted.
DIGITS = 3
MOST_BYTES = 4 * 1024 * 1024
MOST_PATTERNS = 300
# mm: no coordinate of a figure of 1,000 by 1,700 mm comes near.
FARTHEST = 10_000.0
MEMBERS = frozenset({"id", "name", "version", "site", "at", "source", "reason", "zones"})


@dataclass(frozen=True)
class Reading:
    """What stands in a file: the patterns that can be used, and what is wrong with each of the others."""

    patterns: tuple[OwnPattern, ...]
    refused: tuple[AtlasError, ...]


def write(patterns: Iterable[OwnPattern]) -> str:
    """The text of a file; the same patterns give the same text."""
    data = {
        "format": FORMAT,
        "figure": figure.load().version,
        "patterns": [_entry(one) for one in sorted(patterns, key=lambda one: one.id)],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def read(text: str, file: str) -> tuple[OwnPattern, ...]:
    """Every pattern of a file; raises AtlasError for the first thing that is wrong."""
    found = inspect(text, file)
    if found.refused:
        raise found.refused[0]
    return found.patterns


def inspect(text: str, file: str) -> Reading:
    """Every entry read by itself. Raises AtlasError when the file as a whole is not one of these."""
    entries = _entries(text, file)
    patterns: list[OwnPattern] = []
    refused: list[AtlasError] = []
    seen: set[str] = set()
    for number, data in enumerate(entries, 1):
        try:
            one = _pattern(data, file, f"entry {number}")
            if one.id in seen:
                raise AtlasError(file, one.id, "is there twice")
            own.check(one, file)
            patterns.append(one)
            seen.add(one.id)
        except AtlasError as problem:
            refused.append(problem)
    return Reading(tuple(patterns), tuple(refused))


def _entries(text: str, file: str) -> list[Any]:
    size = len(text.encode())
    fields.check(size <= MOST_BYTES, file, "file", f"is larger than {MOST_BYTES // 1024 // 1024} MB")
    try:
        data = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise AtlasError(file, "file", f"is not JSON: {error}") from None
    is_ours = isinstance(data, dict) and data.get("format") == FORMAT
    fields.check(is_ours, file, "format", f"is not {FORMAT}: this is no file of own patterns")
    drawn_on = figure.load().version
    fields.check(
        data.get("figure") == drawn_on, file, "figure", f"was drawn on another figure than {drawn_on}"
    )
    entries = fields.tables(data, "patterns", file, "file")
    reason = f"holds {len(entries)} patterns; it takes {MOST_PATTERNS}"
    fields.check(len(entries) <= MOST_PATTERNS, file, "patterns", reason)
    return entries


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


# One entry, out of plain data and into it.


def _pattern(data: Any, file: str, place: str) -> OwnPattern:
    name = fields.text(data, "id", file, place)
    unknown = ", ".join(sorted(map(str, data.keys() - MEMBERS)))
    fields.check(not unknown, file, name, f"has members that are not known: {unknown}")
    version = data.get("version")
    is_number = isinstance(version, int) and not isinstance(version, bool) and 0 < version < 1_000_000
    fields.check(is_number, file, name, "version is not a whole number from 1")
    site = data.get("site", "")
    fields.check(isinstance(site, str), file, name, "site is not a text")
    given = data.get("source")
    return OwnPattern(
        id=name,
        name=fields.text(data, "name", file, name),
        version=int(version or 0),
        site=str(site).strip(),
        source=Source(*(fields.text(given, part, file, name) for part in ("work", "chapter", "status"))),
        reason=fields.text(data, "reason", file, name),
        zones=zones_from(data, file, name),
        at=place_from(data.get("at"), file, name),
    )


def _entry(one: OwnPattern) -> dict[str, Any]:
    source = {"work": one.source.work, "chapter": one.source.chapter, "status": one.source.status}
    return {
        "id": one.id,
        "name": one.name,
        "version": one.version,
        "site": one.site,
        "at": place_json(one.at),
        "source": source,
        "reason": one.reason,
        "zones": zones_json(one.zones),
    }


def zones_json(zones: Mapping[tuple[str, str], Area]) -> list[dict[str, Any]]:
    """[{view, zone, area: [[outer ring, hole ...] ...]}], coordinates in mm to the micrometre."""
    return [
        {"view": view, "zone": zone, "area": geometry.rings_of(area, DIGITS)}
        for (view, zone), area in sorted(zones.items())
    ]


def zones_from(data: Any, file: str, entry: str) -> dict[tuple[str, str], Area]:
    """The areas by view and zone of an object with `zones`, as `zones_json` makes them."""
    listed = fields.tables(data, "zones", file, entry)
    fields.check(
        all(isinstance(item, dict) for item in listed), file, entry, "zones is not a list of objects"
    )
    for item in listed:
        where = f"{item.get('zone')} {item.get('view')}"
        fields.check(_are_rings(item.get("area")), file, f"{entry}, {where}", "is not a list of polygons")
    return fields.zones(data, file, entry)


def _are_rings(polygons: Any) -> bool:
    """[[ring ...] ...], each ring of three places or more, each place two numbers of a reasonable size."""
    if not isinstance(polygons, list) or not all(isinstance(one, list) and one for one in polygons):
        return False
    rings = [ring for polygon in polygons for ring in polygon]
    return all(isinstance(ring, list) and len(ring) > 2 and all(map(_is_place, ring)) for ring in rings)


def _is_place(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(map(_is_length, value))


def _is_length(value: Any) -> bool:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and abs(value) <= FARTHEST and isfinite(value)


def place_json(at: Place | None) -> dict[str, Any] | None:
    return {"view": at.view, "x": at.x, "y": at.y} if at else None


def place_from(data: Any, file: str, entry: str) -> Place | None:
    if data is None:
        return None
    ok = isinstance(data, dict) and all(_is_length(data.get(axis)) for axis in "xy")
    fields.check(ok, file, entry, "at needs a view, x and y, or is null")
    return fields.place(data, file, entry)

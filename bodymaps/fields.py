"""The members of an entry of the compiled atlas, read one by one: each is as promised, or AtlasError names
file, entry and what is wrong.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from bodymaps import geometry
from bodymaps.geometry import Area
from bodymaps.patterns import STATUS, VIEWS, ZONES, AtlasError, Place, Source

ROOT = re.compile(r"C[1-8]|T([1-9]|1[0-2])|L[1-5]|S[1-5]|S4_5|cranial [IVX]+")
# mm² that rounding coordinates to 0.1 mm may push over an edge.
SLACK_MM2 = 1.0


def check(holds: bool, file: str, entry: str, reason: str) -> None:
    if not holds:
        raise AtlasError(file, entry, reason)


def sources(data: Any, file: str, entry: str) -> tuple[Source, ...]:
    found = [
        Source(*(text(source, member, file, entry) for member in ("work", "chapter", "status")))
        for source in tables(data, "sources", file, entry)
    ]
    check(bool(found), file, entry, "no source is given")
    for source in found:
        check(
            source.status in STATUS,
            file,
            entry,
            f"source status {source.status!r} is not {' or '.join(STATUS)}",
        )
    return tuple(found)


def roots(data: Any, file: str, entry: str) -> tuple[str, ...]:
    found = texts(data, "roots", file, entry)
    for root in found:
        check(
            ROOT.fullmatch(root) is not None,
            file,
            entry,
            f"root {root!r} is not one like C5, T1 or cranial V",
        )
    return found


def place(data: Any, file: str, entry: str) -> Place:
    ok = isinstance(data, dict) and data.get("view") in VIEWS
    ok = ok and all(isinstance(data.get(axis), (int, float)) for axis in "xy")
    check(ok, file, entry, "the point needs a view, x and y")
    return Place(data["view"], float(data["x"]), float(data["y"]))


def area(polygons: Any, file: str, entry: str) -> Area:
    try:
        found = geometry.area_from_polygons(polygons)
    except (TypeError, ValueError, IndexError) as error:
        raise AtlasError(file, entry, f"is not a list of polygons: {error}") from None
    check(not found.is_empty, file, entry, "has no area")
    return found


def text(data: Any, member: str, file: str, entry: str) -> str:
    value = data.get(member) if isinstance(data, dict) else None
    check(isinstance(value, str) and bool(value.strip()), file, entry, f"{member} is missing")
    return str(value).strip()


def tables(data: Any, member: str, file: str, entry: str) -> list[Any]:
    value = data.get(member) if isinstance(data, dict) else None
    check(isinstance(value, list), file, entry, f"{member} is not a list")
    return list(value or [])


def texts(data: Any, member: str, file: str, entry: str) -> tuple[str, ...]:
    values = tables(data, member, file, entry)
    check(
        all(isinstance(value, str) and value for value in values),
        file,
        entry,
        f"{member} is not a list of texts",
    )
    return tuple(values)


def some_texts(data: Any, member: str, file: str, entry: str) -> tuple[str, ...]:
    """As `texts`; at least one."""
    found = texts(data, member, file, entry)
    check(bool(found), file, entry, f"{member} is empty")
    return found


def zones(data: Any, file: str, entry: str) -> dict[tuple[str, str], Area]:
    """Areas by view and zone."""
    found: dict[tuple[str, str], Area] = {}
    for item in tables(data, "zones", file, entry):
        key = (item.get("view"), item.get("zone"))
        check(key[0] in VIEWS and key[1] in ZONES, file, entry, f"zone {key} has no known view and zone")
        check(key not in found, file, entry, f"zone {key} is there twice")
        found[key] = area(item.get("area"), file, f"{entry}, {key[1]} {key[0]}")
    return found


def by_id(entries: Sequence[Any], file: str) -> dict[str, Any]:
    """Entries by their id; refused when one is there twice."""
    found: dict[str, Any] = {}
    for entry in entries:
        check(entry.id not in found, file, entry.id, "is there twice")
        found[entry.id] = entry
    return found


# What must hold of every zone before anybody sees it.


def check_zones(
    found: Mapping[tuple[str, str], Area], file: str, entry: str, outlines: Mapping[str, Area]
) -> None:
    """A core, valid polygons inside the outline, core and spillover apart."""
    check(any(zone == "core" for _, zone in found), file, entry, "has no core zone")
    for (view, zone), one in found.items():
        check_area(one, file, f"{entry}, {zone} {view}", outlines[view])
    for view in VIEWS:
        core, spill = found.get((view, "core")), found.get((view, "spillover"))
        if core is not None and spill is not None:
            both = geometry.overlap(core, spill).area
            reason = f"core and spillover share {both:.1f} mm² in the {view} view"
            check(both <= SLACK_MM2, file, entry, reason)


def check_area(one: Area, file: str, entry: str, outline: Area) -> None:
    reason = geometry.why_not_valid(one)
    check(not reason, file, entry, f"is not a valid polygon: {reason}")
    inside = geometry.is_inside(one, outline, SLACK_MM2)
    check(inside, file, entry, "does not lie inside the outline of the body")


def check_place(at: Place, file: str, entry: str, outlines: Mapping[str, Area]) -> None:
    on_body = geometry.holds_point(outlines[at.view], at.x, at.y)
    check(on_body, file, entry, "the point does not lie on the body")

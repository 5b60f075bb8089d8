"""Read and check a compiled atlas: every promise an entry makes is kept, or the file is refused with
AtlasError.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from bodymaps import figure, geometry, regions
from bodymaps.geometry import Area
from bodymaps.patterns import (
    ALL_SITES,
    HOW_COMMON,
    STATUS,
    VIEWS,
    ZONES,
    Atlas,
    AtlasError,
    Dermatome,
    Innervation,
    Muscle,
    Place,
    Site,
    Source,
    known_muscles,
)

VERSION = "atlas-1"
WORD = re.compile(r"[a-z][a-z0-9_]*")
ROOT = re.compile(r"C[1-8]|T([1-9]|1[0-2])|L[1-5]|S[1-5]|cranial [IVX]+")

# mm² that rounding coordinates to 0.1 mm may push over an edge.
SLACK_MM2 = 1.0
# A zone that follows the borders of regions would only repeat the regions: at most this share of its edge
# may run within this distance of any of them.
BORDER_SHARE, BORDER_REACH_MM = 0.30, 0.6


def read(text: str, file: str) -> Atlas:
    """An atlas from the text of a compiled file; raises AtlasError for the first thing that is wrong."""
    try:
        data = json.loads(text)
    except ValueError as error:
        raise AtlasError(file, "file", f"is not JSON: {error}") from None
    body = figure.load()
    check(isinstance(data, dict) and data.get("version") == VERSION, file, "version", f"is not {VERSION}")
    check(
        data.get("figure") == body.version, file, "figure", f"was made for another figure than {body.version}"
    )
    names, edges = known_muscles(), outlines()
    muscles = [muscle(entry, file, names) for entry in _list(data, "muscles", file, "file")]
    dermatomes = [dermatome(entry, file) for entry in _list(data, "dermatomes", file, "file")]
    for one in muscles:
        check_muscle(one, file, edges)
    for root in dermatomes:
        check_dermatome(root, file, edges)
    return Atlas(
        version=VERSION,
        figure=body.version,
        muscles=_by_id(muscles, file),
        dermatomes=_by_id(dermatomes, file),
        midlines={view: float(body.view(view).midline_x) for view in VIEWS},
    )


def outlines() -> dict[str, Area]:
    """The edge of the body by view, soles included."""
    return {view: geometry.as_area(figure.load().view(view).outline) for view in VIEWS}


def check(holds: bool, file: str, entry: str, reason: str) -> None:
    if not holds:
        raise AtlasError(file, entry, reason)


def _by_id(entries: Sequence[Any], file: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for entry in entries:
        check(entry.id not in found, file, entry.id, "is there twice")
        found[entry.id] = entry
    return found


# Reading: from plain JSON to frozen entries. Every member is named in the message when it is missing or odd.


def muscle(data: Any, file: str, names: Mapping[str, tuple[str, str]]) -> Muscle:
    """One muscle from plain data (the shape of an entry of the compiled file)."""
    muscle_id = _text(data, "id", file, "muscle")
    check(muscle_id in names, file, muscle_id, "is not a muscle the product knows (muscles.toml)")
    nerve = data.get("innervation")
    check(isinstance(nerve, dict), file, muscle_id, "innervation is missing")
    return Muscle(
        id=muscle_id,
        name=_text(data, "name", file, muscle_id),
        group=names[muscle_id][1],
        attachments=_texts(data, "attachments", file, muscle_id),
        action=_text(data, "action", file, muscle_id),
        innervation=Innervation(_text(nerve, "nerve", file, muscle_id), _roots(nerve, file, muscle_id)),
        cautions=_texts(data, "cautions", file, muscle_id),
        commonly_mistaken_for=_texts(data, "commonly_mistaken_for", file, muscle_id),
        sources=_sources(data, file, muscle_id),
        sites=tuple(_site(entry, file, muscle_id) for entry in _list(data, "sites", file, muscle_id)),
    )


def _sources(data: Any, file: str, entry: str) -> tuple[Source, ...]:
    found = [
        Source(*(_text(source, member, file, entry) for member in ("work", "chapter", "status")))
        for source in _list(data, "sources", file, entry)
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


def _roots(data: Any, file: str, entry: str) -> tuple[str, ...]:
    roots = _texts(data, "roots", file, entry)
    for root in roots:
        check(
            ROOT.fullmatch(root) is not None,
            file,
            entry,
            f"root {root!r} is not one like C5, T1 or cranial V",
        )
    return roots


def _site(data: Any, file: str, muscle_id: str) -> Site:
    site_id = _text(data, "id", file, f"{muscle_id}, site")
    entry = f"{muscle_id}, site {site_id}"
    how_common = _text(data, "how_common", file, entry)
    check(WORD.fullmatch(site_id) is not None, file, entry, "the id is not a word in lower case")
    check(site_id != ALL_SITES, file, entry, "the id is kept for all sites of a muscle taken together")
    check(how_common in HOW_COMMON, file, entry, f"how_common {how_common!r} is not {', '.join(HOW_COMMON)}")
    return Site(
        id=site_id,
        where=_text(data, "where", file, entry),
        how_common=how_common,
        note=str(data.get("note", "")),
        at=_place(data.get("at"), file, entry),
        zones=_zones(data, file, entry),
    )


def _zones(data: Any, file: str, entry: str) -> dict[tuple[str, str], Area]:
    zones: dict[tuple[str, str], Area] = {}
    for item in _list(data, "zones", file, entry):
        key = (item.get("view"), item.get("zone"))
        check(key[0] in VIEWS and key[1] in ZONES, file, entry, f"zone {key} has no known view and zone")
        check(key not in zones, file, entry, f"zone {key} is there twice")
        zones[key] = _area(item.get("area"), file, f"{entry}, {key[1]} {key[0]}")
    return zones


def dermatome(data: Any, file: str) -> Dermatome:
    """One dermatome from plain data (the shape of an entry of the compiled file)."""
    root = _text(data, "id", file, "dermatome")
    check(ROOT.fullmatch(root) is not None, file, root, "is not the name of a nerve root")
    areas = {
        item.get("view"): _area(item.get("area"), file, f"{root}, {item.get('view')}")
        for item in _list(data, "areas", file, root)
    }
    check(bool(areas) and set(areas) <= set(VIEWS), file, root, "areas need a view, front or back")
    return Dermatome(
        id=root,
        note=str(data.get("note", "")),
        source=_text(data, "source", file, root),
        key_point=_place(data.get("key_point"), file, root),
        described=_text(data.get("key_point"), "described", file, root),
        areas=areas,
    )


def _place(data: Any, file: str, entry: str) -> Place:
    ok = isinstance(data, dict) and data.get("view") in VIEWS
    ok = ok and all(isinstance(data.get(axis), (int, float)) for axis in "xy")
    check(ok, file, entry, "the point needs a view, x and y")
    return Place(data["view"], float(data["x"]), float(data["y"]))


def _area(polygons: Any, file: str, entry: str) -> Area:
    try:
        area = geometry.area_from_polygons(polygons)
    except (TypeError, ValueError, IndexError) as error:
        raise AtlasError(file, entry, f"is not a list of polygons: {error}") from None
    check(not area.is_empty, file, entry, "has no area")
    return area


def _text(data: Any, member: str, file: str, entry: str) -> str:
    value = data.get(member) if isinstance(data, dict) else None
    check(isinstance(value, str) and bool(value.strip()), file, entry, f"{member} is missing")
    return str(value).strip()


def _list(data: Any, member: str, file: str, entry: str) -> list[Any]:
    value = data.get(member) if isinstance(data, dict) else None
    check(isinstance(value, list), file, entry, f"{member} is not a list")
    return list(value or [])


def _texts(data: Any, member: str, file: str, entry: str) -> tuple[str, ...]:
    values = _list(data, member, file, entry)
    check(
        all(isinstance(value, str) and value for value in values),
        file,
        entry,
        f"{member} is not a list of texts",
    )
    return tuple(values)


# Checking: what must hold of every entry before anybody sees it.


def check_muscle(one: Muscle, file: str, outlines: Mapping[str, Area]) -> None:
    """Valid polygons, inside the outline, core there and apart from the spillover, site ids different."""
    check(bool(one.sites), file, one.id, "has no site")
    _by_id(one.sites, file)
    for site in one.sites:
        entry = f"{one.id}, site {site.id}"
        check(any(zone == "core" for _, zone in site.zones), file, entry, "has no core zone")
        _check_place(site.at, file, entry, outlines)
        for (view, zone), area in site.zones.items():
            _check_area(area, file, f"{entry}, {zone} {view}", outlines[view])
        for view in VIEWS:
            core, spill = site.zones.get((view, "core")), site.zones.get((view, "spillover"))
            if core is not None and spill is not None:
                both = geometry.overlap(core, spill).area
                check(
                    both <= SLACK_MM2,
                    file,
                    entry,
                    f"core and spillover share {both:.1f} mm² in the {view} view",
                )


def check_dermatome(root: Dermatome, file: str, outlines: Mapping[str, Area]) -> None:
    """Valid polygons inside the outline; the key point lies inside the dermatome."""
    for view, area in root.areas.items():
        _check_area(area, file, f"{root.id}, {view}", outlines[view])
    at = root.key_point
    inside = at.view in root.areas and geometry.holds_point(root.areas[at.view], at.x, at.y)
    check(inside, file, root.id, "the key point does not lie inside the area")


def _check_area(area: Area, file: str, entry: str, outline: Area) -> None:
    reason = geometry.why_not_valid(area)
    check(not reason, file, entry, f"is not a valid polygon: {reason}")
    check(
        geometry.is_inside(area, outline, SLACK_MM2),
        file,
        entry,
        "does not lie inside the outline of the body",
    )


def _check_place(at: Place, file: str, entry: str, outlines: Mapping[str, Area]) -> None:
    check(
        geometry.holds_point(outlines[at.view], at.x, at.y), file, entry, "the point does not lie on the body"
    )


def check_borders(one: Muscle, file: str, patches: Mapping[str, Sequence[Area]]) -> None:
    """No zone may have more than BORDER_SHARE of its edge along the borders of regions (by view).

    Some milliseconds a zone: done when the atlas is compiled and when it is tested, not on every load.
    """
    for site in one.sites:
        for (view, zone), area in site.zones.items():
            part = border_share(area, patches[view])
            reason = f"{part:.0%} of the edge follows region borders (at most {BORDER_SHARE:.0%})"
            check(part <= BORDER_SHARE, file, f"{one.id}, site {site.id}, {zone} {view}", reason)


def border_share(area: Area, patches: Sequence[Area]) -> float:
    """The share of the edge of `area` that runs within BORDER_REACH_MM of the border of any patch."""
    reach = geometry.widen(area, BORDER_REACH_MM)
    touched = [patches[place] for place, _ in geometry.cut_by(reach, patches)]
    if not touched:
        return 0.0
    return geometry.edge_length_near(area, geometry.strip_along_edges(touched, BORDER_REACH_MM)) / float(
        area.length
    )


def regions_by_view() -> dict[str, list[Area]]:
    """The regions of the committed figure, as `check_borders` wants them."""
    return {
        view: [geometry.as_area(one.area) for one in regions.load() if one.view == view] for view in VIEWS
    }

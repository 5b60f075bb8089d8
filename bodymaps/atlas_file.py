"""Read and check a compiled atlas: every promise an entry makes is kept, or the file is refused with
AtlasError.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

from bodymaps import fields, figure, geometry, regions
from bodymaps.fields import check
from bodymaps.geometry import Area
from bodymaps.patterns import (
    ALL_SITES,
    AT_RISK,
    FELT,
    HOW_COMMON,
    LAYERS,
    STRUCTURE_SIDES,
    VIEWS,
    Atlas,
    AtlasError,
    AtRisk,
    Dermatome,
    Innervation,
    Muscle,
    Site,
    Structure,
    known_muscles,
)

VERSION = "atlas-2"
WORD = re.compile(r"[a-z][a-z0-9_]*")
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
    muscles = [muscle(entry, file, names) for entry in fields.tables(data, "muscles", file, "file")]
    dermatomes = [dermatome(entry, file) for entry in fields.tables(data, "dermatomes", file, "file")]
    structures = [structure(entry, file) for entry in fields.tables(data, "structures", file, "file")]
    for one in muscles:
        check_muscle(one, file, edges)
    for root in dermatomes:
        check_dermatome(root, file, edges)
    for other in structures:
        check_structure(other, file, edges)
    return Atlas(
        version=VERSION,
        figure=body.version,
        muscles=fields.by_id(muscles, file),
        dermatomes=fields.by_id(dermatomes, file),
        structures={
            layer: fields.by_id([one for one in structures if one.layer == layer], file) for layer in LAYERS
        },
        midlines={view: float(body.view(view).midline_x) for view in VIEWS},
    )


def outlines() -> dict[str, Area]:
    """The edge of the body by view, soles included."""
    return {view: geometry.as_area(figure.load().view(view).outline) for view in VIEWS}


# Reading: from plain JSON to frozen entries. Every member is named in the message when it is missing or odd.


def muscle(data: Any, file: str, names: Mapping[str, tuple[str, str]]) -> Muscle:
    """One muscle from plain data (the shape of an entry of the compiled file)."""
    muscle_id = fields.text(data, "id", file, "muscle")
    check(muscle_id in names, file, muscle_id, "is not a muscle the product knows (muscles.toml)")
    nerve = data.get("innervation")
    check(isinstance(nerve, dict), file, muscle_id, "innervation is missing")
    return Muscle(
        id=muscle_id,
        name=fields.text(data, "name", file, muscle_id),
        group=names[muscle_id][1],
        attachments=fields.texts(data, "attachments", file, muscle_id),
        action=fields.text(data, "action", file, muscle_id),
        innervation=Innervation(
            fields.text(nerve, "nerve", file, muscle_id), fields.roots(nerve, file, muscle_id)
        ),
        cautions=fields.texts(data, "cautions", file, muscle_id),
        commonly_mistaken_for=fields.texts(data, "commonly_mistaken_for", file, muscle_id),
        synergists=_muscles(data, "synergists", file, muscle_id, names),
        often_with=_muscles(data, "often_with", file, muscle_id, names),
        brings_on=fields.some_texts(data, "brings_on", file, muscle_id),
        eases=fields.some_texts(data, "eases", file, muscle_id),
        position=fields.text(data, "position", file, muscle_id),
        find=fields.text(data, "find", file, muscle_id),
        depth=fields.text(data, "depth", file, muscle_id),
        neighbours=fields.some_texts(data, "neighbours", file, muscle_id),
        at_risk=tuple(
            _at_risk(entry, file, muscle_id) for entry in fields.tables(data, "at_risk", file, muscle_id)
        ),
        sources=fields.sources(data, file, muscle_id),
        sites=tuple(_site(entry, file, muscle_id) for entry in fields.tables(data, "sites", file, muscle_id)),
    )


def _muscles(
    data: Any, member: str, file: str, muscle_id: str, names: Mapping[str, tuple[str, str]]
) -> tuple[str, ...]:
    """Ids of other muscles."""
    found = fields.texts(data, member, file, muscle_id)
    for other in found:
        reason = f"{member}: {other!r} is not another muscle the product knows (muscles.toml)"
        check(other in names and other != muscle_id, file, muscle_id, reason)
    return found


def _at_risk(data: Any, file: str, muscle_id: str) -> AtRisk:
    structure, words, source = (
        fields.text(data, member, file, f"{muscle_id}, at_risk")
        for member in ("structure", "words", "source")
    )
    reason = f"at_risk: structure {structure!r} is not {', '.join(AT_RISK)}"
    check(structure in AT_RISK, file, muscle_id, reason)
    return AtRisk(structure, words, source)


def _site(data: Any, file: str, muscle_id: str) -> Site:
    site_id = fields.text(data, "id", file, f"{muscle_id}, site")
    entry = f"{muscle_id}, site {site_id}"
    how_common = fields.text(data, "how_common", file, entry)
    check(WORD.fullmatch(site_id) is not None, file, entry, "the id is not a word in lower case")
    check(site_id != ALL_SITES, file, entry, "the id is kept for all sites of a muscle taken together")
    check(how_common in HOW_COMMON, file, entry, f"how_common {how_common!r} is not {', '.join(HOW_COMMON)}")
    return Site(
        id=site_id,
        where=fields.text(data, "where", file, entry),
        how_common=how_common,
        note=str(data.get("note", "")),
        at=fields.place(data.get("at"), file, entry),
        zones=fields.zones(data, file, entry),
    )


def dermatome(data: Any, file: str) -> Dermatome:
    """One dermatome from plain data (the shape of an entry of the compiled file)."""
    root = fields.text(data, "id", file, "dermatome")
    check(fields.ROOT.fullmatch(root) is not None, file, root, "is not the name of a nerve root")
    areas = {
        item.get("view"): fields.area(item.get("area"), file, f"{root}, {item.get('view')}")
        for item in fields.tables(data, "areas", file, root)
    }
    check(bool(areas) and set(areas) <= set(VIEWS), file, root, "areas need a view, front or back")
    return Dermatome(
        id=root,
        note=str(data.get("note", "")),
        source=fields.text(data, "source", file, root),
        key_point=fields.place(data.get("key_point"), file, root),
        described=fields.text(data.get("key_point"), "described", file, root),
        areas=areas,
    )


def structure(data: Any, file: str) -> Structure:
    """One nerve, plexus, joint or organ from plain data (the shape of an entry of the compiled file)."""
    name = fields.text(data, "id", file, "structure")
    check(WORD.fullmatch(name) is not None, file, name, "the id is not a word in lower case")
    layer, sides = (fields.text(data, member, file, name) for member in ("layer", "sides"))
    check(layer in LAYERS, file, name, f"layer {layer!r} is not {', '.join(LAYERS)}")
    check(sides in STRUCTURE_SIDES, file, name, f"sides {sides!r} is not {', '.join(STRUCTURE_SIDES)}")
    felt = str(data.get("felt", FELT[0]))
    check(felt in FELT, file, name, f"felt {felt!r} is not {' or '.join(FELT)}")
    check(isinstance(data.get("urgent"), bool), file, name, "urgent is not true or false")
    return Structure(
        id=name,
        name=fields.text(data, "name", file, name),
        layer=layer,
        sides=sides,
        roots=fields.roots(data, file, name),
        points_to=fields.texts(data, "points_to", file, name),
        examine=fields.texts(data, "examine", file, name),
        told_apart=fields.texts(data, "told_apart", file, name),
        urgent=data["urgent"],
        note=str(data.get("note", "")),
        sources=fields.sources(data, file, name),
        at=fields.place(data["at"], file, name) if "at" in data else None,
        zones=fields.zones(data, file, name),
        felt=felt,
    )


# Checking: what must hold of every entry before anybody sees it.


def check_muscle(one: Muscle, file: str, outlines: Mapping[str, Area]) -> None:
    """Valid polygons, inside the outline, core there and apart from the spillover, site ids different; what a
    needle can hurt is named, with two sources where that is the pleura.
    """
    check(bool(one.sites), file, one.id, "has no site")
    check(bool(one.at_risk), file, one.id, 'at_risk names no structure; "none" says why there is nothing')
    over_pleura = any(risk.structure == "pleura" for risk in one.at_risk)
    enough = len({source.work for source in one.sources}) > 1 or not over_pleura
    check(enough, file, one.id, "lies over the pleura and needs two sources")
    fields.by_id(one.sites, file)
    for site in one.sites:
        entry = f"{one.id}, site {site.id}"
        fields.check_place(site.at, file, entry, outlines)
        fields.check_zones(site.zones, file, entry, outlines)


def check_dermatome(root: Dermatome, file: str, outlines: Mapping[str, Area]) -> None:
    """Valid polygons inside the outline; the key point lies inside the dermatome."""
    for view, area in root.areas.items():
        fields.check_area(area, file, f"{root.id}, {view}", outlines[view])
    at = root.key_point
    inside = at.view in root.areas and geometry.holds_point(root.areas[at.view], at.x, at.y)
    check(inside, file, root.id, "the key point does not lie inside the area")


def check_structure(one: Structure, file: str, outlines: Mapping[str, Area]) -> None:
    """Valid polygons inside the outline, a core, core and spillover apart."""
    if one.at is not None:
        fields.check_place(one.at, file, one.id, outlines)
    fields.check_zones(one.zones, file, one.id, outlines)


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

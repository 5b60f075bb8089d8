"""A practice's own patterns: drawn on the board, laid over an atlas without changing it.

An own pattern stands for a new name, or for a muscle of the atlas, whose facts stay while its zones are
replaced. It is drawn for the right side; the left is its mirror, as everywhere in the atlas.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from bodymaps import fields, geometry, marks
from bodymaps.geometry import Area
from bodymaps.marks import Spot
from bodymaps.patterns import (
    STATUS,
    VIEWS,
    ZONES,
    Atlas,
    AtlasError,
    Innervation,
    Muscle,
    Place,
    Site,
    Source,
    known_muscles,
)
from bodymaps.strokes import LIMITS, Stroke

PREFIX = "own_"
# The one site of a muscle that has an own pattern: by it an own pattern is known in any atlas.
SITE = "own"
GROUP = "own patterns"
# For a pattern whose point nobody marked: a place on no view, so that nothing is drawn for it.
NOWHERE = Place("", 0.0, 0.0)
# mm²: crumbs that are left where a spillover is cut along a core.
CRUMB_MM2 = 4.0
# The nib with which a stored zone is drawn round again, and by how much its line may be simpler (mm).
LINE_MM, LINE_THINNED_MM, DIGITS = 1.0, 0.1, 3
# Characters; a text longer than this is no name, chapter or reason any more.
LONGEST = {"id": 64, "name": 80, "site": 300, "work": 200, "chapter": 120, "reason": 600}
# Of one pattern: far above any drawing by hand (a board takes 20,000 points).
MOST_POLYGONS, MOST_POINTS = 400, 60_000
ID = re.compile(r"[a-z][a-z0-9_]*")

Zones = Mapping[tuple[str, str], Area]


@dataclass(frozen=True)
class OwnPattern:
    """`id`: own_<slug of the name>, or the id of the muscle it replaces. `zones` (mm, right side) by view and
    zone; `at`: where the point lies, None when it was not marked; `site` says it in words, "" for none.
    """

    id: str
    name: str
    version: int
    site: str
    source: Source
    reason: str
    zones: Zones
    at: Place | None = None

    @property
    def words(self) -> str:
        """What stands beside it wherever it is ranked or shown."""
        return f"own pattern, version {self.version}"


def new_id(name: str) -> str:
    """The id of a new pattern; "own_" alone when the name has no letter or digit.

    >>> new_id("Ligamentum nuchae, upper part")
    'own_ligamentum_nuchae_upper_part'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")
    return (PREFIX + slug)[: LONGEST["id"]].rstrip("_") if slug else PREFIX


def applied(atlas: Atlas, patterns: Iterable[OwnPattern]) -> Atlas:
    """A new Atlas with the patterns in it; the very same one when there are none.

    A muscle that is replaced keeps its place, name and facts and has the own zones as its one site. A new one
    comes last and has no facts. The version says how many there are: "atlas-2 + 2 own patterns".
    """
    found = {one.id: one for one in patterns}
    if not found:
        return atlas
    muscles = dict(atlas.muscles)
    for one in found.values():
        muscles[one.id] = _muscle(one, muscles.get(one.id))
    count = f"{len(found)} own pattern{'' if len(found) == 1 else 's'}"
    return replace(atlas, version=f"{atlas.version} + {count}", muscles=muscles)


def is_own(muscle: Muscle) -> bool:
    """Whether its pattern is the practice's own."""
    return any(site.id == SITE for site in muscle.sites)


def words_of(atlas: Atlas, muscle_id: str) -> str:
    """ "own pattern, version 2" for a muscle that has one, "" for any other."""
    muscle = atlas.muscles.get(muscle_id)
    return muscle.sites[0].how_common if muscle and is_own(muscle) else ""


def _muscle(one: OwnPattern, before: Muscle | None) -> Muscle:
    site = Site(
        id=SITE,
        where=one.site or "no site was described",
        how_common=one.words,
        note=f"Why there is an own pattern: {one.reason}",
        at=one.at or NOWHERE,
        zones=dict(one.zones),
    )
    if before is not None:
        return replace(before, sites=(site,), sources=(one.source, *before.sources))
    name, group = known_muscles().get(one.id, (one.name, GROUP))
    return Muscle(
        id=one.id,
        name=name,
        group=group,
        attachments=(),
        action="",
        innervation=Innervation("", ()),
        cautions=(),
        commonly_mistaken_for=(),
        sources=(one.source,),
        sites=(site,),
    )


def painted(strokes: Iterable[Stroke]) -> dict[tuple[str, str], Area]:
    """The zones of strokes whose kinds are the zones, by the painting rule of marks; where both are painted
    the core counts.
    """
    drawn = {(one.view, one.kind): one.area for one in marks.paint(strokes, kinds=ZONES)}
    for view in VIEWS:
        if (view, "core") in drawn and (view, "spillover") in drawn:
            rest = geometry.take_away(drawn[view, "spillover"], drawn[view, "core"])
            drawn[view, "spillover"] = geometry.without_crumbs(geometry.on_grid(rest), CRUMB_MM2)
    return {key: area for key, area in sorted(drawn.items()) if not area.is_empty}


def as_lines(zones: Zones) -> list[tuple[str, str, list[tuple[float, float]]]]:
    """View, zone and a line to be drawn round with a nib of LINE_MM, for every patch of the zones: drawn
    again in this order they paint about the same zones. The spillover comes first; its holes are filled where
    no core lies in them.
    """
    lines = []
    for (view, zone), area in sorted(zones.items(), key=lambda one: (one[0][1] != "spillover", one[0])):
        shrunk = geometry.thinned_outline(geometry.widen(area, -LINE_MM / 2), LINE_THINNED_MM)
        for rings in geometry.rings_of(shrunk, DIGITS):
            line = [(x, y) for x, y in rings[0]]
            if 3 < len(line) <= LIMITS.points_per_stroke:
                lines.append((view, zone, line))
    return lines


def place_of(spots: Iterable[Spot]) -> Place | None:
    """Where the point lies: the spot that was marked, where it is on the body."""
    outlines = marks.body_outlines()
    on_body = (one for one in spots if geometry.holds_point(outlines[one.view], one.x, one.y))
    found = next(on_body, None)
    return Place(found.view, found.x, found.y) if found else None


def share_on_the_left(zones: Zones, midlines: Mapping[str, float]) -> float:
    """The share of the core (0 to 1) on the left half of the body: an own pattern is drawn for the right."""
    left = total = 0.0
    for view in VIEWS:
        area = zones.get((view, "core"), geometry.EMPTY)
        ends = (midlines[view], 5000.0) if view == "front" else (-5000.0, midlines[view])
        left += geometry.overlap(area, geometry.box(ends[0], -5000.0, ends[1], 5000.0)).area
        total += area.area
    return left / total if total else 0.0


def check(one: OwnPattern, file: str) -> None:
    """Raise AtlasError (file, id, reason) for the first thing that is wrong with a pattern."""
    if not ID.fullmatch(one.id) or one.id == PREFIX:
        raise AtlasError(file, one.id, f"the id is not {PREFIX}<name> nor the id of a muscle")
    if not one.id.startswith(PREFIX) and one.id not in known_muscles():
        raise AtlasError(file, one.id, "is no muscle of the atlas; the id of a new pattern begins with own_")
    _check_texts(one, file)
    _check_size(one, file)
    outlines = marks.body_outlines()
    fields.check_zones(one.zones, file, one.id, outlines)
    if one.at is not None:
        fields.check_place(one.at, file, one.id, outlines)


def _check_texts(one: OwnPattern, file: str) -> None:
    texts = {"id": one.id, "name": one.name, "reason": one.reason, "site": one.site}
    texts |= {"work": one.source.work, "chapter": one.source.chapter}
    for member, text in texts.items():
        if member != "site" and not text.strip():
            raise AtlasError(file, one.id, f"{member} is missing")
        if len(text) > LONGEST[member]:
            raise AtlasError(file, one.id, f"{member} has {len(text)} characters; it takes {LONGEST[member]}")
        if not text.replace("\r", "").replace("\n", "").isprintable():
            raise AtlasError(file, one.id, f"{member} has a sign that can't be printed")
    if one.source.status not in STATUS:
        raise AtlasError(file, one.id, f"source status {one.source.status!r} is not {' or '.join(STATUS)}")


def _check_size(one: OwnPattern, file: str) -> None:
    polygons = sum(len(area.geoms) for area in one.zones.values())
    points = sum(
        len(ring) for area in one.zones.values() for polygon in geometry.rings_of(area) for ring in polygon
    )
    if polygons > MOST_POLYGONS:
        raise AtlasError(file, one.id, f"has {polygons:,} polygons; a pattern takes {MOST_POLYGONS}")
    if points > MOST_POINTS:
        raise AtlasError(file, one.id, f"has {points:,} points; a pattern takes {MOST_POINTS:,}")

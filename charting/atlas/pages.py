"""What the pages of the atlas may use: finding and asking, one entry, the sources."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from bodymaps import own, patterns
from bodymaps.atlas import ALL_SITES, SIDES, Atlas, Dermatome, Muscle
from bodymaps.patterns import Source, Structure
from bodymaps.words import sentence_case
from charting.atlas import facts, shown
from charting.atlas.facts import Alike, Risk, Section
from charting.atlas.kinds import BY_LAYER, BY_SLUG, KINDS, Entry, Kind, entries, name_of, sides_of
from charting.atlas.shown import LayerPicture
from charting.drawing import picture
from charting.drawing.picture import ViewPicture


@dataclass(frozen=True)
class Choice:
    """One of several things to show. `query` leads there; `id` stays the same when the piece is swapped."""

    id: str
    label: str
    query: str
    is_chosen: bool


@dataclass(frozen=True)
class SiteLine:
    """One point of a muscle; `note` also says where sources disagree."""

    where: str
    how_common: str
    note: str
    choice: Choice


@dataclass(frozen=True)
class EntryPage:
    """One entry. `own`: "own pattern, version 2" of the practice, or "". `sides` and `sites` are empty where
    there is nothing to choose.
    """

    kind: Kind
    id: str
    name: str
    side: str
    own: str
    is_urgent: bool
    has_skin: bool
    figures: tuple[tuple[ViewPicture, LayerPicture], ...]
    nowhere: str
    sides: tuple[Choice, ...]
    sites: tuple[Choice, ...]
    points: tuple[SiteLine, ...]
    sections: tuple[Section, ...]
    risks: tuple[Risk, ...]
    sources: tuple[Source, ...]
    source: str
    atlas_version: str

    @property
    def shown(self) -> str:
        """What lies on the figure, in words."""
        chosen = [each.label for each in self.sites if each.is_chosen]
        said = [self.name, *([self.side] if self.side in SIDES else []), *chosen]
        return ", ".join(said)


def find(known: Atlas, kind: str, name: str) -> tuple[Kind, Entry] | None:
    """The entry of an address, or None when the atlas has none like it. A kind may be named by its layer:
    whoever links from a ranking knows that.
    """
    found = BY_SLUG.get(kind) or BY_LAYER.get(kind)
    entry = entries(known, found).get(name) if found else None
    return (found, entry) if found and entry else None


def entry_page(known: Atlas, kind: Kind, entry: Entry, side: str, site: str, *, alike: Alike) -> EntryPage:
    """A side or a site that there is not is answered with the first."""
    sides = sides_of(entry)
    side = side if side in sides else sides[0]
    site = _site(entry, site)
    boxes = boxes_of(known, entry, side)
    layers = shown.layers(entry, side, site, known, boxes)
    return EntryPage(
        kind=kind,
        id=entry.id,
        name=name_of(entry),
        side=side,
        own=own.words_of(known, entry.id) if isinstance(entry, Muscle) else "",
        is_urgent=isinstance(entry, Structure) and entry.urgent,
        has_skin=isinstance(entry, Dermatome),
        figures=tuple((shown.bodies()[layer.view], layer) for layer in layers),
        nowhere=_nowhere(boxes),
        sides=_sides(sides, side, site),
        sites=_sites(entry, side, site),
        points=_points(entry, side, site),
        sections=facts.sections(entry, known, alike),
        risks=facts.risks(entry) if isinstance(entry, Muscle) else (),
        sources=() if isinstance(entry, Dermatome) else entry.sources,
        source=entry.source if isinstance(entry, Dermatome) else "",
        atlas_version=known.version,
    )


def boxes_of(known: Atlas, entry: Entry, side: str) -> dict[str, str]:
    """The part of each view that holds the whole pattern and every point, the same for all sites."""
    zones = shown.zones_of(entry, side, ALL_SITES, known)
    felt = [(view, area) for (view, _), area in zones.items()]
    return shown.boxes_round([*felt, *shown.spots_of(entry, side, known)])


def _nowhere(boxes: Mapping[str, str]) -> str:
    """Says which view is left out because nothing lies there."""
    left_out = [title for view, title in picture.TITLES.items() if view not in boxes]
    return f"{left_out[0]}: nothing to be shown." if left_out else ""


def _site(entry: Entry, site: str) -> str:
    if not isinstance(entry, Muscle):
        return ""
    names = [each.id for each in entry.sites]
    if len(names) == 1:
        return names[0]
    return site if site in names else ALL_SITES


def _query(side: str, site: str) -> str:
    return "?" + urlencode({"side": side, **({"site": site} if site else {})})


def _sides(sides: tuple[str, ...], side: str, site: str) -> tuple[Choice, ...]:
    if len(sides) < 2:
        return ()
    return tuple(
        Choice(f"side-{each}", sentence_case(each), _query(each, site), each == side) for each in sides
    )


def _sites(entry: Entry, side: str, site: str) -> tuple[Choice, ...]:
    """All points together, then each by its number in the list of points."""
    if not isinstance(entry, Muscle) or len(entry.sites) < 2:
        return ()
    every = Choice("site-all", "all points", _query(side, ALL_SITES), site == ALL_SITES)
    return (every, *(_site_choice(n, each.id, side, site) for n, each in enumerate(entry.sites, 1)))


def _site_choice(number: int, name: str, side: str, site: str) -> Choice:
    return Choice(f"site-{number}", f"point {number}", _query(side, name), site == name)


def _points(entry: Entry, side: str, site: str) -> tuple[SiteLine, ...]:
    if not isinstance(entry, Muscle):
        return ()
    return tuple(
        SiteLine(
            where=sentence_case(each.where),
            how_common=each.how_common,
            note=each.note,
            choice=_site_choice(number, each.id, side, site),
        )
        for number, each in enumerate(entry.sites, 1)
    )


@dataclass(frozen=True)
class StatusLine:
    """One kind of entry: how many, their cited sources by status, entries by what they rest on."""

    label: str
    entries: int
    checked: int
    from_memory: int
    # Entries without any source that was seen, as links.
    unchecked: tuple[facts.Line, ...]


@dataclass(frozen=True)
class SourcesPage:
    lines: tuple[StatusLine, ...]
    total: StatusLine
    # What is said of structures at risk carries sources of its own.
    risks_checked: int
    risks_from_memory: int
    one_source: tuple[facts.Line, ...]
    atlas_version: str


def sources_page(known: Atlas) -> SourcesPage:
    counts = patterns.status_counts(known)
    lines = tuple(_status(known, kind, counts) for kind in KINDS)
    said = [each.source for muscle in known.muscles.values() for each in muscle.at_risk]
    remembered = sum("from memory" in each for each in said)
    total = StatusLine(
        "All",
        sum(line.entries for line in lines),
        sum(line.checked for line in lines),
        sum(line.from_memory for line in lines),
        tuple(link for line in lines for link in line.unchecked),
    )
    return SourcesPage(lines, total, len(said) - remembered, remembered, _over_pleura(known), known.version)


def _status(known: Atlas, kind: Kind, counts: Mapping[str, Mapping[str, int]]) -> StatusLine:
    found = entries(known, kind)
    cited = counts.get(kind.layer, {})
    unchecked = [entry for entry in found.values() if not _is_checked(entry)]
    return StatusLine(
        kind.many,
        len(found),
        cited.get("checked", 0),
        cited.get("from memory", 0),
        tuple(facts.Line(name_of(entry), facts.entry_url(kind, entry.id)) for entry in unchecked),
    )


def _is_checked(entry: Entry) -> bool:
    if isinstance(entry, Dermatome):
        return "from memory" not in entry.source
    return any(source.status == "checked" for source in entry.sources)


def _over_pleura(known: Atlas) -> tuple[facts.Line, ...]:
    """Muscles over the pleura that rest on one source alone: two are asked for."""
    kind = BY_SLUG["muscle"]
    return tuple(
        facts.Line(name_of(muscle), facts.entry_url(kind, muscle.id))
        for muscle in known.muscles.values()
        if any(each.structure == "pleura" for each in muscle.at_risk) and len(muscle.sources) < 2
    )

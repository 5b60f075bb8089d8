"""The page that finds an entry by name, and answers what is felt at a point or in a region."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from urllib.parse import urlencode

from bodymaps import geometry, parts, regions, skin, where, words
from bodymaps.atlas import ALL_SITES, Atlas, Dermatome, Muscle
from bodymaps.geometry import Area
from bodymaps.where import Holder
from charting.atlas import facts, names, shown
from charting.atlas.facts import Fact, Risk
from charting.atlas.forms import Asked, key_of
from charting.atlas.kinds import BY_LAYER, BY_SLUG, KINDS, Entry, entries, name_of, sides_of
from charting.atlas.pages import Choice
from charting.atlas.shown import LayerPicture, MarkPicture
from charting.drawing import picture
from charting.drawing.picture import ViewPicture

# Facts of a picked line: enough to decide whether to open the entry.
MOST_FACTS = 4


@dataclass(frozen=True)
class EntryLine:
    name: str
    kind: str
    url: str


@dataclass(frozen=True)
class Group:
    """One part of the body and its entries."""

    id: str
    label: str
    lines: tuple[EntryLine, ...]


@dataclass(frozen=True)
class Answer:
    """One entry that is felt here. `pick` lays its pattern over the figure."""

    pick: str
    name: str
    kind: str
    side: str
    words: str
    is_picked: bool
    is_urgent: bool


@dataclass(frozen=True)
class Picked:
    """The pattern on the figure, and a few facts beside it. Without a pick: empty layers, no heading."""

    pick: str
    heading: str
    url: str
    has_skin: bool
    is_urgent: bool
    layers: tuple[LayerPicture, ...]
    facts: tuple[Fact, ...]
    risks: tuple[Risk, ...]


@dataclass(frozen=True)
class RegionGroup:
    label: str
    choices: tuple[tuple[str, str, bool], ...]


@dataclass(frozen=True)
class AtlasPage:
    """`heading` names the place that was asked about, "" when none was. `keeps` is the address without a
    pick. `is_off`: the point lies beside the body.
    """

    asked: Asked
    heading: str
    is_off: bool
    cores: tuple[Answer, ...]
    spillovers: tuple[Answer, ...]
    groups: tuple[Group, ...]
    found: int
    kinds: tuple[Choice, ...]
    looks: tuple[Choice, ...]
    regions: tuple[RegionGroup, ...]
    is_whole: bool
    views: tuple[ViewPicture, ...]
    marks: tuple[MarkPicture, ...]
    picked: Picked
    keeps: str
    atlas_version: str


def atlas_page(known: Atlas, asked: Asked) -> AtlasPage:
    """Some milliseconds; the lists are left out where a place is asked about."""
    boxes = _boxes(asked)
    over = picked(known, asked)
    holders = _holders(known, asked)
    cores = tuple(_answer(one, known, over.pick) for one in holders if one.zone in where.FIRST_ZONES)
    spillovers = tuple(_answer(one, known, over.pick) for one in holders if one.zone == "spillover")
    groups = () if asked.is_where else _groups(known, asked)
    return AtlasPage(
        asked=asked,
        heading=_heading(asked),
        is_off=bool(asked.point and not _region_at(*asked.point)),
        cores=cores,
        spillovers=spillovers,
        groups=groups,
        found=sum(len(group.lines) for group in groups),
        kinds=_kinds(asked),
        looks=_looks(asked),
        regions=_region_groups(asked),
        is_whole=not asked.look,
        views=tuple(view for name, view in shown.bodies().items() if name in boxes),
        marks=shown.marks(asked.point, _region_areas(asked), boxes),
        picked=over,
        keeps=keeps(asked),
        atlas_version=known.version,
    )


def picked(known: Atlas, asked: Asked) -> Picked:
    """What the pick of an address shows: "muscle.infraspinatus.right.upper_belly", "root.C6.left"."""
    boxes = _boxes(asked)
    slug, _, rest = asked.pick.partition(".")
    name, _, rest = rest.partition(".")
    side, _, site = rest.partition(".")
    entry = entries(known, BY_SLUG[slug]).get(name) if slug in BY_SLUG else None
    if entry is None or side not in sides_of(entry):
        return Picked("", "", "", False, False, shown.layers(None, "", "", known, boxes), (), ())
    site = _known_site(entry, site)
    said = [fact for section in facts.sections(entry, known, {}) for fact in section.facts]
    return Picked(
        pick=".".join(part for part in (slug, name, side, site) if part),
        heading=f"{name_of(entry)}{'' if side == 'midline' else f', {side}'}",
        url=facts.entry_url(BY_SLUG[slug], name) + "?" + urlencode({"side": side}),
        has_skin=isinstance(entry, Dermatome),
        is_urgent=bool(getattr(entry, "urgent", False)),
        layers=shown.layers(entry, side, site, known, boxes),
        facts=tuple(said[:MOST_FACTS]),
        risks=facts.risks(entry) if isinstance(entry, Muscle) else (),
    )


def keeps(asked: Asked, **others: str) -> str:
    """The address of what is asked, without a pick: "?view=back&x=600&y=410"."""
    said = {"q": asked.text, "kind": asked.kind, "look": asked.look}
    if asked.point:
        view, x, y = asked.point
        said |= {"view": view, "x": f"{x:.0f}", "y": f"{y:.0f}", "q": ""}
    elif asked.patch:
        said |= {"region": key_of(asked.patch), "q": ""}
    return "?" + urlencode({name: value for name, value in {**said, **others}.items() if value})


def _known_site(entry: Entry, site: str) -> str:
    if not isinstance(entry, Muscle):
        return ""
    return site if site in [each.id for each in entry.sites] else ALL_SITES


def _boxes(asked: Asked) -> dict[str, str]:
    """The whole figure, or the place to look closer at in the views where it lies."""
    place = next((each for each in parts.load().places if each.id == asked.look), None)
    if place is None:
        return {view: picture.WHOLE for view in picture.TITLES}
    return {
        view: f"{left:.0f} {top:.0f} {right - left:.0f} {bottom - top:.0f}"
        for view, (left, top, right, bottom) in place.boxes.items()
    }


def _holders(known: Atlas, asked: Asked) -> tuple[Holder, ...]:
    if asked.point:
        return where.refers_here(known, *asked.point)
    return where.refers_into(known, asked.patch) if asked.patch else ()


def _answer(one: Holder, known: Atlas, shown_pick: str) -> Answer:
    kind = BY_LAYER[one.layer]
    entry = entries(known, kind)[one.id]
    site = one.sites[0] if len(one.sites) == 1 else ALL_SITES if one.sites else ""
    pick = ".".join(part for part in (kind.slug, one.id, one.side, site) if part)
    return Answer(
        pick=pick,
        name=name_of(entry),
        kind=kind.one,
        side="" if one.side == "midline" else one.side,
        words=_words(one, entry),
        # Another site of the same muscle keeps its line picked.
        is_picked=shown_pick.split(".")[:3] == pick.split(".")[:3],
        is_urgent=bool(getattr(entry, "urgent", False)),
    )


def _words(one: Holder, entry: Entry) -> str:
    """Which of a muscle's points are felt here; the usual skin of a root; whether an organ is urgent."""
    if isinstance(entry, Muscle):
        sites = [site for site in entry.sites if site.id in one.sites]
        if len(entry.sites) == 1:
            return f"{sites[0].how_common}: {sites[0].where}"
        numbers = [str(n) for n, site in enumerate(entry.sites, 1) if site.id in one.sites]
        if len(numbers) == 1:
            return f"point {numbers[0]}, {sites[0].how_common}: {sites[0].where}"
        return f"points {words.listed(numbers)}"
    if isinstance(entry, Dermatome):
        return "usual skin of the root"
    return "may need a physician the same day" if entry.urgent else ""


def _heading(asked: Asked) -> str:
    if asked.patch:
        return words.sentence_case(words.patch(asked.patch))
    if asked.point is None:
        return ""
    view, x, y = asked.point
    found = _region_at(view, x, y)
    if found is None:
        return "Beside the body"
    return f"{words.sentence_case(words.region_on(found.id, found.side))}, {picture.TITLES[view].lower()}"


def _region_at(view: str, x: float, y: float) -> regions.Region | None:
    here = [one for one in regions.load() if one.view == view]
    held = geometry.which_hold([one.area for one in here], x, y)
    return next((one for one, holds in zip(here, held, strict=True) if holds), None)


def _region_areas(asked: Asked) -> list[tuple[str, Area]]:
    if asked.patch is None:
        return []
    ids, side = asked.patch.ids, asked.patch.side
    return [(one.view, one.area) for one in regions.load() if one.id in ids and one.side == side]


def _groups(known: Atlas, asked: Asked) -> tuple[Group, ...]:
    found = names.found(known, asked.text)
    wanted = [each for each in found if asked.kind in ("", each.kind.slug)]
    return tuple(
        Group(part.id, part.label, tuple(_line(each) for each in those))
        for part, those in names.by_body_part(wanted)
    )


def _line(each: names.Named) -> EntryLine:
    return EntryLine(each.name, each.kind.one, facts.entry_url(each.kind, each.id))


def _kinds(asked: Asked) -> tuple[Choice, ...]:
    every = Choice("kind-all", "All", keeps(asked, kind=""), not asked.kind)
    each = (
        Choice(f"kind-{kind.slug}", kind.many, keeps(asked, kind=kind.slug), asked.kind == kind.slug)
        for kind in KINDS
    )
    return (every, *each)


def _looks(asked: Asked) -> tuple[Choice, ...]:
    whole = Choice("look-whole", "Whole figure", _with_pick(asked, ""), not asked.look)
    each = (
        Choice(f"look-{place.id}", place.label, _with_pick(asked, place.id), asked.look == place.id)
        for place in parts.load().places
    )
    return (whole, *each)


def _with_pick(asked: Asked, look: str) -> str:
    return keeps(asked, look=look, pick=asked.pick)


def _region_groups(asked: Asked) -> tuple[RegionGroup, ...]:
    """Every patch of skin once, under the part of the body it belongs to."""
    chosen = key_of(asked.patch) if asked.patch else ""
    return tuple(
        RegionGroup(label, tuple((key, said, key == chosen) for key, said in those))
        for label, those in _patches_by_part().items()
    )


@cache
def _patches_by_part() -> Mapping[str, list[tuple[str, str]]]:
    grouped: dict[str, list[tuple[str, str]]] = {part.label: [] for part in parts.load().parts}
    for patch in skin.load().patches:
        part = parts.part_of(patch.ids[0], patch.side)
        grouped[part.label].append((key_of(patch), words.sentence_case(words.patch(patch))))
    return {label: sorted(those, key=lambda each: each[1]) for label, those in grouped.items() if those}

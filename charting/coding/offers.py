"""Codes that go with drawing, findings and conclusions: a list to look through. None of them is chosen."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodymaps import parts
from charting.coding import search, sides, sites, table
from charting.coding.evidence import Evidence
from charting.coding.search import Hit
from charting.coding.sites import CONCLUDED, DRAWN, Site
from charting.coding.table import Entry

MOST = 12


@dataclass(frozen=True)
class Offer:
    """`because`: "drawn: neck", "found or concluded there"."""

    hit: Hit
    because: str


def offers(found: Evidence) -> tuple[Offer, ...]:
    """What was found or concluded before what is only drawn, else in the order of sites.toml."""
    fitting = [site for site in sites.load() if _is_offered(site, found)]
    fitting.sort(key=lambda site: not found.named_in(site))
    listed = [offer for site in fitting for offer in _of(site, found)]
    return tuple(listed[:MOST])


def _is_offered(site: Site, found: Evidence) -> bool:
    if site.offer == CONCLUDED:
        return bool(found.named_in(site))
    return site.offer == DRAWN and found.speaks_for(site)


def _of(site: Site, found: Evidence) -> Iterator[Offer]:
    because = "found or concluded there" if found.named_in(site) else f"drawn: {_drawn(site, found)}"
    for code in site.codes:
        entry = table.load().entry(code)
        hit = _hit(entry, found.sides(site)) if entry else None
        if hit and (hit.entry.billable or hit.below):
            yield Offer(hit, because)


def _hit(entry: Entry, there: frozenset[str]) -> Hit:
    """A code with those below it that are of a side on record, where the codes below say sides."""
    below = search.few_below(entry, table.load())
    sided = tuple(one for one in below if sides.sides_of(one) and sides.sides_of(one) <= there)
    if len(sided) == 1:
        return Hit(sided[0])
    return Hit(entry, below=sided or below)


def _drawn(site: Site, found: Evidence) -> str:
    there = found.parts_in(site)
    held = (part for part in parts.load().parts if part.id in there)
    names = dict.fromkeys(_name(part.label) for part in held)
    return ", ".join(names)


def _name(label: str) -> str:
    """ "Left shoulder" as "shoulder": the side is the code's matter."""
    return label.casefold().removeprefix("left ").removeprefix("right ")

"""What speaks against a code in drawing, findings and conclusions. A caution, never a refusal: the code may
be kept with a reason.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from bodymaps import words
from charting.coding import sides, sites, table
from charting.coding.evidence import SIDES, Evidence
from charting.coding.sites import Site
from charting.coding.table import Entry

THERE = "is drawn, found or concluded"


@dataclass(frozen=True)
class Caution:
    """One sentence, and the codes that what is on record speaks for instead."""

    words: str
    better: tuple[Entry, ...] = ()


def cautions_of(entry: Entry, found: Evidence) -> tuple[Caution, ...]:
    """Nothing where nothing is on record that could speak for or against it."""
    if found.is_empty:
        return ()
    site = sites.site_of(entry)
    return (*_of_site(entry, site, found), *_of_side(entry, site, found))


def better_in_family(site: Site, found: Evidence) -> tuple[Entry, ...]:
    """The codes of the same family whose site is on record."""
    others = (one for one in sites.load() if one.family and one.family == site.family and one is not site)
    fitting = (one for one in others if not one.unspecified and found.speaks_for(one))
    return tuple(entry for one in fitting if (entry := table.load().entry(one.codes[0])))


def _of_site(entry: Entry, site: Site | None, found: Evidence) -> Iterator[Caution]:
    if site is None:
        return
    better = better_in_family(site, found)
    if site.unspecified:
        if better:
            yield Caution(f"{entry.code} says no site, and one {THERE}: {_listed(better)}.", better)
    elif not found.speaks_for(site):
        instead = f" What {THERE} goes with {_listed(better)}." if better else ""
        yield Caution(f"{entry.code} is for {site.where}. Nothing {THERE} there.{instead}", better)


def _of_side(entry: Entry, site: Site | None, found: Evidence) -> Iterator[Caution]:
    there = found.sides(site)
    if not there:
        return
    said = sides.sides_of(entry)
    better = sides.on_sides(entry, there)
    where = " and ".join(side for side in SIDES if side in there)
    named = f": {_listed(better)}" if better else ""
    if sides.is_unsaid(entry):
        yield Caution(f"{entry.code} leaves the side open. What {THERE} is on the {where}{named}.", better)
    elif said and not said <= there:
        of = "both sides" if said == sides.BOTH else f"the {next(iter(said))} side"
        yield Caution(f"{entry.code} is for {of}. What {THERE} there is on the {where}{named}.", better)


def _listed(entries: tuple[Entry, ...]) -> str:
    return words.listed([entry.code for entry in entries])

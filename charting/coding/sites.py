"""Where on the body a code belongs (sites.toml)."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import atlas, parts
from charting.coding import table
from charting.coding.table import Entry, Table

FILE = Path(__file__).parent / "sites.toml"
STATUS = ("checked", "from memory", "common practice")
DRAWN, CONCLUDED, NEVER = OFFERS = ("drawn", "concluded", "")
# The lists of an entry, and the layer of a candidate that each holds.
LAYERS = {
    "muscles": "muscle",
    "roots": "root",
    "nerves": "peripheral_nerve",
    "joints": "joint_referral",
    "plexuses": "plexus",
}


class SitesError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Site:
    """`sources`: (layer, id) that belong there. `parts`: ids of bodymaps.parts."""

    codes: tuple[str, ...]
    where: str
    parts: frozenset[str]
    sources: frozenset[tuple[str, str]]
    family: str
    unspecified: bool
    offer: str

    @property
    def layers(self) -> frozenset[str]:
        return frozenset(layer for layer, _ in self.sources)

    def is_of(self, code: str) -> bool:
        return code.startswith(self.codes)


@cache
def load() -> tuple[Site, ...]:
    """The file, checked. Raises SitesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")), table.load())


def site_of(entry: Entry) -> Site | None:
    """The site of a code, () for the great many that have none."""
    return next((site for site in load() if site.is_of(entry.code)), None)


def read(data: Mapping[str, Any], known: Table, file: str = FILE.name) -> tuple[Site, ...]:
    """Check and freeze decoded data. Raises SitesError with file, entry and reason."""
    found = tuple(_site(entry, known, file) for entry in data.get("site", ()))
    if not found:
        raise SitesError(f"{file}: no [[site]] is there")
    codes = [code for site in found for code in site.codes]
    for code in codes:
        if codes.count(code) > 1:
            raise SitesError(f"{file}: {code} has two sites; give it one")
    return found


def _site(entry: Mapping[str, Any], known: Table, file: str) -> Site:
    where = f"{file}: site {', '.join(entry.get('codes', ['?']))}"
    for code in entry.get("codes", ()):
        if known.entry(code) is None:
            raise SitesError(f"{where}: {code} is no code of the list of {known.release}")
    for name in ("codes", "where", "source"):
        if not entry.get(name):
            raise SitesError(f"{where}: {name} is missing")
    if entry.get("status") not in STATUS:
        raise SitesError(f"{where}: status must be one of {', '.join(STATUS)}")
    if entry.get("offer", NEVER) not in OFFERS:
        raise SitesError(f"{where}: offer must be one of {', '.join(filter(None, OFFERS))}, or left out")
    if not entry.get("parts") and not entry.get("unspecified"):
        raise SitesError(f"{where}: parts are needed where the code says a site")
    return Site(
        codes=tuple(entry["codes"]),
        where=entry["where"],
        parts=_known(entry.get("parts", ()), (part.id for part in parts.load().parts), "part", where),
        sources=frozenset(_sources(entry, where)),
        family=entry.get("family", ""),
        unspecified=entry.get("unspecified", False),
        offer=entry.get("offer", NEVER),
    )


def _sources(entry: Mapping[str, Any], where: str) -> Iterable[tuple[str, str]]:
    release = atlas.load()
    names: dict[str, Iterable[str]] = {
        "muscles": release.muscles,
        "roots": release.dermatomes,
        **{name: release.structures[LAYERS[name]] for name in ("nerves", "joints", "plexuses")},
    }
    for name, layer in LAYERS.items():
        for id_ in _known(entry.get(name, ()), names[name], name, where):
            yield layer, id_
    groups = {muscle.group for muscle in release.muscles.values()}
    wanted = _known(entry.get("groups", ()), groups, "group", where)
    yield from (("muscle", id_) for id_, muscle in release.muscles.items() if muscle.group in wanted)


def _known(listed: Iterable[str], there: Iterable[str], what: str, where: str) -> frozenset[str]:
    wrong = sorted(set(listed) - set(there))
    if wrong:
        raise SitesError(f"{where}: {what}: {', '.join(wrong)} is not known")
    return frozenset(listed)

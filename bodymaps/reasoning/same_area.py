"""Groups of sources that a drawing cannot tell apart, or that are taken for each other, and the examination
that does: data/reasoning/separates.toml.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps.atlas import SIDES, Atlas
from bodymaps.matching import Ranking
from bodymaps.reasoning import evidence_rules
from bodymaps.reasoning.evidence import Evidence
from bodymaps.reasoning.evidence_rules import EvidenceError, Key
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.signs import STATUS

FILE = "separates.toml"


@dataclass(frozen=True)
class Separation:
    """One group of the file: all its members, and what to examine, a sentence each."""

    id: str
    title: str
    members: tuple[Key, ...]
    examine: tuple[str, ...]
    source: str
    status: str


@dataclass(frozen=True)
class Member:
    layer: str
    id: str
    name: str
    side: str


@dataclass(frozen=True)
class SameArea:
    """A group of which at least two members stand among the first on one side. `others`: names of the
    rest.
    """

    id: str
    title: str
    side: str
    members: tuple[Member, ...]
    others: tuple[str, ...]
    examine: tuple[str, ...]
    source: str
    status: str

    def as_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "title": self.title,
            "side": self.side,
            "members": [{"layer": one.layer, "id": one.id, "side": one.side} for one in self.members],
            "examine": list(self.examine),
            "source": self.source,
            "status": self.status,
        }


def groups(ranking: Ranking, atlas: Atlas, evidence: Evidence | None = None) -> tuple[SameArea, ...]:
    """The groups of which at least two members stand among the first of the geometry's orders or of the order
    with evidence, most members first; right before left.
    """
    first = dict.fromkeys(_first(ranking, evidence))
    found = [
        _same_area(one, side, present, atlas)
        for one in separations()
        for side in SIDES
        if len(present := _present(one, side, first)) > 1
    ]
    return tuple(sorted(found, key=lambda one: -len(one.members)))


@cache
def separations() -> tuple[Separation, ...]:
    """Every group of the file. Raises EvidenceError."""
    shared = evidence_rules.load(evidence_rules.FILES[0])
    reader = evidence_rules.Reader(FILE, shared)
    return tuple(_separation(entry, reader) for entry in evidence_rules.load(FILE)["group"])


@cache
def _among_first() -> Mapping[str, int]:
    found: Mapping[str, int] = evidence_rules.load(FILE)["among_first"]
    return found


def _separation(entry: Mapping[str, Any], reader: evidence_rules.Reader) -> Separation:
    where = f"{FILE}: group {entry.get('id', '?')}"
    for name in ("id", "title", "source"):
        if not isinstance(entry.get(name), str) or not entry[name].strip():
            raise EvidenceError(f"{where}: {name} must be a text")
    if entry.get("status") not in STATUS:
        raise EvidenceError(f"{where}: status must be one of {', '.join(STATUS)}")
    members, examine = reader.candidates(entry.get("members", ()), where), tuple(entry.get("examine", ()))
    if len(members) < 2 or not examine:
        raise EvidenceError(f"{where}: needs two members or more, and what to examine")
    return Separation(entry["id"], entry["title"], members, examine, entry["source"], entry["status"])


def _first(ranking: Ranking, evidence: Evidence | None) -> Iterator[Sided]:
    most = _among_first()
    yield from (("muscle", one.muscle, one.side) for one in ranking.muscles[: most["muscles"]])
    yield from (("root", one.root, one.side) for one in ranking.roots[: most["others"]])
    for layer, found in ranking.beside.items():
        yield from ((layer, one.id, one.side) for one in found[: most["others"]])
    if evidence:
        yield from ((one.layer, one.id, one.side) for one in evidence.order[: most["evidence"]])


def _present(one: Separation, side: str, first: Mapping[Sided, None]) -> tuple[Sided, ...]:
    """The members among the first on a side; an organ that is single belongs to both."""
    here = [
        sided
        for key in one.members
        for sided in first
        if sided[:2] == key and (sided[2] == side or key[0] == "visceral")
    ]
    return tuple(here) if any(sided[2] == side and sided[0] != "visceral" for sided in here) else ()


def _same_area(one: Separation, side: str, present: tuple[Sided, ...], atlas: Atlas) -> SameArea:
    shown = {sided[:2] for sided in present}
    return SameArea(
        id=one.id,
        title=one.title,
        side=side,
        members=tuple(Member(*sided[:2], evidence_rules.name(sided, atlas), sided[2]) for sided in present),
        others=tuple(evidence_rules.name(key, atlas) for key in one.members if key not in shown),
        examine=one.examine,
        source=one.source,
        status=one.status,
    )

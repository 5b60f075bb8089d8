"""The plain words of a patient's summary (plain.toml), checked on load against what the record can hold."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import consent_areas, outcomes
from bodymaps.reasoning.evidence_rules import ALL_LAYERS
from charting.assessment import certainty
from charting.treatment import techniques

FILE = Path(__file__).parent / "plain.toml"
PARTS = ("techniques", "places", "sources", "certainty", "scores")


class PlainError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Plain:
    version: str
    techniques: Mapping[str, str]
    places: Mapping[str, str]
    sources: Mapping[str, str]
    certainty: Mapping[str, str]
    scores: Mapping[str, str]


@cache
def load() -> Plain:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Plain:
    """Check decoded data. Raises PlainError."""
    if not isinstance(data.get("version"), str):
        raise PlainError(f"{FILE.name}: give it a version.")
    for part in PARTS:
        _check(part, data.get(part, {}))
    for part in ("techniques", "places"):
        missing = sorted(_known(part) - set(data.get(part, {})))
        if missing:
            raise PlainError(f"{FILE.name}: [{part}]: say {missing[0]} in plain words too.")
    for name, words in data["certainty"].items():
        if "{source}" not in words:
            raise PlainError(f"{FILE.name}: [certainty] {name}: put {{source}} where the source stands.")
    return Plain(data["version"], *(data.get(part, {}) for part in PARTS))


def _check(part: str, entries: Mapping[str, Any]) -> None:
    known = _known(part)
    for name, words in entries.items():
        if not isinstance(words, str) or not words.strip():
            raise PlainError(f"{FILE.name}: [{part}] {name}: write it in words.")
        if name not in known:
            raise PlainError(f"{FILE.name}: [{part}] {name}: the record knows no such thing; take it out.")


def _known(part: str) -> set[str]:
    """What an entry of this part may be about."""
    if part == "techniques":
        return {one.id for one in techniques.load().all}
    if part == "places":
        return set(consent_areas.areas())
    if part == "sources":
        return set(ALL_LAYERS)
    if part == "certainty":
        return set(certainty.load().ids)
    every = outcomes.instruments().values()
    return {f"{one.id}.{member.id}" for one in every for member in one.members} | {one.id for one in every}

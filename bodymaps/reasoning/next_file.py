"""data/reasoning/examine_next.toml read once and checked: the numbers and words of examine_next."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from string import Formatter
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.signs import STATUS

FILE = "examine_next.toml"


class NextError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Among:
    """`candidates`: how many lead; `proposals` at most, each worth `least_gain` bits or more,
    `muscles` of them muscles. `reach`, `leader_most`, `screen_among`: see the file.
    """

    candidates: int
    reach: float
    leader_most: float
    proposals: int
    least_gain: float
    muscles: int
    screen_among: int


@dataclass(frozen=True)
class Pressing:
    """Shares, 0 to 1, and `finger_mm`: see the file."""

    same_share: float
    finger_mm: float
    elsewhere: float
    place_share: float
    source: str
    status: str


@dataclass(frozen=True)
class Tests:
    """`silent`, `surest`: shares, 0 to 1. `together_within`: how near the first, in its total, several tests
    are worth the time. `groups`, `pages`: what of the catalogue is offered.
    """

    silent: float
    surest: float
    together_within: float
    groups: tuple[str, ...]
    pages: tuple[str, ...]


@dataclass(frozen=True)
class Measure:
    source: str
    status: str


@dataclass(frozen=True)
class Numbers:
    version: str
    among: Among
    pressing: Pressing
    tests: Tests
    measure: Measure
    words: Mapping[str, str]


# What each text holds in braces.
WORDS: Mapping[str, tuple[str, ...]] = {
    "pressing": (),
    "only_here": ("others", "places"),
    "only_here_several": ("others", "places"),
    "other_kind": ("others",),
    "beside": ("others",),
    "beside_several": ("others",),
    "same_area": ("others",),
    "same_area_several": ("others",),
    "known_pain": (),
    "not_known_pain": (),
    "result": ("figure", "names", "result", "speaks", "words"),
    "published": ("ratio",),
    "tests": ("tests",),
    "practice": (),
    "screen_title": ("limb",),
    "screen_title_rest": ("limb",),
    "screen": ("limb",),
    "screen_rest": ("limb",),
    "expected": ("name", "signs"),
    "sign": ("names",),
    "loss": ("name",),
    "no_loss": (),
    "abnormal": (),
    "normal": (),
    "exclude": ("names",),
    "exclude_why": (),
    "one_only": (),
    "none_drawn": (),
    "nothing_left": (),
}


@cache
def load() -> Numbers:
    """The file, checked. Raises NextError."""
    return read(tomllib.loads((items.FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Numbers:
    """Check and freeze decoded data. Raises NextError with entry and reason."""
    told = {name: _table(data, name) for name in ("among", "pressing", "tests", "measure", "words")}
    for name in ("pressing", "measure"):
        _source(told[name], name)
    return Numbers(
        version=_text(data, "version", "version"),
        among=_among(told["among"]),
        pressing=_pressing(told["pressing"]),
        tests=_tests(told["tests"]),
        measure=Measure(told["measure"]["source"], told["measure"]["status"]),
        words=_words(told["words"]),
    )


def _among(told: Mapping[str, Any]) -> Among:
    return Among(
        candidates=_count(told, "candidates", "among"),
        reach=_above_nothing(told, "reach", "among"),
        leader_most=_share(told, "leader_most", "among"),
        proposals=_count(told, "proposals", "among"),
        least_gain=_share(told, "least_gain", "among"),
        muscles=_count(told, "muscles", "among"),
        screen_among=_count(told, "screen_among", "among"),
    )


def _pressing(told: Mapping[str, Any]) -> Pressing:
    found = {name: _share(told, name, "pressing") for name in ("same_share", "elsewhere", "place_share")}
    finger = _above_nothing(told, "finger_mm", "pressing")
    return Pressing(**found, finger_mm=finger, source=told["source"], status=told["status"])


def _tests(told: Mapping[str, Any]) -> Tests:
    known = items.findings()
    allowed = {
        "groups": {group.id for group in known.groups},
        "pages": {group.page for group in known.groups},
    }
    lists = {}
    for name, known_ones in allowed.items():
        found = told.get(name)
        if not isinstance(found, list):
            raise NextError(f"{FILE}: tests {name}: must be a list")
        if unknown := ", ".join(one for one in found if one not in known_ones):
            raise NextError(f"{FILE}: tests {name}: no such {name} in the catalogue of findings: {unknown}")
        lists[name] = tuple(found)
    return Tests(
        silent=_share(told, "silent", "tests"),
        surest=_share(told, "surest", "tests"),
        together_within=_share(told, "together_within", "tests"),
        **lists,
    )


def _words(told: Mapping[str, Any]) -> Mapping[str, str]:
    if odd := ", ".join(sorted(set(told) ^ set(WORDS))):
        raise NextError(f"{FILE}: words: missing or unknown: {odd}")
    for name, held in WORDS.items():
        text = _text(told, name, f"words {name}")
        if sorted(part for _, part, _, _ in Formatter().parse(text) if part) != list(held):
            wanted = ", ".join(f"{{{one}}}" for one in held) or "nothing in braces"
            raise NextError(f"{FILE}: words {name}: must hold {wanted}, each once")
    return dict(told)


def _table(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    found = data.get(name)
    if not isinstance(found, Mapping):
        raise NextError(f"{FILE}: [{name}] is missing")
    return found


def _share(told: Mapping[str, Any], name: str, where: str) -> float:
    value = told.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1:
        raise NextError(f"{FILE}: {where} {name}: must be a share between 0 and 1")
    return float(value)


def _above_nothing(told: Mapping[str, Any], name: str, where: str) -> float:
    value = told.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or value <= 0:
        raise NextError(f"{FILE}: {where} {name}: must be a number above 0")
    return float(value)


def _count(told: Mapping[str, Any], name: str, where: str) -> int:
    value = told.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise NextError(f"{FILE}: {where} {name}: must be a whole number from 1")
    return value


def _source(told: Mapping[str, Any], where: str) -> None:
    _text(told, "source", f"{where} source")
    if told.get("status") not in STATUS:
        raise NextError(f"{FILE}: {where} status: must be one of {', '.join(STATUS)}")


def _text(told: Mapping[str, Any], name: str, where: str) -> str:
    found = told.get(name)
    if not isinstance(found, str) or not found.strip():
        raise NextError(f"{FILE}: {where}: must be a text")
    return found

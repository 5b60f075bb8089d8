"""Which findings speak for which nerve root, plexus and peripheral nerve: data/reasoning/nerve_signs.toml,
read once and checked against the catalogue of findings and the atlas.

A sign is one thing examined, however it is graded: "skin:C6" is touch and pin prick at one point,
"reflex:knee" the reflex on either scale; every other sign is the finding of the same key.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps import atlas, words
from bodymaps.reasoning import items

FILE = "nerve_signs.toml"
ROOT, PLEXUS, NERVE = LAYERS = ("root", "plexus", "peripheral_nerve")
STATUS = ("checked", "from memory", "common practice")
PAIRS = {"skin": ("touch", "pin"), "reflex": ("reflex", "reflex_clinic")}
# Tests bring a symptom on; everything else is a loss.
TESTS = ("tension", "neck", "back", "outlet", "entrapment")
LISTS = ("main", "also", "tests")
WEIGHTS = ("loss", "test", "also", "lower_than_other_side", "both_sides_alike")


class SignsError(ValueError):
    """The data file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Sign:
    id: str
    keys: tuple[str, ...]
    is_test: bool


@dataclass(frozen=True)
class Source:
    """`status` is one of STATUS."""

    work: str
    status: str


@dataclass(frozen=True)
class Candidate:
    """What speaks for one root, plexus or nerve, or for one part of it.

    `main`: expected to be abnormal; normal, it speaks against. `also`: some sources or some people have it;
    normal, it says nothing. `tests`: bring the symptom on; negative, they say nothing. `at_most`: the best
    score it can reach.
    """

    layer: str
    id: str
    name: str
    main: tuple[str, ...]
    also: tuple[str, ...]
    tests: tuple[str, ...]
    at_most: float
    sources: tuple[Source, ...]
    note: str

    @property
    def listed(self) -> tuple[str, ...]:
        return (*self.main, *self.also, *self.tests)


@dataclass(frozen=True)
class Apart:
    """What tells two candidates, each (layer, id), from each other. `examine`: signs to look at."""

    between: tuple[tuple[str, str], tuple[str, str]]
    words: str
    examine: tuple[str, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True)
class Signs:
    version: str
    candidates: tuple[Candidate, ...]
    apart: tuple[Apart, ...]
    signs: Mapping[str, Sign]
    weights: Mapping[str, float]
    # For findings with more than two grades of no order: the value that counts.
    positive: Mapping[str, str]
    said: Mapping[str, str]


@cache
def load() -> Signs:
    with (items.FOLDER / FILE).open("rb") as file:
        return read(tomllib.load(file))


def read(data: Mapping[str, Any], file: str = FILE) -> Signs:
    """Check and freeze decoded data. Raises SignsError with file, entry and reason."""
    sources = {_text(one, "id", f"{file}: source"): _source(one, file) for one in data.get("source", ())}
    candidates = tuple(
        _candidate(layer, entry, sources, file) for layer in LAYERS for entry in data.get(layer, ())
    )
    if not candidates or not isinstance(data.get("version"), str):
        raise SignsError(f"{file}: a version and at least one candidate are needed")
    known = {(one.layer, one.id) for one in candidates}
    listed = dict.fromkeys(one for candidate in candidates for one in candidate.listed)
    return Signs(
        version=data["version"],
        candidates=candidates,
        apart=tuple(_apart(entry, known, sources, file) for entry in data.get("apart", ())),
        signs={one: sign(one, file) for one in listed},
        weights=_weights(data.get("weights", {}), file),
        positive=_positive(data.get("positive", {}), file),
        said=_said(data.get("said", {}), file),
    )


def sign(name: str, where: str = FILE) -> Sign:
    """The sign of an id. Raises SignsError for one that no finding stands behind."""
    prefix, _, what = name.partition(":")
    keys = tuple(f"{one}:{what}" for one in PAIRS.get(prefix, (prefix,)))
    known = items.findings().items
    for key in keys:
        if key not in known or known[key].type != "grade" or not known[key].sided:
            raise SignsError(f"{where}: {name}: no graded finding of a side has the key {key}")
    return Sign(name, keys, prefix in TESTS)


def _candidate(layer: str, entry: Mapping[str, Any], sources: Mapping[str, Source], file: str) -> Candidate:
    where = f"{file}: {layer} {entry.get('id', '?')}"
    _only(entry, {"id", "part", "at_most", "source", "note", *LISTS}, where)
    lists = {name: tuple(_texts(entry, name, where)) for name in LISTS}
    every = [one for found in lists.values() for one in found]
    if not every or len(set(every)) < len(every):
        raise SignsError(f"{where}: signs are needed, each listed once")
    for one in every:
        if sign(one, where).is_test is False and one in lists["tests"]:
            raise SignsError(f"{where}: {one} is not a test that brings a symptom on")
    at_most = entry.get("at_most", 1.0)
    if not isinstance(at_most, int | float) or not 0 < at_most <= 1:
        raise SignsError(f"{where}: at_most must be above 0 and at most 1")
    return Candidate(
        layer=layer,
        id=_text(entry, "id", where),
        name=_name(layer, entry, where),
        **lists,
        at_most=float(at_most),
        sources=_sources(entry, sources, where),
        note=entry.get("note", ""),
    )


def _name(layer: str, entry: Mapping[str, Any], where: str) -> str:
    release = atlas.load()
    if layer == ROOT:
        if entry["id"] not in release.dermatomes:
            raise SignsError(f"{where}: the atlas has no such root")
        return words.root(entry["id"])
    if entry["id"] not in release.structures[layer]:
        raise SignsError(f"{where}: the atlas has no such {layer}")
    name, part = release.structures[layer][entry["id"]].name, entry.get("part", "")
    return f"{name}, {part}" if part else name


def _apart(
    entry: Mapping[str, Any], known: set[tuple[str, str]], sources: Mapping[str, Source], file: str
) -> Apart:
    where = f"{file}: apart {entry.get('between', '?')}"
    _only(entry, {"between", "words", "examine", "source"}, where)
    pair = [tuple(one.split(":")) for one in _texts(entry, "between", where)]
    if len(pair) != 2 or not set(pair) <= known:
        raise SignsError(f'{where}: between needs two candidates of this file, as "root:C6"')
    (one, first), (other, second) = pair
    examine = tuple(_texts(entry, "examine", where))
    for name in examine:
        sign(name, where)
    return Apart(
        ((one, first), (other, second)),
        _text(entry, "words", where),
        examine,
        _sources(entry, sources, where),
    )


def _weights(told: Mapping[str, Any], file: str) -> dict[str, float]:
    if set(told) != set(WEIGHTS) or not all(
        isinstance(value, int | float) and 0 < value <= 1 for value in told.values()
    ):
        raise SignsError(f"{file}: weights: needs {', '.join(WEIGHTS)}, each above 0 and at most 1")
    return {name: float(value) for name, value in told.items()}


def _positive(told: Mapping[str, Any], file: str) -> dict[str, str]:
    known = items.findings().items
    for key, value in told.items():
        if key not in known or value not in {one.id for one in known[key].choices}:
            raise SignsError(f"{file}: positive {key}: needs a key of a finding and one of its grades")
    return dict(told)


def _said(told: Mapping[str, Any], file: str) -> dict[str, str]:
    groups = {group.id for group in items.findings().on_page("neuro")}
    if unknown := set(told) - groups:
        raise SignsError(f"{file}: said: no group of findings is called {', '.join(sorted(unknown))}")
    return dict(told)


def _source(entry: Mapping[str, Any], file: str) -> Source:
    where = f"{file}: source {entry.get('id', '?')}"
    if entry.get("status") not in STATUS:
        raise SignsError(f"{where}: status must be one of {', '.join(STATUS)}")
    return Source(_text(entry, "work", where), entry["status"])


def _sources(entry: Mapping[str, Any], known: Mapping[str, Source], where: str) -> tuple[Source, ...]:
    named = _texts(entry, "source", where)
    if not named or not set(named) <= set(known):
        raise SignsError(f"{where}: source must name sources of this file")
    return tuple(known[one] for one in named)


def _texts(entry: Mapping[str, Any], name: str, where: str) -> list[str]:
    found = entry.get(name, [])
    if not isinstance(found, list) or not all(isinstance(one, str) for one in found):
        raise SignsError(f"{where}: {name} must be a list of texts")
    return found


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    found = entry.get(name)
    if not isinstance(found, str) or not found.strip():
        raise SignsError(f"{where}: {name} must be a text")
    return found


def _only(entry: Mapping[str, Any], allowed: Iterable[str], where: str) -> None:
    if unknown := set(entry) - set(allowed):
        raise SignsError(f"{where}: unknown member {', '.join(sorted(unknown))}")

"""Lines of evidence from the examining hand: what pressing and stretching a muscle says about that muscle,
and about no other candidate (data/reasoning/evidence_muscles.toml). What was not tested says nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps.atlas import Atlas
from bodymaps.reasoning import evidence_rules, felt
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, STRENGTHS, EvidenceError, Line
from bodymaps.reasoning.felt import CRITERIA, IDS, RECOGNISED, RESULTS, TWITCH, Felt, Verdict
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.signs import STATUS

FILE = "evidence_muscles.toml"
# The line of a muscle that brings on the known pain: it enters the order though nothing is drawn there.
ACTIVE = "felt_active"


@dataclass(frozen=True)
class Saying:
    """One line that may be said. `weight` is signed; `words` may hold {verdict}."""

    id: str
    title: str
    about: str
    speaks: str
    words: str
    weight: float
    source: str
    status: str


@dataclass(frozen=True)
class Pressing:
    """Holds for these results of the criteria; `recognised`: only where the patient knows the pain (True) or
    does not say so (False), None for either.
    """

    saying: Saying
    results: tuple[str, ...]
    recognised: bool | None

    def fits(self, found: Felt, said: Verdict) -> bool:
        known = found.is_(RECOGNISED)
        return said.result in self.results and self.recognised in (None, known)


@dataclass(frozen=True)
class Stretching:
    saying: Saying
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Silent:
    """What is recorded and weighs nothing, and why."""

    id: str
    title: str
    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Known:
    pressing: tuple[Pressing, ...]
    stretching: Stretching
    silent: tuple[Silent, ...]


def of(case: Case, atlas: Atlas) -> dict[Sided, list[Line]]:
    """The lines of each muscle that was examined, those of an atlas only."""
    examined: dict[Sided, list[Felt]] = {}
    for one in case.felt:
        if one.muscle in atlas.muscles and one.is_examined:
            examined.setdefault(("muscle", one.muscle, one.side), []).append(one)
    found = {key: [*_pressed(sites, atlas), *_stretched(sites)] for key, sites in examined.items()}
    return {key: lines for key, lines in found.items() if lines}


def _pressed(sites: Iterable[Felt], atlas: Atlas) -> list[Line]:
    """What the strongest site says; a site that says nothing is stronger than one that speaks against."""
    said = [(_saying(one), one) for one in sites]
    best, first = max(said, key=lambda pair: pair[0].weight if pair[0] else 0.0)
    if not best:
        return []
    words = best.words.format(verdict=felt.verdict(first).words)
    because = [_because(one, atlas) for saying, one in said if saying is best]
    return [_line(best, words, tuple(because))]


def _saying(found: Felt) -> Saying | None:
    said = felt.verdict(found)
    return next((one.saying for one in known().pressing if one.fits(found, said)), None)


def _because(found: Felt, atlas: Atlas) -> str:
    """ "at its upper end: latent trigger point, 2 of 3 (taut band: felt; sensitive spot: found; ...)"."""
    where = next((each.where for each in atlas.muscles[found.muscle].sites if each.id == found.site), "")
    signs = [sign for sign in (*CRITERIA, RECOGNISED) if found.is_tested(sign)]
    signs += [TWITCH] if found.is_(TWITCH) else []
    told = [_answer(found, sign) for sign in signs]
    told += [f"pain on pressing: {found.pain} of 10"] if found.pain is not None else []
    said = f"{felt.verdict(found).words} ({'; '.join(told)})" if told else felt.verdict(found).words
    return f"{where}: {said}" if where else said


def _answer(found: Felt, name: str) -> str:
    sign = felt.load().sign(name)
    return f"{sign.label.lower()}: {sign.words_for(found.signs[name])}"


def _stretched(sites: Iterable[Felt]) -> list[Line]:
    about = known().stretching
    told = dict.fromkeys(sign for one in sites for sign in about.signs if one.is_(sign))
    because = tuple(felt.load().sign(sign).label.lower() for sign in told)
    return [_line(about.saying, about.saying.words, because)] if told else []


def _line(saying: Saying, words: str, because: tuple[str, ...]) -> Line:
    return Line(
        rule=saying.id,
        speaks=saying.speaks,
        words=words,
        because=because,
        source=saying.source,
        status=saying.status,
        weight=saying.weight,
        about=saying.about,
        by_finding=True,
    )


@cache
def known() -> Known:
    """The file, checked. Raises EvidenceError."""
    return read(tomllib.loads((evidence_rules.FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Known:
    """Raises EvidenceError with file, entry and reason."""
    about = _text(data, "about", FILE)
    pressing = tuple(_pressing(entry, about) for entry in data.get("pressing", ()))
    if ACTIVE not in {one.saying.id for one in pressing}:
        raise EvidenceError(f"{FILE}: pressing needs an entry {ACTIVE}")
    return Known(
        pressing=pressing,
        stretching=_stretching(data.get("stretching", {})),
        silent=tuple(_silent(entry) for entry in data.get("silent", ())),
    )


def _pressing(entry: Mapping[str, Any], about: str) -> Pressing:
    where = f"{FILE}: pressing {entry.get('id', '?')}"
    results, recognised = entry.get("results", ()), entry.get("recognised")
    if not results or not set(results) <= set(RESULTS):
        raise EvidenceError(f"{where}: results must be among {', '.join(filter(None, RESULTS))}")
    if recognised is not None and not isinstance(recognised, bool):
        raise EvidenceError(f"{where}: recognised must be true or false, or left out")
    return Pressing(_read_saying({"about": about, **entry}, where), tuple(results), recognised)


def _stretching(entry: Mapping[str, Any]) -> Stretching:
    where = f"{FILE}: stretching"
    signs = tuple(entry.get("signs", ()))
    if not signs or not set(signs) <= set(IDS):
        raise EvidenceError(f"{where}: signs must be among {', '.join(IDS)}")
    return Stretching(_read_saying(entry, where), signs)


def _read_saying(entry: Mapping[str, Any], where: str) -> Saying:
    speaks, strength = entry.get("speaks"), entry.get("strength")
    if speaks not in (FOR, AGAINST):
        raise EvidenceError(f"{where}: speaks must be {FOR} or {AGAINST}")
    if strength not in STRENGTHS:
        raise EvidenceError(f"{where}: strength must be one of {', '.join(STRENGTHS)}")
    numbers = evidence_rules.arithmetic()
    weight = numbers.weight(getattr(numbers, strength))
    return Saying(
        id=_text(entry, "id", where),
        title=_text(entry, "title", where),
        about=_text(entry, "about", where),
        speaks=speaks,
        words=_text(entry, "words", where),
        weight=weight if speaks == FOR else -weight,
        source=_text(entry, "source", where),
        status=_status(entry, where),
    )


def _silent(entry: Mapping[str, Any]) -> Silent:
    where = f"{FILE}: silent {entry.get('id', '?')}"
    texts = {name: _text(entry, name, where) for name in ("id", "title", "words", "source")}
    return Silent(**texts, status=_status(entry, where))


def _status(entry: Mapping[str, Any], where: str) -> str:
    status = entry.get("status")
    if status not in STATUS:
        raise EvidenceError(f"{where}: status must be one of {', '.join(STATUS)}")
    return str(status)


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise EvidenceError(f"{where}: {name} must be a text")
    return value

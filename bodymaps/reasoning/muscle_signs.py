"""The signs of a muscle examination (data/reasoning/muscle_signs.toml), read once and checked: what each asks
of the hand, how repeatable it is, how often it is used; strength, pressure pain threshold, limits.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.items import NOT_TESTED, Choice
from bodymaps.reasoning.signs import STATUS

FILE = "muscle_signs.toml"
YES, NO = "yes", "no"
ANSWERS = (YES, NO, NOT_TESTED)
# What the logic asks for: three criteria, and whether the patient knows the pain.
CRITERIA = ("band", "spot", "referral")
RECOGNISED, TWITCH = "recognised", "twitch"
STRETCH = ("stretch_pain", "stretch_limit")
IDS = (*CRITERIA, RECOGNISED, TWITCH, *STRETCH)


class FeltError(ValueError):
    """A finding or a data file that cannot be used. `where` names the member ("findings.muscles[2].band") or
    the entry ("muscle_signs.toml: sign band"), `reason` what to mend.
    """

    def __init__(self, where: str, reason: str) -> None:
        super().__init__(f"{where}: {reason}")
        self.where, self.reason = where, reason


@dataclass(frozen=True)
class Said:
    """One sentence, who says so, and its status (one of STATUS)."""

    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Sign:
    """One sign: `yes` and `no` are what the answers are called; `without` is said of a trigger point that
    lacks it, "" when that is nothing unusual; `criterion`: one of the consensus' three; `used`: in how many
    trials it is asked.
    """

    id: str
    label: str
    ask: str
    yes: str
    no: str
    without: str
    criterion: bool
    used: Said | None
    reliability: tuple[Said, ...]

    def words_for(self, answer: str) -> str:
        return {YES: self.yes, NO: self.no, NOT_TESTED: "not tested"}.get(answer, "")


@dataclass(frozen=True)
class Strength:
    """`grades` are those of a scale of findings.toml, lowest first, NT last."""

    label: str
    ask: str
    grades: tuple[Choice, ...]
    reliability: tuple[Said, ...]

    def words_for(self, grade: str) -> str:
        return next((one.words for one in self.grades if one.id == grade), "")


@dataclass(frozen=True)
class Threshold:
    """The pressure pain threshold: how it is taken and how repeatable it is."""

    label: str
    ask: str
    reliability: tuple[Said, ...]


@dataclass(frozen=True)
class Limits:
    """Least and most of each number; how many trials; how many kPa one kgf/cm² is."""

    pain: tuple[int, int]
    kpa: tuple[float, float]
    trials: int
    tip_cm2: tuple[float, float]
    kpa_per_kgf_cm2: float


@dataclass(frozen=True)
class Signs:
    """The whole file. `criteria`: who says what makes a trigger point; `notes`: what holds of every sign."""

    version: str
    criteria: Said
    notes: tuple[Said, ...]
    signs: tuple[Sign, ...]
    strength: Strength
    pressure: Threshold
    limits: Limits

    @cached_property
    def _by_id(self) -> Mapping[str, Sign]:
        return {sign.id: sign for sign in self.signs}

    def sign(self, name: str) -> Sign:
        return self._by_id[name]


@cache
def load() -> Signs:
    """The file, checked. Raises FeltError."""
    return read((items.FOLDER / FILE).read_text(encoding="utf-8"))


def read(text: str) -> Signs:
    """Raises FeltError with file, entry and reason."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FeltError(FILE, f"is not TOML: {error}") from None
    signs = tuple(_sign(entry) for entry in _list(data, "sign", FILE))
    if sorted(one.id for one in signs) != sorted(IDS):
        raise FeltError(FILE, f"needs one sign each of {', '.join(IDS)}")
    if (three := {one.id for one in signs if one.criterion}) != set(CRITERIA):
        raise FeltError(
            FILE, f"criterion is true of {', '.join(CRITERIA)}, not of {', '.join(sorted(three))}"
        )
    return Signs(
        version=_text(data, "version", FILE),
        criteria=_said({"words": "criteria", **_only(data, "source", "status")}, FILE),
        notes=_all_said(data, "note", FILE),
        signs=signs,
        strength=_strength(_table(data, "strength", FILE)),
        pressure=_pressure(_table(data, "pressure", FILE)),
        limits=_limits(_table(data, "limits", FILE)),
    )


MEMBERS = {"id", "label", "ask", "yes", "no", "without", "criterion", "used", "reliability"}


def _sign(entry: Mapping[str, Any]) -> Sign:
    where = f"{FILE}: sign {entry.get('id', '?')}"
    if unknown := set(entry) - MEMBERS:
        raise FeltError(where, f"unknown member {', '.join(sorted(unknown))}")
    if not isinstance(entry.get("criterion"), bool):
        raise FeltError(where, "criterion must be true or false")
    if not isinstance(entry.get("without"), str):
        raise FeltError(where, 'without must be a text, or ""')
    used = entry.get("used")
    return Sign(
        id=_text(entry, "id", where),
        label=_text(entry, "label", where),
        ask=_text(entry, "ask", where),
        yes=_text(entry, "yes", where),
        no=_text(entry, "no", where),
        without=entry["without"],
        criterion=entry["criterion"],
        used=None if used is None else _said(used, f"{where}: used"),
        reliability=_all_said(entry, "reliability", where),
    )


def _strength(entry: Mapping[str, Any]) -> Strength:
    where = f"{FILE}: strength"
    scales = items.findings().scales
    if entry.get("scale") not in scales:
        raise FeltError(where, f"scale must be one of {', '.join(scales)}")
    return Strength(
        label=_text(entry, "label", where),
        ask=_text(entry, "ask", where),
        grades=scales[entry["scale"]].grades,
        reliability=_all_said(entry, "reliability", where),
    )


def _pressure(entry: Mapping[str, Any]) -> Threshold:
    where = f"{FILE}: pressure"
    return Threshold(
        label=_text(entry, "label", where),
        ask=_text(entry, "ask", where),
        reliability=_all_said(entry, "reliability", where),
    )


def _limits(entry: Mapping[str, Any]) -> Limits:
    where = f"{FILE}: limits"
    trials = entry.get("trials")
    if not isinstance(trials, int) or isinstance(trials, bool) or trials < 1:
        raise FeltError(where, "trials must be a whole number above 0")
    factor: Any = entry.get("kPa_per_kgf_cm2")
    if not _is_number(factor) or factor <= 0:
        raise FeltError(where, "kPa_per_kgf_cm2 must be a number above 0")
    pain = _span(entry, "pain", where)
    return Limits(
        pain=(int(pain[0]), int(pain[1])),
        kpa=_span(entry, "kPa", where),
        trials=trials,
        tip_cm2=_span(entry, "tip_cm2", where),
        kpa_per_kgf_cm2=factor,
    )


def _span(entry: Mapping[str, Any], name: str, where: str) -> tuple[float, float]:
    value = entry.get(name)
    if not isinstance(value, list) or len(value) != 2 or not all(_is_number(one) for one in value):
        raise FeltError(where, f"{name} must be two numbers, the least and the most")
    if value[0] >= value[1]:
        raise FeltError(where, f"{name}: least must be below most")
    return value[0], value[1]


def _all_said(entry: Mapping[str, Any], name: str, where: str) -> tuple[Said, ...]:
    told = entry.get(name, [])
    if not isinstance(told, list):
        raise FeltError(where, f"{name} must be a list of entries")
    return tuple(_said(one, f"{where}: {name} {number}") for number, one in enumerate(told, 1))


def _said(entry: Any, where: str) -> Said:
    if not isinstance(entry, dict) or set(entry) != {"words", "source", "status"}:
        raise FeltError(where, "needs words, source and status, nothing else")
    if entry["status"] not in STATUS:
        raise FeltError(where, f"status must be one of {', '.join(STATUS)}")
    return Said(_text(entry, "words", where), _text(entry, "source", where), entry["status"])


def _only(data: Mapping[str, Any], *names: str) -> dict[str, Any]:
    return {name: data[name] for name in names if name in data}


def _list(data: Mapping[str, Any], name: str, where: str) -> list[dict[str, Any]]:
    value = data.get(name)
    if not isinstance(value, list) or not value or not all(isinstance(one, dict) for one in value):
        raise FeltError(where, f"needs entries [[{name}]]")
    return value


def _table(data: Mapping[str, Any], name: str, where: str) -> dict[str, Any]:
    value = data.get(name)
    if not isinstance(value, dict):
        raise FeltError(where, f"needs a part [{name}]")
    return value


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise FeltError(where, f"{name} must be a text")
    return value


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)

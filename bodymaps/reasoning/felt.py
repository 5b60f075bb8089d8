"""What the hand found in one muscle, and what the consensus of 2018 makes of it.

Fernández-de-las-Peñas C, Dommerholt J, Pain Med 2018;19:142-50: a taut band, a hypersensitive spot, referred
sensation; two of the three are taken for enough (the threshold: from memory). A trigger point is active when
it brings on a pain the patient knows, latent when not. What was not tested is never taken for "no": with one
of the signs that decide untested the answer is "incomplete", and `sure` says what is certain already.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.muscle_signs import (
    ANSWERS,
    CRITERIA,
    IDS,
    NO,
    RECOGNISED,
    STRETCH,
    TWITCH,
    YES,
    FeltError,
    Sign,
    Signs,
    load,
)

__all__ = [
    "ACTIVE",
    "ANSWERS",
    "CRITERIA",
    "ENOUGH",
    "IDS",
    "INCOMPLETE",
    "KGF",
    "KPA",
    "LATENT",
    "NO",
    "NOTHING",
    "NOT_MET",
    "NOT_TESTED",
    "RECOGNISED",
    "RESULTS",
    "STRENGTH",
    "STRETCH",
    "TENDER_SPOT",
    "TWITCH",
    "UNITS",
    "YES",
    "Felt",
    "FeltError",
    "Pressure",
    "Sign",
    "Signs",
    "Verdict",
    "as_json",
    "load",
    "verdict",
]

STRENGTH = "strength"
KPA, KGF = UNITS = ("kPa", "kgf/cm2")
ENOUGH = 2

ACTIVE, LATENT, INCOMPLETE = "active", "latent", "incomplete"
TENDER_SPOT, NOT_MET, NOTHING = "tender_spot", "not_met", ""
RESULTS = (ACTIVE, LATENT, INCOMPLETE, TENDER_SPOT, NOT_MET, NOTHING)


@dataclass(frozen=True)
class Pressure:
    """Pressure pain threshold: readings in `unit` (UNITS), area of the tip in cm² when known."""

    unit: str
    trials: tuple[float, ...]
    tip_cm2: float | None = None

    @property
    def mean(self) -> float:
        """Of all trials, in `unit`."""
        return sum(self.trials) / len(self.trials)

    @property
    def kpa(self) -> float:
        return self.mean if self.unit == KPA else self.mean * load().limits.kpa_per_kgf_cm2

    @property
    def kgf_cm2(self) -> float:
        return self.kpa / load().limits.kpa_per_kgf_cm2

    def as_json(self) -> dict[str, Any]:
        """Both units, rounded to what a gauge can show."""
        return {
            "kPa": round(self.kpa, 1),
            "kgf_cm2": round(self.kgf_cm2, 3),
            "trials": len(self.trials),
            "tip_cm2": self.tip_cm2,
        }

    @property
    def words(self) -> str:
        """ "217.5 kPa (2.22 kgf/cm²), mean of 2 trials (210, 225 kPa), tip 1 cm²"; a single trial says so."""
        readings = ", ".join(f"{one:g}" for one in self.trials)
        how = f"mean of {len(self.trials)} trials ({readings} {self.unit.replace('cm2', 'cm²')})"
        tip = "area of the tip not recorded" if self.tip_cm2 is None else f"tip {self.tip_cm2:g} cm²"
        how = how if len(self.trials) > 1 else "a single trial"
        return f"{round(self.kpa, 1):g} kPa ({self.kgf_cm2:.2f} kgf/cm²), {how}, {tip}"


@dataclass(frozen=True)
class Felt:
    """One site of one muscle on one side; a site of "" is the muscle as a whole.

    `signs`: "yes", "no" or "NT" by id of a sign, and the MRC grade "0" to "5" (or "NT") under STRENGTH; what
    is not there was not recorded. `pain` on pressing, 0-10.
    """

    muscle: str
    side: str
    site: str = ""
    signs: Mapping[str, str] = field(default_factory=dict)
    pain: int | None = None
    pressure: Pressure | None = None

    def is_(self, sign: str, answer: str = YES) -> bool:
        return self.signs.get(sign) == answer

    def is_tested(self, sign: str) -> bool:
        return self.signs.get(sign, NOT_TESTED) != NOT_TESTED

    @property
    def is_examined(self) -> bool:
        """Whether anything at all was recorded of it."""
        return bool(self.signs) or self.pain is not None or self.pressure is not None


@dataclass(frozen=True)
class Verdict:
    """What the criteria say: one of RESULTS. `count`: how many of the three are present. `untested`: ids of
    the signs that would decide and were not tested. `remark`: what is unusual about it, "" mostly. `sure`:
    what is certain already when it is incomplete, "" else.
    """

    result: str
    count: int
    untested: tuple[str, ...]
    words: str
    remark: str = ""
    sure: str = ""

    @property
    def is_met(self) -> bool:
        return self.result in (ACTIVE, LATENT)


def verdict(felt: Felt) -> Verdict:
    """What the criteria say of a finding."""
    if not felt.is_examined:
        return Verdict(NOTHING, 0, (), "not examined")
    count = sum(felt.is_(sign) for sign in CRITERIA)
    if untested := _undecided(felt, count):
        return _incomplete(felt, count, untested)
    if count < ENOUGH:
        if felt.is_("spot"):
            return Verdict(TENDER_SPOT, count, (), "tender spot only")
        return Verdict(NOT_MET, count, (), "no trigger point")
    result = ACTIVE if felt.is_(RECOGNISED) else LATENT
    lacks = (load().sign(sign).without for sign in CRITERIA if not felt.is_(sign))
    return Verdict(result, count, (), f"{result} trigger point, {count} of 3", "; ".join(filter(None, lacks)))


def as_json(felt: Felt) -> dict[str, Any]:
    """What was examined, and what the criteria make of it."""
    said = verdict(felt)
    return {
        "muscle": felt.muscle,
        "side": felt.side,
        "site": felt.site or None,
        "result": said.result or None,
        "count": said.count,
        "untested": list(said.untested),
        "words": said.words,
        "remark": said.remark,
        "sure": said.sure,
        "pressure": felt.pressure.as_json() if felt.pressure else None,
    }


def _undecided(felt: Felt, count: int) -> tuple[str, ...]:
    """The signs that decide and were not tested: the three; recognition where they make a trigger point."""
    untested = tuple(sign for sign in CRITERIA if not felt.is_tested(sign))
    decides = count + len(untested) >= ENOUGH
    return (*untested, RECOGNISED) if decides and not felt.is_tested(RECOGNISED) else untested


def _incomplete(felt: Felt, count: int, untested: tuple[str, ...]) -> Verdict:
    named = ", ".join(load().sign(sign).label.lower() for sign in untested)
    words = f"incomplete, {count} of 3 present, not tested: {named}"
    return Verdict(INCOMPLETE, count, untested, words, sure=_sure(felt, count, untested))


def _sure(felt: Felt, count: int, untested: tuple[str, ...]) -> str:
    """What no answer that is still missing can change."""
    missing = len(set(untested) & set(CRITERIA))
    if count + missing < ENOUGH:
        return "Fewer than two of three whatever the rest shows: no trigger point by these criteria."
    if count < ENOUGH:
        return "One of three present; it can still become a trigger point or none." if count else ""
    present = "Three of three present" if count > ENOUGH else "Two of three present"
    known = {True: "; the pain is known to the patient", False: "; the pain is not known to the patient"}
    tail = known[felt.is_(RECOGNISED)] if felt.is_tested(RECOGNISED) else "; active or latent is open"
    return f"{present}, which is enough for a trigger point{tail}."

"""What the hand found in one muscle, and what the consensus of 2018 makes of it.

Fernández-de-las-Peñas C, Dommerholt J, Pain Med 2018;19:142-50: a taut band, a hypersensitive spot, referred
sensation; two of the three are taken for enough (the threshold: from memory). A trigger point is active when
it brings on a pain the patient knows, latent when not. What was not tested is never taken for "no": with one
of the signs that decide untested the answer is "incomplete".
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.items import NOT_TESTED

FILE = "muscle_signs.toml"
YES, NO = "yes", "no"
ANSWERS = (YES, NO, NOT_TESTED)
STRENGTH = "strength"
UNITS = ("kPa", "kgf/cm2")
ENOUGH = 2

ACTIVE, LATENT, INCOMPLETE = "active", "latent", "incomplete"
TENDER_SPOT, NOT_MET, NOTHING = "tender_spot", "not_met", ""
RESULTS = (ACTIVE, LATENT, INCOMPLETE, TENDER_SPOT, NOT_MET, NOTHING)


class FeltError(ValueError):
    """A finding, or a data file, that cannot be used; the message names the member and what to mend."""


@dataclass(frozen=True)
class Reliability:
    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Sign:
    """One sign: `yes` and `no` are what the answers are called; `criterion`: one of the consensus' three."""

    id: str
    label: str
    ask: str
    yes: str
    no: str
    criterion: bool
    reliability: tuple[Reliability, ...]

    def words_for(self, answer: str) -> str:
        return {YES: self.yes, NO: self.no, NOT_TESTED: "not tested"}.get(answer, "")


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
    version: str
    signs: tuple[Sign, ...]
    limits: Limits

    def sign(self, name: str) -> Sign:
        return next(sign for sign in self.signs if sign.id == name)


@dataclass(frozen=True)
class Pressure:
    """Pressure pain threshold: readings in `unit` (UNITS), area of the tip in cm² when known."""

    unit: str
    trials: tuple[float, ...]
    tip_cm2: float | None = None

    @property
    def mean(self) -> float:
        """Of the trials, in `unit`."""
        return sum(self.trials) / len(self.trials)

    @property
    def kpa(self) -> float:
        return self.mean if self.unit == "kPa" else self.mean * load().limits.kpa_per_kgf_cm2

    @property
    def kgf_cm2(self) -> float:
        return self.kpa / load().limits.kpa_per_kgf_cm2


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

    @property
    def is_examined(self) -> bool:
        """Whether anything at all was recorded of it."""
        return bool(self.signs) or self.pain is not None or self.pressure is not None


@dataclass(frozen=True)
class Verdict:
    """What the criteria say: one of RESULTS. `count`: how many of the three are present. `untested`: ids of
    the signs that would decide and were not tested. `remark`: what is unusual about it, "" mostly.
    """

    result: str
    count: int
    untested: tuple[str, ...]
    words: str
    remark: str = ""

    @property
    def is_met(self) -> bool:
        return self.result in (ACTIVE, LATENT)


@cache
def load() -> Signs:
    """The file, checked. Raises FeltError."""
    return read((items.FOLDER / FILE).read_text(encoding="utf-8"))


def read(text: str) -> Signs:
    """Raises FeltError with the entry and the reason."""
    data = tomllib.loads(text)
    numbers = data["limits"]
    return Signs(
        version=data["version"],
        signs=tuple(_sign(entry) for entry in data["sign"]),
        limits=Limits(
            pain=tuple(numbers["pain"]),
            kpa=tuple(numbers["kPa"]),
            trials=numbers["trials"],
            tip_cm2=tuple(numbers["tip_cm2"]),
            kpa_per_kgf_cm2=numbers["kPa_per_kgf_cm2"],
        ),
    )


def _sign(entry: Mapping[str, Any]) -> Sign:
    return Sign(
        id=entry["id"],
        label=entry["label"],
        ask=entry["ask"],
        yes=entry["yes"],
        no=entry["no"],
        criterion=entry["criterion"],
        reliability=tuple(Reliability(**one) for one in entry.get("reliability", ())),
    )


def verdict(felt: Felt) -> Verdict:
    """What the criteria say of a finding."""
    if not felt.is_examined:
        return Verdict(NOTHING, 0, (), "not examined")
    three = [sign.id for sign in load().signs if sign.criterion]
    count = sum(felt.is_(sign) for sign in three)
    untested = tuple(sign for sign in three if felt.signs.get(sign, NOT_TESTED) == NOT_TESTED)
    if not untested and count >= ENOUGH and felt.signs.get("recognised", NOT_TESTED) == NOT_TESTED:
        untested = ("recognised",)
    if untested:
        named = ", ".join(load().sign(sign).label.lower() for sign in untested)
        return Verdict(INCOMPLETE, count, untested, f"incomplete, not tested: {named}")
    if count < ENOUGH:
        if felt.is_("spot"):
            return Verdict(TENDER_SPOT, count, (), "tender spot only")
        return Verdict(NOT_MET, count, (), "no trigger point")
    result = ACTIVE if felt.is_("recognised") else LATENT
    missing = next((load().sign(sign) for sign in ("band", "spot") if not felt.is_(sign)), None)
    remark = f"{missing.label.lower()} {missing.no}" if missing else ""
    return Verdict(result, count, (), f"{result} trigger point, {count} of 3", remark)

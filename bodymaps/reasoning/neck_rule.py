"""The Canadian C-spine rule: whether a neck hurt in an injury needs an image (Stiell et al. 2001, JAMA
286:1841; for alert, stable people). Its numbers and questions: data/reasoning/neck_rule.toml.

It asks in three steps. Any high-risk factor: image. No low-risk factor, so that it is not safe to test the
range: image. Cannot turn the head far enough actively to the right and to the left: image; else none is
needed by the rule. What was not asked is never taken for the harmless answer, and "not sure" of a danger
counts as a yes.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from bodymaps.reasoning import items, places
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.signs import STATUS

FILE = "neck_rule.toml"
RESULTS = ("not_asked", "image", "no_image", "cannot_apply", "not_enough")


class NeckRuleError(ValueError):
    """The data file cannot be used; the message says what to mend."""


@dataclass(frozen=True)
class Rule:
    """The file: ages in years, rotation in degrees, keys of items, words by result."""

    version: str
    source: str
    status: str
    least_age: int
    old_age: int
    least_rotation: int
    alert: str
    not_for: tuple[str, ...]
    high_risk: tuple[str, ...]
    low_risk: tuple[str, ...]
    midline: str
    rotation: str
    words: Mapping[str, str]


@cache
def rule() -> Rule:
    return read(tomllib.loads((items.FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Rule:
    """Check and freeze decoded data. Raises NeckRuleError."""
    if set(data) != {one.name for one in fields(Rule)}:
        raise NeckRuleError(f"{FILE}: needs exactly {', '.join(one.name for one in fields(Rule))}")
    frozen: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in data.items()
    }
    found = Rule(**frozen)
    told = {found.alert, *found.not_for, *found.high_risk, *found.low_risk}
    if unknown := sorted(told - set(items.history().items)):
        raise NeckRuleError(f"{FILE}: no such question: {', '.join(unknown)}")
    if unknown := sorted({found.midline, found.rotation} - set(items.findings().items)):
        raise NeckRuleError(f"{FILE}: no such finding: {', '.join(unknown)}")
    if not found.source.strip() or found.status not in STATUS or set(found.words) != set(RESULTS):
        raise NeckRuleError(f"{FILE}: a source, its status, and words for {', '.join(RESULTS)} are needed")
    return found


@dataclass(frozen=True)
class Result:
    """What the rule says: one of RESULTS. `reasons`: what decided. `missing`: what is still to be answered or
    tested, as labels; with "image" this is no longer needed for the result.
    """

    result: str
    reasons: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The result, why, and what is missing, in one line."""
        said = [rule().words[self.result]]
        if self.reasons:
            reasons = "; ".join(self.reasons)
            said.append(f"{reasons[0].upper()}{reasons[1:]}.")
        if self.result == "not_enough":
            said.append(f"Still needed: {', '.join(self.missing)}.")
        return " ".join(said)


def of(facts: Facts) -> Result:
    """The rule applied. "not_asked" without an injury or without pain of the neck."""
    case = facts.case
    if not _yes(case, "trauma") or not (
        facts.drawn.touched(places.known()["neck"].regions) or _yes(case, "new_head_neck_pain")
    ):
        return Result("not_asked")
    if kept_from := tuple(_kept_from(case)):
        return Result("cannot_apply", kept_from)
    missing = tuple(_missing_at_first(case))
    if high := tuple(_high_risk(case)):
        return Result("image", high, missing)
    low = tuple(_low_risk(case))
    if not low and not (open_ := tuple(_open_low_risk(case))):
        return Result("image", ("no low-risk factor, so the range is not tested",), missing)
    if stiff := tuple(_stiff(case)):
        return Result("image", stiff, missing)
    if not low:
        return Result("not_enough", (), (*missing, f"one of the low-risk factors ({', '.join(open_)})"))
    missing = (*missing, *_unmeasured(case))
    return Result("not_enough", low, missing) if missing else Result("no_image", (*low, *_turns(case)))


def _kept_from(case: Case) -> Iterator[str]:
    """Why the rule is not for this person."""
    if case.age is not None and case.age < rule().least_age:
        yield f"age {case.age}: the rule begins at {rule().least_age}"
    if case.history.get(rule().alert) in ("no", "unsure"):
        yield _said(case, rule().alert)
    yield from _dangers(case, rule().not_for)


def _missing_at_first(case: Case) -> Iterator[str]:
    """What decides whether the rule may be applied, and the high-risk factors, where not answered."""
    if case.age is None:
        yield "Age"
    yield from _unanswered(case, (rule().alert, *rule().not_for, *rule().high_risk))


def _high_risk(case: Case) -> Iterator[str]:
    if case.age is not None and case.age >= rule().old_age:
        yield f"age {case.age} ({rule().old_age} or more)"
    yield from _dangers(case, rule().high_risk)


def _low_risk(case: Case) -> Iterator[str]:
    """Only a plain yes counts, and only a midline that was felt for and is not tender."""
    yield from (_said(case, key) for key in rule().low_risk if case.history.get(key) == "yes")
    if case.finding(rule().midline, "") == "normal":
        yield f"{_label(rule().midline)}: no"


def _open_low_risk(case: Case) -> Iterator[str]:
    yield from _unanswered(case, rule().low_risk)
    if case.finding(rule().midline, "") in (None, NOT_TESTED):
        yield _label(rule().midline)


def _rotations(case: Case) -> dict[str, float]:
    """Measured degrees by side."""
    found = {side: case.finding(rule().rotation, side) for side in SIDES}
    return {side: value for side, value in found.items() if isinstance(value, int | float)}


def _stiff(case: Case) -> Iterator[str]:
    for side, degrees in _rotations(case).items():
        if degrees < rule().least_rotation:
            yield f"turns the head {degrees:g}° to the {side} (less than {rule().least_rotation}°)"


def _turns(case: Case) -> Iterator[str]:
    yield from (f"turns the head {degrees:g}° to the {side}" for side, degrees in _rotations(case).items())


def _unmeasured(case: Case) -> Iterator[str]:
    measured = _rotations(case)
    yield from (f"{_label(rule().rotation)} to the {side}" for side in SIDES if side not in measured)


def _yes(case: Case, key: str) -> bool:
    return case.history.get(key) in ("yes", "unsure")


def _dangers(case: Case, keys: Iterable[str]) -> Iterator[str]:
    yield from (_said(case, key) for key in keys if _yes(case, key))


def _unanswered(case: Case, keys: Iterable[str]) -> Iterator[str]:
    yield from (_label(key) for key in keys if key not in case.history)


def _said(case: Case, key: str) -> str:
    return f"{_label(key)}: {items.history().items[key].words_for(case.history[key])}"


def _label(key: str) -> str:
    catalogue = items.findings() if ":" in key else items.history()
    return catalogue.items[key].label

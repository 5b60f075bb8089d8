"""The Canadian C-spine rule: whether a neck hurt in an injury needs an image (Stiell et al. 2001, JAMA
286:1841; for alert, stable people of 16 and more).

It asks in three steps. Any high-risk factor: image. No low-risk factor, so that it is not safe to test the
range: image. Cannot turn the head actively by 45 degrees to the right and to the left: image; else none is
needed by the rule. What was not asked is never taken for the harmless answer, and "not sure" of a danger
counts as a yes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from bodymaps.reasoning import items, places
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.items import NOT_TESTED

SOURCE = "Stiell et al. 2001, JAMA 286:1841"
RESULTS = ("not_asked", "image", "no_image", "cannot_apply", "not_enough")
LEAST_AGE, OLD_AGE, LEAST_ROTATION = 16, 65, 45
NECK_SURGERY, DISEASE, ALERT = "neck_surgery", "vertebral_disease", "fully_alert"
HIGH_RISK = ("dangerous_mechanism", "limb_tingling_injury")
LOW_RISK = ("simple_rear_end", "sat_in_department", "walked_since", "neck_pain_delayed")
MIDLINE, ROTATION = "look:midline_tenderness", "neck:rotation"

WORDS: Mapping[str, str] = {
    "not_asked": "",
    "image": "Canadian C-spine rule: image the neck before it is moved.",
    "no_image": "Canadian C-spine rule: no image of the neck is needed by the rule.",
    "cannot_apply": "Canadian C-spine rule: cannot be applied. Decide on imaging without it.",
    "not_enough": "Canadian C-spine rule: not enough known yet.",
}


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
        said = [WORDS[self.result]]
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
    if case.age is not None and case.age < LEAST_AGE:
        yield f"age {case.age}: the rule begins at {LEAST_AGE}"
    if case.history.get(ALERT) in ("no", "unsure"):
        yield _said(case, ALERT)
    yield from _dangers(case, (NECK_SURGERY, DISEASE))


def _missing_at_first(case: Case) -> Iterator[str]:
    """What decides whether the rule may be applied, and the high-risk factors, where not answered."""
    if case.age is None:
        yield "Age"
    yield from _unanswered(case, (ALERT, NECK_SURGERY, DISEASE, *HIGH_RISK))


def _high_risk(case: Case) -> Iterator[str]:
    if case.age is not None and case.age >= OLD_AGE:
        yield f"age {case.age} ({OLD_AGE} or more)"
    yield from _dangers(case, HIGH_RISK)


def _low_risk(case: Case) -> Iterator[str]:
    """Only a plain yes counts, and only a midline that was felt for and is not tender."""
    yield from (_said(case, key) for key in LOW_RISK if case.history.get(key) == "yes")
    if case.finding(MIDLINE, "") == "normal":
        yield f"{_label(MIDLINE)}: no"


def _open_low_risk(case: Case) -> Iterator[str]:
    yield from _unanswered(case, LOW_RISK)
    if case.finding(MIDLINE, "") in (None, NOT_TESTED):
        yield _label(MIDLINE)


def _rotations(case: Case) -> dict[str, float]:
    """Measured degrees by side."""
    found = {side: case.finding(ROTATION, side) for side in SIDES}
    return {side: value for side, value in found.items() if isinstance(value, int | float)}


def _stiff(case: Case) -> Iterator[str]:
    for side, degrees in _rotations(case).items():
        if degrees < LEAST_ROTATION:
            yield f"turns the head {degrees:g}° to the {side} (less than {LEAST_ROTATION}°)"


def _turns(case: Case) -> Iterator[str]:
    yield from (f"turns the head {degrees:g}° to the {side}" for side, degrees in _rotations(case).items())


def _unmeasured(case: Case) -> Iterator[str]:
    measured = _rotations(case)
    yield from (f"{_label(ROTATION)} to the {side}" for side in SIDES if side not in measured)


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

"""What a muscle finding may hold: "" when a value may stay, else what to mend. Limits: felt.load()."""

from collections.abc import Callable, Mapping
from typing import Any

from bodymaps.reasoning import felt
from bodymaps.reasoning.items import NOT_TESTED

LONGEST_REMARK = 300
# Fields of a finding beside its signs.
PAIN, PRESSURE, REMARK, STRENGTH = "pain", "pressure", "remark", felt.STRENGTH
GRADES = ("0", "1", "2", "3", "4", "5", NOT_TESTED)


class WrongFinding(ValueError):
    """A value that a finding can't hold; `field` names where it stands, `words` what to mend."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(f"{field}: {words}")
        self.field, self.words = field, words


def check(changes: Mapping[str, Any]) -> None:
    """Raises WrongFinding for the first field that can't stay."""
    for field, value in changes.items():
        if words := wrong(field, value):
            raise WrongFinding(field, words)


def wrong(field: str, value: Any) -> str:
    """ "" when the value may stay. A sign of "" and a pain of None are not recorded."""
    if field in sign_ids():
        return "" if value in ("", *felt.ANSWERS) else "Choose yes, no or not tested."
    others: dict[str, Callable[[Any], str]] = {
        STRENGTH: _wrong_strength,
        PAIN: _wrong_pain,
        PRESSURE: wrong_pressure,
        REMARK: _wrong_remark,
    }
    return others[field](value) if field in others else "No such field."


def sign_ids() -> tuple[str, ...]:
    return tuple(sign.id for sign in felt.load().signs)


def wrong_pressure(value: Any) -> str:
    """{} was not measured; else {"unit", "trials", "tip_cm2"}."""
    if value == {}:
        return ""
    if not isinstance(value, dict) or value.get("unit") not in felt.UNITS:
        return f"Choose the unit: {' or '.join(felt.UNITS)}."
    trials = value.get("trials")
    most = felt.load().limits.trials
    if not isinstance(trials, list) or not 1 <= len(trials) <= most:
        return f"Enter one to {most} readings."
    return next(filter(None, (wrong_reading(each, value["unit"]) for each in trials)), "") or wrong_tip(
        value.get("tip_cm2")
    )


def wrong_reading(value: Any, unit: str) -> str:
    limits = felt.load().limits
    scale = 1.0 if unit == "kPa" else limits.kpa_per_kgf_cm2
    least, most = (edge / scale for edge in limits.kpa)
    return _wrong_number(value, least, most, unit)


def wrong_tip(value: Any) -> str:
    return "" if value is None else _wrong_number(value, *felt.load().limits.tip_cm2, "cm²")


def _wrong_number(value: Any, least: float, most: float, unit: str) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        return f"Enter a number from {least:.3g} to {most:.4g} {unit}."
    return ""


def _wrong_strength(value: Any) -> str:
    return "" if value in ("", *GRADES) else f"Choose a grade: {', '.join(GRADES)}."


def _wrong_pain(value: Any) -> str:
    least, most = felt.load().limits.pain
    is_whole = isinstance(value, int) and not isinstance(value, bool)
    return "" if value is None or (is_whole and least <= value <= most) else f"Choose {least} to {most}."


def _wrong_remark(value: Any) -> str:
    fits = isinstance(value, str) and len(value) <= LONGEST_REMARK
    return "" if fits else f"At most {LONGEST_REMARK} signs."

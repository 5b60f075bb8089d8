"""Turns what a browser sends of one muscle into clean values, and says what is wrong with the rest."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from bodymaps.reasoning import felt
from charting.examination import felt_limits
from charting.examination.models import MuscleFinding
from charting.examining import one_tap

NO_READING = "Enter a reading, or clear the tip area."
NO_NUMBER = "Enter a number."


@dataclass(frozen=True)
class Sent:
    """`changes` is what may be kept, `wrong` says of each field that can't be what to mend, `values` is all
    as it was typed. `go`: "next" or "previous" where that button was pressed.
    """

    version: int
    changes: Mapping[str, Any]
    wrong: Mapping[str, str]
    values: Mapping[str, str]
    go: str


def trial_names() -> tuple[str, ...]:
    return tuple(f"trial_{number}" for number in range(1, felt.load().limits.trials + 1))


def field_names() -> tuple[str, ...]:
    """Every field of the form of a muscle."""
    return (*felt_limits.sign_ids(), "strength", "pain", "unit", *trial_names(), "tip_cm2", "remark", "site")


def values_of(row: MuscleFinding) -> dict[str, str]:
    """What stands in the form of a muscle, by field; "" where nothing is recorded."""
    said = row.pressure
    trials = dict(zip(trial_names(), said.get("trials", ()), strict=False))
    return {
        **dict.fromkeys(field_names(), ""),
        **row.signs,
        "pain": "" if row.pain is None else str(row.pain),
        "unit": said.get("unit", felt.UNITS[0]),
        **{name: f"{value:g}" for name, value in trials.items()},
        "tip_cm2": "" if said.get("tip_cm2") is None else f"{said['tip_cm2']:g}",
        "remark": row.remark,
        "site": row.site,
    }


def read(sent: QueryDict) -> Sent:
    """The whole form of one muscle: what is not sent is not recorded. `set` names a result of one tap, which
    is laid over the signs.
    """
    values = {name: sent.get(name, "").strip() for name in field_names()}
    pressed = one_tap.named(sent.get("set", ""))
    values |= pressed.sets if pressed else {}
    pressure, wrong = _pressure(values)
    changes: dict[str, Any] = {name: values[name] for name in (*felt_limits.sign_ids(), "strength", "remark")}
    changes |= {"pain": _whole(values["pain"]), **({} if wrong else {"pressure": pressure})}
    changes |= {"site": values["site"]} if "site" in sent else {}
    cant = {name: words for name in changes if name != "site" and (words := _wrong(name, changes[name]))}
    return Sent(
        version=int(version) if (version := sent.get("version", "")).isdecimal() else 0,
        changes={name: value for name, value in changes.items() if name not in cant},
        wrong={**wrong, **cant},
        values=values,
        go=sent.get("go", ""),
    )


def _wrong(name: str, value: Any) -> str:
    return "" if name == "pressure" else felt_limits.wrong(name, value)


def _whole(text: str) -> Any:
    """A number of pain; what is none is left to be found wrong."""
    if not text:
        return None
    return int(text) if text.isdecimal() else text


def _pressure(values: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """The pressure pain threshold as it is stored, and what is wrong with it by field."""
    typed = {name: values[name] for name in trial_names() if values[name]}
    tip = _number(values["tip_cm2"])
    if not typed:
        return {}, {trial_names()[0]: NO_READING} if values["tip_cm2"] else {}
    unit = values["unit"]
    if unit not in felt.UNITS:
        return {}, {"unit": f"Choose {' or '.join(felt.UNITS)}."}
    trials = {name: _number(text) for name, text in typed.items()}
    wrong = {name: felt_limits.wrong_reading(value, unit) for name, value in trials.items()}
    wrong["tip_cm2"] = felt_limits.wrong_tip(tip) if values["tip_cm2"] else ""
    said = {"unit": unit, "trials": list(trials.values()), "tip_cm2": tip if values["tip_cm2"] else None}
    return said, {name: words for name, words in wrong.items() if words}


def _number(text: str) -> float | str:
    """ "38,5" is a number too; what is none stays a text, to be found wrong."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return text
    return value if abs(value) < 1e9 else text


def rows_in(sent: QueryDict) -> dict[int, int]:
    """Rows with the version each was shown in: row=12:3. What is no such pair is left out."""
    pairs = (text.partition(":") for text in sent.getlist("row"))
    return {int(row): int(version) for row, _, version in pairs if row.isdecimal() and version.isdecimal()}


def label_of(name: str) -> str:
    """What a field is called where it is named alone."""
    own = {sign.id: sign.label for sign in felt.load().signs}
    trials = {trial: f"Reading {number}" for number, trial in enumerate(trial_names(), 1)}
    others = {"strength": "Strength", "pain": "Pain on pressing", "unit": "Unit", "tip_cm2": "Tip area"}
    return {**own, **trials, **others, "remark": "Remark", "site": "Place"}[name]


def words_of(name: str, value: str) -> str:
    """A value in words, "" where nothing is recorded."""
    if name in felt_limits.sign_ids():
        return felt.load().sign(name).words_for(value)
    return value.replace("_", " ")

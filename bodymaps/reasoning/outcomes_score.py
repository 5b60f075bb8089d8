"""Answers into a score, and what is wrong with answers.

Answers by way of instrument: ratings by id of the member ({"now": 7}); {"activities": [{"name": "Stairs",
"value": 4}]}; {"value": 2} of one form; {"sum": 16, "answered": 9} of a filled-in questionnaire.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from bodymaps.reasoning.outcome_instruments import (
    ACTIVITIES,
    CHOICE,
    HIGHER,
    MEAN,
    MEMBERS,
    Form,
    Instrument,
    Total,
)
from bodymaps.reasoning.outcomes_file import load

Answers = Mapping[str, Any]
NOTHING = "Nothing is answered yet."


class Line(NamedTuple):
    """One rating of several: id of the member or name of the activity, its title, its value."""

    id: str
    title: str
    value: int
    band: str = ""


@dataclass(frozen=True)
class Score:
    """`value` is exact, None when there is no score, and then `why_not` says why. `shown`: as it is read
    ("17.8 of 50 (35.6 %)"). `band`: its word of severity, "" where none is published. `detail`: what else to
    know of it. `lines`: the ratings it is made of.
    """

    value: float | None
    shown: str
    band: str = ""
    why_not: str = ""
    detail: str = ""
    lines: tuple[Line, ...] = ()


def instrument_of(instrument: Instrument | str) -> Instrument:
    """Raises KeyError for an unknown id."""
    return instrument if isinstance(instrument, Instrument) else load().instruments[instrument]


def number(value: float) -> str:
    """One decimal where it needs one: "4", "17.8"."""
    return f"{round(value, 1):g}"


def score(instrument: Instrument | str, answers: Answers, form: str = "") -> Score:
    """What the answers come to. Answers that cannot be give no score, in words; it never raises for them."""
    of = instrument_of(instrument)
    if wrong := wrong_in(of, answers, form):
        return _none(next(iter(wrong.values())))
    if of.way == MEMBERS:
        return _of_members(of, answers)
    if of.way == MEAN:
        return _of_mean(of, answers)
    if of.way == ACTIVITIES:
        return _of_activities(of, answers)
    return _of_choice(of, answers, form) if of.way == CHOICE else _of_total(of, answers)


def wrong_in(instrument: Instrument | str, answers: Answers, form: str = "") -> dict[str, str]:
    """What cannot be, by field, in words that say what to mend. Fields: the members; "activities" and
    "activity_1" and on; "form" and "value"; "sum" and "answered". What is missing is not wrong.
    """
    of = instrument_of(instrument)
    if of.way in (MEMBERS, MEAN):
        return _wrong_ratings(of, answers)
    if of.way == ACTIVITIES:
        return _wrong_activities(of, answers)
    return _wrong_choice(of, answers, form) if of.way == CHOICE else _wrong_total(of, answers)


def activities_in(answers: Answers) -> tuple[Line, ...]:
    """The activities that are rated, in their order."""
    rated = [one for one in answers.get("activities", ()) if one.get("value") is not None]
    return tuple(Line(same_name(one["name"]), one["name"], one["value"]) for one in rated)


def same_name(name: str) -> str:
    """By what two activities are the same: capitals and spaces do not count."""
    return " ".join(name.casefold().split())


def _none(why: str) -> Score:
    return Score(None, "no score", why_not=why)


def _band(of: Instrument, value: float) -> str:
    return of.bands.word_for(value) if of.bands else ""


def _ratings(of: Instrument, answers: Answers) -> tuple[Line, ...]:
    return tuple(
        Line(each.id, each.title, answers[each.id], _band(of, answers[each.id]))
        for each in of.members
        if answers.get(each.id) is not None
    )


def _of_members(of: Instrument, answers: Answers) -> Score:
    lines = _ratings(of, answers)
    if not lines:
        return _none(NOTHING)
    shown = ", ".join(f"{line.title.lower()} {line.value}" for line in lines)
    return Score(lines[0].value, f"{shown} {of.unit}", lines[0].band, lines=lines)


def _of_mean(of: Instrument, answers: Answers) -> Score:
    lines = _ratings(of, answers)
    if not lines:
        return _none(NOTHING)
    missing = [each.title for each in of.members if each.id not in {line.id for line in lines}]
    if missing:
        return _none(f"No score: {'; '.join(missing)} is missing, and all {len(of.members)} are needed.")
    value = sum(line.value for line in lines) / len(lines)
    return Score(value, f"{number(value)} {of.unit}", _band(of, value), lines=lines)


def _of_activities(of: Instrument, answers: Answers) -> Score:
    lines = activities_in(answers)
    if not lines or not of.activities:
        return _none("No activity is rated yet.")
    value = sum(line.value for line in lines) / len(lines)
    few = len(lines) < of.activities.fewest
    detail = f"Mean of {len(lines)} only; {of.activities.fewest} to {of.activities.most} are asked for."
    return Score(value, f"{number(value)} {of.unit}", detail=detail if few else "", lines=lines)


def _of_choice(of: Instrument, answers: Answers, name: str) -> Score:
    form, value = of.form(name), answers.get("value")
    if form is None or value is None:
        return _none(NOTHING)
    words = dict(form.choices)[value] or ("better" if is_better(form, value) else "not better")
    much = "Counts as much better. " if is_much_better(form, value) else ""
    detail = f"{much}Numbered {form.title}."
    return Score(value, f"{value} of {form.high}, {words.lower()}", words.lower(), detail=detail)


def is_better(form: Form, value: int) -> bool:
    return value > form.same if form.better == HIGHER else value < form.same


def is_much_better(form: Form, value: int) -> bool:
    return value >= form.much if form.better == HIGHER else value <= form.much


def _of_total(of: Instrument, answers: Answers) -> Score:
    total, said, answered = of.total, answers.get("sum"), answers.get("answered")
    if total is None or said is None or answered is None:
        return _none("Both the sum and the number of answered items are needed.")
    if answered < total.least:
        needed = f"At least {total.least} of {total.items} items must be answered"
        return _none(f"No score: {needed}, and {answered} are.")
    share = (said / answered - total.item_low) / (total.item_high - total.item_low)
    value = of.low + share * (of.high - of.low)
    shown = f"{number(value)} {of.unit}"
    if of.high != 100:
        shown += f" ({number(share * 100)} %)"
    return Score(value, shown, _band(of, value), detail=_missing(total, answered))


def _missing(total: Total, answered: int) -> str:
    if answered == total.items:
        return ""
    said = f"{answered} of {total.items} answered; the missing count as the mean of the others."
    return f"{said} So few: read it with caution." if answered < total.wary else said


def is_whole(value: Any, low: float, high: float) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high


def _needs(low: float, high: float) -> str:
    return f"Enter a whole number from {low:g} to {high:g}."


def _wrong_ratings(of: Instrument, answers: Answers) -> dict[str, str]:
    given = {each.id: answers.get(each.id) for each in of.members}
    wrong = {
        name: _needs(of.low, of.high)
        for name, value in given.items()
        if value is not None and not is_whole(value, of.low, of.high)
    }
    return {**_unknown(answers, given), **wrong}


def _unknown(answers: Answers, known: Mapping[str, Any]) -> dict[str, str]:
    return {name: f"There is no {name!r} in this instrument." for name in answers if name not in known}


def _wrong_activities(of: Instrument, answers: Answers) -> dict[str, str]:
    asked, named = of.activities, answers.get("activities", [])
    if asked is None or not isinstance(named, list) or not all(isinstance(one, dict) for one in named):
        return {"activities": "Activities are a list of names with a number each."}
    wrong = _unknown(answers, {"activities": named})
    if len(named) > asked.most:
        wrong["activities"] = f"At most {asked.most} activities are rated."
    seen: set[str] = set()
    for place, one in enumerate(named, 1):
        name, value = one.get("name"), one.get("value")
        if words := _wrong_activity(of, name, value, asked.longest, seen):
            wrong[f"activity_{place}"] = words
        seen.add(same_name(name) if isinstance(name, str) else "")
    return wrong


def _wrong_activity(of: Instrument, name: Any, value: Any, longest: int, seen: set[str]) -> str:
    if not isinstance(name, str) or not name.strip():
        return "Name the activity."
    if len(name) > longest:
        return f"At most {longest} letters."
    if same_name(name) in seen:
        return "This activity is named twice."
    if value is not None and not is_whole(value, of.low, of.high):
        return _needs(of.low, of.high)
    return ""


def _wrong_choice(of: Instrument, answers: Answers, name: str) -> dict[str, str]:
    form, value = of.form(name), answers.get("value")
    wrong = _unknown(answers, {"value": value})
    if form is None:
        wrong["form"] = "Say which numbering was used: " + "; ".join(each.title for each in of.forms) + "."
    elif value is not None and not is_whole(value, form.low, form.high):
        wrong["value"] = _needs(form.low, form.high)
    return wrong


def _wrong_total(of: Instrument, answers: Answers) -> dict[str, str]:
    total, said, answered = of.total, answers.get("sum"), answers.get("answered")
    wrong = _unknown(answers, {"sum": said, "answered": answered})
    if total is None:
        return wrong
    if answered is not None and not is_whole(answered, 1, total.items):
        return {**wrong, "answered": _needs(1, total.items)}
    most = total.items if answered is None else answered
    fewest = 1 if answered is None else answered
    low, high = fewest * total.item_low, most * total.item_high
    if said is not None and not is_whole(said, low, high):
        items = f"{answered} answered items" if answered is not None else f"{total.items} items"
        wrong["sum"] = f"{items.capitalize()} add up to a whole number from {low} to {high}."
    return wrong

"""Turns what a browser sends from the page of scores into clean answers, and says what is wrong with them.

No Django form: which instruments stand on the page is data. Fields: "nprs_now", "psfs_name_1",
"psfs_value_1", "pgic_impact", "ndi_sum", "ndi_answered", "version_nprs", and "given" (off paper, or asked).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from django.http import QueryDict

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcomes import Instrument
from charting.outcomes.models import OutcomeScore
from charting.outcomes.services import Given, SaidBy

BOTH = "Answer one of the two numberings, not both."
NEEDS_SUM = "Enter the sum too, or clear the number of items."
NEEDS_ANSWERED = "Enter how many items were answered."
# How a score is given that a patient reads and fills in alone.
ON_PAPER = ("mean", "total")


class Problem(NamedTuple):
    """What is wrong with one field; `where` names the instrument."""

    field: str
    where: str
    words: str


@dataclass(frozen=True)
class Typed:
    """What stands on the page: on record, brought back from a draft, or just sent. `values`: by field, as
    typed, empty ones left out. `carried`: names of activities taken over from an earlier visit.
    """

    values: Mapping[str, str]
    versions: Mapping[str, int]
    given: str = SaidBy.CLINICIAN.value
    carried: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()

    def problem_of(self, field: str) -> str:
        return next((problem.words for problem in self.problems if problem.field == field), "")

    def scores(self) -> tuple[Given, ...]:
        """Every instrument as it is to be saved; what is no number stays text, and is named by `checked`."""
        return tuple(_given(one, self) for one in outcomes.instruments().values())

    def checked(self) -> "Typed":
        """The same with everything that is wrong with it."""
        found = [problem for one in outcomes.instruments().values() for problem in _problems(one, self)]
        return replace(self, problems=tuple(found))


def field_names(of: Instrument) -> tuple[str, ...]:
    """The fields of one instrument, in the order they stand."""
    if of.activities:
        slots = range(1, of.activities.most + 1)
        return tuple(f"{of.id}_{part}_{slot}" for slot in slots for part in ("name", "value"))
    if of.total:
        return f"{of.id}_sum", f"{of.id}_answered"
    ids = [one.id for one in of.members] + [form.id for form in of.forms]
    return tuple(f"{of.id}_{name}" for name in ids)


def read(sent: QueryDict, carried: Iterable[str] = ()) -> Typed:
    """What was sent or kept as a draft."""
    names = [name for one in outcomes.instruments().values() for name in field_names(one)]
    values = {name: sent.get(name, "").strip() for name in names}
    versions = {name: sent.get(f"version_{name}", "") for name in outcomes.instruments()}
    return Typed(
        values={name: value for name, value in values.items() if value},
        versions={name: int(text) if text.isdecimal() else 0 for name, text in versions.items()},
        given=SaidBy.PAPER.value if sent.get("given") == SaidBy.PAPER.value else SaidBy.CLINICIAN.value,
        carried=tuple(carried),
    )


def on_record(rows: Sequence[OutcomeScore], carried: Sequence[str]) -> Typed:
    """What is on record; where no activity is, the names of the last visit without a number."""
    values: dict[str, str] = {}
    for row in rows:
        values |= values_of(row)
    if "psfs_name_1" not in values:
        values |= {f"psfs_name_{slot}": name for slot, name in enumerate(carried, 1)}
    said_by = {row.said_by for row in rows if row.instrument not in paper_ones()}
    given = SaidBy.PAPER.value if SaidBy.PAPER.value in said_by else SaidBy.CLINICIAN.value
    return Typed(values, {row.instrument: row.version for row in rows}, given, tuple(carried))


def paper_ones() -> frozenset[str]:
    return frozenset(one.id for one in outcomes.instruments().values() if one.way in ON_PAPER)


def values_of(row: OutcomeScore) -> dict[str, str]:
    """One score on record by field of the page."""
    if row.form:
        return {f"{row.instrument}_{row.form}": str(row.answers.get("value", ""))}
    found: dict[str, str] = {}
    for slot, one in enumerate(row.answers.get("activities", ()), 1):
        value = "" if one["value"] is None else str(one["value"])
        found |= {f"{row.instrument}_name_{slot}": one["name"], f"{row.instrument}_value_{slot}": value}
    rest = {name: str(value) for name, value in row.answers.items() if name != "activities"}
    found |= {f"{row.instrument}_{name}": value for name, value in rest.items()}
    return {name: value for name, value in found.items() if value}


def after_clash(typed: Typed, rows: Sequence[OutcomeScore]) -> Typed:
    """The same on top of what somebody else recorded meanwhile: what was left open here takes it over."""
    theirs = on_record(rows, ())
    kept = {one: _filled(one, typed) for one in outcomes.instruments()}
    values = {
        name: value
        for one, instrument in outcomes.instruments().items()
        for name in field_names(instrument)
        for value in [(typed if kept[one] else theirs).values.get(name, "")]
        if value
    }
    return replace(typed, values=values, versions=theirs.versions)


def _filled(instrument: str, typed: Typed) -> bool:
    return bool(_given(outcomes.instruments()[instrument], typed).answers)


def _given(of: Instrument, typed: Typed) -> Given:
    said_by = SaidBy.PAPER.value if of.way in ON_PAPER else typed.given
    version = typed.versions.get(of.id, 0)
    if of.forms:
        form = next((one.id for one in of.forms if typed.values.get(f"{of.id}_{one.id}")), "")
        answers = {"value": _number(typed.values.get(f"{of.id}_{form}", ""))} if form else {}
        return Given(of.id, answers, version, form, said_by)
    return Given(of.id, _answers(of, typed), version, "", said_by)


def _answers(of: Instrument, typed: Typed) -> dict[str, Any]:
    if of.activities:
        named = [_activity(of, typed, slot) for slot in _slots(of, typed)]
        names = tuple(one["name"] for one in named)
        only_carried = names == typed.carried and all(one["value"] is None for one in named)
        return (
            {} if only_carried and not typed.versions.get(of.id) else {"activities": named} if named else {}
        )
    prefix = f"{of.id}_"
    found = {name.removeprefix(prefix): typed.values.get(name, "") for name in field_names(of)}
    return {name: _number(value) for name, value in found.items() if value}


def _slots(of: Instrument, typed: Typed) -> list[int]:
    """The places of the list where something is typed."""
    most = of.activities.most if of.activities else 0
    return [
        slot
        for slot in range(1, most + 1)
        if typed.values.get(f"{of.id}_name_{slot}") or typed.values.get(f"{of.id}_value_{slot}")
    ]


def _activity(of: Instrument, typed: Typed, slot: int) -> dict[str, Any]:
    value = typed.values.get(f"{of.id}_value_{slot}", "")
    return {"name": typed.values.get(f"{of.id}_name_{slot}", ""), "value": _number(value) if value else None}


def _number(text: str) -> int | str:
    return int(text) if text.isascii() and text.isdecimal() else text


def _problems(of: Instrument, typed: Typed) -> Iterable[Problem]:
    given = _given(of, typed)
    wrong = outcomes.wrong_in(of, given.answers, given.form) if given.answers else {}
    for name, words in wrong.items():
        yield Problem(_field(of, typed, name, given.form), of.name, words)
    if of.forms and sum(bool(typed.values.get(f"{of.id}_{form.id}")) for form in of.forms) > 1:
        yield Problem(f"{of.id}_{of.forms[1].id}", of.name, BOTH)
    if of.total and len(given.answers) == 1:
        is_sum = "sum" in given.answers
        missing = "answered" if is_sum else "sum"
        yield Problem(f"{of.id}_{missing}", of.name, NEEDS_ANSWERED if is_sum else NEEDS_SUM)


def _field(of: Instrument, typed: Typed, name: str, form: str) -> str:
    """The field of the page that a wrong answer stands in."""
    if name.startswith("activity_"):
        slot = _slots(of, typed)[int(name.removeprefix("activity_")) - 1]
        part = (
            "value" if typed.values.get(f"{of.id}_name_{slot}") and _wrong_value(of, typed, slot) else "name"
        )
        return f"{of.id}_{part}_{slot}"
    return f"{of.id}_{form if name == 'value' else name}"


def _wrong_value(of: Instrument, typed: Typed, slot: int) -> bool:
    value = _activity(of, typed, slot)["value"]
    return value is not None and (isinstance(value, str) or not of.low <= value <= of.high)

"""A list of people (CSV): every row checked as the form for one person checks it, taken in whole or not."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from charting.exchange import columns, people_csv, people_dates
from charting.exchange.people_csv import Row, Sheet
from charting.exchange.plans import Choice, NotDone, Plan, Question, Refused, Step
from charting.patients import services
from charting.patients.forms import PARTS, PatientForm
from charting.patients.models import Patient
from charting.patients.names import are_alike, folded
from charting.patients.queries import born_on_one_of
from charting.patients.services import NewPerson
from charting.staff.models import User

NEW, LEAVE = "new", "leave"
AS_NEW = Choice(NEW, "Registered as a new person")
ALL_THE_SAME = Choice(NEW, "Register as a new person all the same")
LEAVE_IT = Choice(LEAVE, "Leave out: it is the same person")
DATES = Question(
    "dates",
    "How are birth dates written in this file?",
    people_dates.ORDERS,
    "3/7/1975 is two different days. Nothing is guessed: a date that is written another way is refused.",
)
LABELS = {"birth_date": "Born", "email": "E-mail", "emergency_name": "Emergency contact"}


@dataclass(frozen=True)
class Person:
    """One row whose values are clean; `about`: as charting.patients.services.register takes them."""

    line: int
    about: dict[str, Any]

    @property
    def name(self) -> str:
        return f"{self.about['given_names']} {self.about['family_name']}"

    @property
    def born(self) -> date:
        return self.about["birth_date"]


class PeopleReader:
    """Reader of lists of people (charting.exchange.plans.Reader)."""

    title = "Import a list of people"
    suffixes = ".csv,.txt,text/csv"
    questions = (DATES,)

    @property
    def most_bytes(self) -> int:
        return columns.load().most_bytes

    @property
    def help_text(self) -> str:
        needed = [one.words[0] for one in columns.load().columns if one.needed]
        others = [one.words[0] for one in columns.load().columns if not one.needed]
        return (
            f"A CSV file of at most {columns.load().most_people} people, in UTF-8 or Windows-1252, with "
            f"commas, semicolons or tabs. Its first line names the columns: {', '.join(needed)}; and, if "
            f"there are any, {', '.join(others)}."
        )

    def plan(self, user: User, content: bytes, said: Mapping[str, str]) -> Plan:
        sheet = people_csv.read(content)
        most = columns.load().most_people
        if len(sheet.rows) > most:
            why = f"It holds {len(sheet.rows)} people; at most {most} are taken in at once. Divide it."
            return Plan((), (Refused("The file", why),), sheet.told)
        people, refused = _people(sheet, said[DATES.name])
        told = (*sheet.told, *_told_of_dates(people, said[DATES.name]))
        steps = tuple(_steps(user, people))
        asked = sum(1 for step in steps if step.is_asked)
        if asked > columns.load().most_alike:
            why = f"{asked} people may be registered already, too many for one page. Divide the file."
            refused.append(Refused("The file", why))
        return Plan(steps, (*sheet.refused, *refused), told)

    def take_in(self, who: User, plan: Plan, decided: Mapping[str, str]) -> dict[str, list[str]]:
        taken = [step for step in plan.steps if decided[step.key] == NEW]
        if not taken:
            raise NotDone("Everybody in this file is left out. Leave the file instead.")
        new = [NewPerson(step.values, tuple(str(one.pk) for one in step.known)) for step in taken]
        made = services.register_all(who=who, people=new)
        left = [f"{step.where}: {step.name}" for step in plan.steps if decided[step.key] == LEAVE]
        return {"made": [str(one.pk) for one in made], "changed": [], "left": left}


def _people(sheet: Sheet, order: str) -> tuple[list[Person], list[Refused]]:
    people, refused = [], []
    # One form for all rows: making it takes five times as long as asking it.
    form = PatientForm({})
    for row in sheet.rows:
        form.data = _typed(row, order)
        form.full_clean()
        wrong = list(_wrong(row, order, form, sheet.heads))
        if wrong:
            refused.extend(wrong)
        else:
            people.append(Person(row.line, form.about()))
    return people, refused


def _typed(row: Row, order: str) -> dict[str, str]:
    """A row as the form for one person would send it. What is no date or no sex is told of by `_wrong`."""
    known = columns.load().sex
    sex = known.get(columns.plain(row.cells.get("sex", "")), "")
    try:
        born = people_dates.parts(row.cells["birth_date"], order)
    except people_dates.NotSo:
        born = ("", "", "")
    parts = {f"birth_date_{part}": value for part, value in zip(PARTS, born, strict=True)}
    return {**row.cells, **parts, "sex": sex}


def _wrong(row: Row, order: str, form: PatientForm, heads: dict[str, str]) -> Iterator[Refused]:
    """Everything that is to be mended in one row, by column."""
    told = {name: str(errors[0]) for name, errors in form.errors.items()}
    text = row.cells["birth_date"]
    try:
        people_dates.parts(text, order)
    except people_dates.NotSo as problem:
        told["birth_date"] = str(problem) if text else "Enter the date of birth."
    if columns.plain(row.cells.get("sex", "")) not in columns.load().sex:
        told["sex"] = "Write female, male, other, or nothing."
    order_of = {name: place for place, name in enumerate(heads)}
    for name in sorted(told, key=lambda name: order_of.get(name, len(heads))):
        why, head = told[name], heads.get(name, LABELS.get(name, name))
        quoted = f" It says “{row.cells[name][:60]}”." if row.cells.get(name) else ""
        yield Refused(f"Line {row.line}, column {head}", why + quoted)


def _told_of_dates(people: list[Person], order: str) -> Iterator[str]:
    """A list where no day is above 12 can be read either way, and nothing in it would tell."""
    if order != "iso" and people and all(one.born.day <= 12 for one in people):
        yield (
            "No day in this file is above 12, so nothing in it tells whether day and month were taken the "
            "right way round. Compare some birth dates below with what you know."
        )


def _steps(user: User, people: list[Person]) -> Iterator[Step]:
    """One for each person, with those who may be the same: registered here, or higher up in the file."""
    known: dict[date, list[Patient]] = defaultdict(list)
    for patient in born_on_one_of(user, {one.born for one in people}):
        known[patient.birth_date].append(patient)
    before: dict[date, list[tuple[Person, str]]] = defaultdict(list)
    for one in people:
        name = folded(one.name)
        here = tuple(each for each in known[one.born] if are_alike(name, each.search_name))
        above = [each for each, other in before[one.born] if are_alike(name, other)]
        exact = any(each.search_name == name for each in here) or (name, one.born) in {
            (other, each.born) for each, other in before[one.born]
        }
        before[one.born].append((one, name))
        yield _step(one, here, above, exact)


def _step(one: Person, here: tuple[Patient, ...], above: list[Person], exact: bool) -> Step:
    notes = tuple(f"Likely the same person as in line {each.line}: {each.name}." for each in above[:3])
    choices: tuple[Choice, ...] = (AS_NEW,)
    if exact:
        choices = (_left_out(here),)
    elif here or above:
        choices = (LEAVE_IT, ALL_THE_SAME)
    return Step(
        key=f"line-{one.line}",
        where=f"Line {one.line}",
        name=one.name,
        said=tuple(_said(one.about)),
        choices=choices,
        is_asked=len(choices) > 1,
        known=here,
        notes=notes,
        values=one.about,
    )


def _left_out(here: tuple[Patient, ...]) -> Choice:
    """The same name and the same birth date: nobody has to decide about each of a list taken in before."""
    numbers = ", ".join(str(one.record_number) for one in here)
    known = f"registered already, record {numbers}" if here else "stands higher up in the file"
    return Choice(LEAVE, f"Left out: {known}")


def _said(about: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for name in PatientForm.ABOUT:
        value = about[name]
        if name in ("family_name", "given_names") or not value or value == Patient.Sex.UNKNOWN:
            continue
        if isinstance(value, date):
            value = f"{value.day} {value:%B} {value.year}"
        if name == "sex":
            value = Patient.Sex(value).label
        yield LABELS.get(name, name.replace("_", " ").capitalize()), str(value)

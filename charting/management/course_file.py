"""The courses of the demo practice as a file holds them (courses.toml), checked on load against the
catalogues they name: a CourseError names file, entry and what to mend.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from charting.management import course_checks as checks
from charting.management import course_letters, course_papers
from charting.management.course_checks import CourseError

FILE = Path(__file__).parent / "courses.toml"
PERSON = ("family_name", "given_names", "birth_date", "sex")
ABOUT = (*PERSON, "phone", "remarks")
COURSE = (*ABOUT, "episode", "standing", "story", "areas", "chaperone", "chaperone_name", "insured")
TABLES = ("visit", "missed", "call", "reaction", "booked", "end", "letter", "later", "request")
VISIT = (
    "days_ago", "at", "complaint", "history", "lines", "no_pain", "nprs", "activities", "peg", "pgic",
    "totals", "felt", "ranges", "grades", "neuro", "asked", "decided", "treated", "home", "assessment",
    "plan", "codes", "open", "discharge", "reopened", *checks.kinds_of_pain(),
)  # fmt: skip
NEEDED = ("days_ago", "at", "lines", "felt", "treated", "assessment", "plan")
OTHERS = {
    "missed": ("days_ago", "at", "why"),
    "call": ("days_ago", "way", "words"),
    "reaction": ("days_ago", "what", "severity", "words", "done", "settled"),
    "booked": ("days_ahead", "at", "reason"),
    "end": ("days_ago", "reason", "words"),
    "letter": ("days_ago", "kind"),
    "later": ("days_ago", "visit", "kind", "words", "wrong"),
    "request": ("days_ago", "visit", "words", "reason"),
}
OPTIONAL = ("at", "way", "wrong")


@dataclass(frozen=True)
class Course:
    """One invented person: `data` as in the file, its tables in lists that may be empty."""

    data: Mapping[str, Any]

    @property
    def person(self) -> dict[str, Any]:
        return {name: self.data[name] for name in ABOUT if name in self.data}

    @property
    def name(self) -> str:
        return f"{self.data['given_names']} {self.data['family_name']}"

    def rows(self, table: str) -> list[dict[str, Any]]:
        return list(self.data.get(table, ()))

    @property
    def visits(self) -> list[dict[str, Any]]:
        return self.rows("visit")


@cache
def load() -> tuple[Course, ...]:
    """The file, checked. Raises CourseError."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str, name: str = FILE.name) -> tuple[Course, ...]:
    """Raises CourseError with file, entry and what to mend."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise CourseError(f"{name}: {problem}") from problem
    courses = tuple(Course(each) for each in data.get("course", ()))
    try:
        for course in courses:
            _check(course)
    except CourseError as problem:
        raise CourseError(f"{name}: {problem}") from problem
    names = [tuple(str(course.data[part]) for part in PERSON[:3]) for course in courses]
    if twice := [each for each in names if names.count(each) > 1]:
        raise CourseError(f"{name}: {' '.join(twice[0])}: this person stands twice")
    return courses


def _check(course: Course) -> None:
    _members(course.data, (*PERSON, "episode", "standing", "story", "areas"), (*COURSE, *TABLES), "a course")
    entry = course.name
    if not isinstance(course.data["birth_date"], date):
        raise CourseError(f"{entry}: birth_date: a date such as 1979-04-18")
    checks.answers({**course.data["standing"], **course.data["story"]}, entry)
    checks.areas(course.data["areas"], entry)
    if "insured" in course.data:
        course_papers.check(course.data["insured"], entry)
    for table, known in OTHERS.items():
        for row in course.rows(table):
            where = f"{entry}, {table} of {row.get('days_ago', row.get('days_ahead', '?'))} days"
            _members(row, [each for each in known if each not in OPTIONAL], known, where)
            checks.row(table, row, where)
            course_letters.check(table, row, where)
    for number, visit in enumerate(course.visits, 1):
        where = f"{entry}, visit {number}"
        _members(visit, NEEDED, VISIT, where)
        checks.visit(visit, where)
        checks.agreed_to(visit, course.data["areas"], where)
    _check_order(course)


def _check_order(course: Course) -> None:
    """Visits go forward, the record ends with them, and at most one discharge can be told from none."""
    days = [visit["days_ago"] for visit in course.visits]
    if not days or sorted(days, reverse=True) != days or len(set(days)) != len(days):
        raise CourseError(
            f"{course.name}: visits: at least one, the earliest first, each on a day of its own"
        )
    if days[-1] < 1:
        raise CourseError(f"{course.name}: visits: all of them before today")
    if sum(_ends(course)) > 1:
        raise CourseError(f"{course.name}: discharge: once in a course")
    if any(visit.get("open") for visit in course.visits[:-1]):
        raise CourseError(f"{course.name}: open: only the last visit may be unsigned")


def _ends(course: Course) -> Iterator[bool]:
    yield from ("discharge" in visit for visit in course.visits)
    yield from (True for _ in course.rows("end"))


def _members(data: Mapping[str, Any], needed: Iterable[str], known: Iterable[str], entry: str) -> None:
    if missing := [name for name in needed if name not in data]:
        raise CourseError(f"{entry}: {missing[0]} is missing")
    if strange := sorted(set(data) - set(known)):
        raise CourseError(f"{entry}: {strange[0]} is not known here: one of {', '.join(known)}")

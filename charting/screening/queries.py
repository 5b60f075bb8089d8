"""Every read of what was found on examination. A visit given here came through the patients' door."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from bodymaps.reasoning import items, ranges
from bodymaps.reasoning.case import CaseError, Value, value_of
from bodymaps.reasoning.items import NOT_TESTED, Group, Item
from charting.screening import sections
from charting.screening.models import NeuroFinding
from charting.screening.sections import LEFT, MIDDLE, NEURO, PAGES, REFLEX_SCALES, RIGHT, Cell
from charting.visits.models import Visit

# (grade as stored, remark) by test and side
Found = Mapping[Cell, tuple[str, str]]
NOTHING = ("", "")


@dataclass(frozen=True)
class Finding:
    """One side of one test; `grade` is "" when nothing is on record, "NT" when it was not tested."""

    grade: str = ""
    words: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Row:
    """One test, right and left, or `middle` for what has no side. `difference` says in words how the sides
    differ, "" when they do not; `alike` what is outside the normal grades and no comparison would show.
    """

    key: str
    label: str
    roots: str
    how: str
    unit: str
    right: Finding
    left: Finding
    middle: Finding
    difference: str
    alike: str


@dataclass(frozen=True)
class Table:
    """One group of tests with what is on record of it, as it is shown and printed."""

    id: str
    title: str
    scale: str
    source: str
    grades: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class NeuroTable:
    """What was examined in one visit: groups and tests with nothing on record are left out."""

    version: str
    tables: tuple[Table, ...]

    @property
    def is_empty(self) -> bool:
        return not self.tables

    @property
    def differences(self) -> tuple[str, ...]:
        """Every side difference in words: "Strength, elbow flexors (C5): right 4, left 5"."""
        return self._said("difference")

    @property
    def alike(self) -> tuple[str, ...]:
        """What is outside normal and shows no difference: "Strength, elbow flexors (C5): both sides 4"."""
        return self._said("alike")

    def _said(self, what: str) -> tuple[str, ...]:
        return tuple(
            f"{_test_in_words(table, row)}: {getattr(row, what)}"
            for table in self.tables
            for row in table.rows
            if getattr(row, what)
        )


def found_in(visit: Visit) -> dict[Cell, tuple[str, str]]:
    """Grade and remark of everything on record, by test and side. One query."""
    return {(row.item, row.side): (row.grade, row.remark) for row in NeuroFinding.objects.filter(visit=visit)}


def findings_of(visit: Visit) -> dict[Cell, Value]:
    """What was found, for Case.findings: grades and "NT" as text, numbers as float. One query."""
    return values_in(found_in(visit))


def measured_beside(visit: Visit, found: Found) -> dict[Cell, float]:
    """Tests of the neuro screen that were measured as range of a joint, where the screen itself has no value:
    by the cell of the test. One query.
    """
    tests = {each.id: each.same_as for each in ranges.load().movements.values() if each.same_as}
    # Ranges are recorded by a later noun; of its rows only those of this visit are read, from the visit.
    rows = visit.range_readings.filter(movement__in=tests, active__isnull=False)
    measured = {(tests[row.movement], row.side): row.active for row in rows}
    return {
        cell: value
        for cell, value in measured.items()
        if value is not None and found.get(cell, NOTHING)[0] in ("", NOT_TESTED)
    }


def values_in(found: Found) -> dict[Cell, Value]:
    """The same of what was read already. What the catalogue does not know (any more) is left out."""
    values = {}
    for (key, side), (grade, _) in found.items():
        value = value_in(key, side, grade)
        if value is not None:
            values[key, side] = value
    return values


def value_in(key: str, side: str, grade: str) -> Value | None:
    catalogue = items.findings()
    item = catalogue.items.get(key)
    try:
        return value_of(catalogue, key, as_number(item, grade) if item else grade, "findings", side)
    except CaseError:
        return None


def as_number(item: Item, text: str) -> str | float:
    """What is written for a number as a number; the text itself when it is none. A comma is a point."""
    if item.type != "number" or text == NOT_TESTED:
        return text
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        return text


def table_of(visit: Visit) -> NeuroTable:
    """Vitals and neuro screen as they are on record. One query."""
    return table_in(found_in(visit))


def table_in(found: Found, pages: tuple[str, ...] = PAGES) -> NeuroTable:
    groups = [group for page in pages for group in items.findings().on_page(page)]
    tables = (_table(group, found) for group in groups)
    return NeuroTable(items.findings().version, tuple(table for table in tables if table.rows))


def has_findings() -> Exists:
    """To annotate visits with: whether anything of the neuro screen is on record."""
    others = {key for page in (sections.VITAL, sections.JOINT) for key, _ in sections.every_cell(page)}
    return Exists(NeuroFinding.objects.filter(visit=OuterRef("pk")).exclude(item__in=others))


def reflex_scale_in(found: Found) -> str:
    """Which of the two tables of reflexes has grades, "" when neither has."""
    groups = {items.findings().items[key].group for key, _ in found if key in items.findings().items}
    return next((scale for scale in REFLEX_SCALES if scale in groups), "")


def state_of(visit: Visit, page: str = NEURO) -> str:
    return state_in(found_in(visit), page)


def state_in(found: Found, page: str = NEURO) -> str:
    """A short mark of what is on record for a page: it changes when anybody changes one of the findings."""
    mine = set(sections.every_cell(page))
    said = "|".join(f"{cell}={found[cell]}" for cell in sorted(found) if cell in mine)
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def _table(group: Group, found: Found) -> Table:
    rows = (_row(item, found) for item in group.items)
    scales = [items.findings().scale_of(item) for item in group.items if item.type == "grade"]
    grades = {grade.id: grade.words for scale in scales for grade in scale.grades}
    return Table(
        id=group.id,
        title=group.title,
        scale=", ".join(dict.fromkeys(scale.name for scale in scales)) or "Measured",
        source="; ".join(dict.fromkeys(scale.source for scale in scales)),
        grades=tuple(grades.items()),
        rows=tuple(row for row in rows if row.right.grade or row.left.grade or row.middle.grade),
    )


def _row(item: Item, found: Found) -> Row:
    right, left, middle = (_finding(item, found.get((item.key, side))) for side in (RIGHT, LEFT, MIDDLE))
    return Row(
        key=item.key,
        label=item.label,
        roots=roots_words(item),
        how=item.help,
        unit=item.unit,
        right=right,
        left=left,
        middle=middle,
        difference=difference(item, right.grade, left.grade),
        alike=_outside(item, right.grade, left.grade, middle.grade),
    )


def roots_words(item: Item) -> str:
    return ", ".join(root.replace("_", "-") for root in item.roots)


def _finding(item: Item, said: tuple[str, str] | None) -> Finding:
    if said is None:
        return Finding()
    grade, remark = said
    return Finding(grade, item.words_for(as_number(item, grade)), remark)


def difference(item: Item, right: str, left: str) -> str:
    """How the sides differ, in words: "right 4, left 5". They are compared only where both were tested;
    numbers differ only beyond the error of measurement (sections.toml).
    """
    if right in ("", NOT_TESTED) or left in ("", NOT_TESTED) or right == left:
        return ""
    if item.type == "number":
        here, there = as_number(item, right), as_number(item, left)
        least = sections.load().differs.get(item.key)
        if not isinstance(here, float) or not isinstance(there, float) or least is None:
            return ""
        if abs(here - there) < least:
            return ""
    unit = f" {item.unit}" if item.unit else ""
    return f"right {right}{unit}, left {left}{unit}"


def is_abnormal(item: Item, grade: str) -> bool:
    """Whether a test was done and is outside the normal grades. A number is never called so here."""
    if item.type != "grade" or grade in ("", NOT_TESTED):
        return False
    return grade not in items.findings().scale_of(item).within_normal


def _outside(item: Item, right: str, left: str, middle: str) -> str:
    """What no comparison shows: both sides alike, one with the other not tested, or no sides at all."""
    if is_abnormal(item, middle):
        return middle
    if is_abnormal(item, right) and right == left:
        return f"both sides {right}"
    for side, mine, other in ((RIGHT, right, left), (LEFT, left, right)):
        if is_abnormal(item, mine) and other in ("", NOT_TESTED):
            return f"{side} {mine}, other side {'not tested' if other else 'not recorded'}"
    return ""


def _test_in_words(table: Table, row: Row) -> str:
    # Muscles and tendons in the middle of a sentence; levels and names of tests keep their capital.
    is_named = table.id not in ("strength", *REFLEX_SCALES)
    label = row.label if is_named else row.label[:1].lower() + row.label[1:]
    title = "Tendon reflexes" if table.id in REFLEX_SCALES else table.title
    return f"{title}, {label}{'' if row.label == row.roots or not row.roots else f' ({row.roots})'}"

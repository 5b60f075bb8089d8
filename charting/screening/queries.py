"""Every read of the neurological screen. A visit given here came through the patients' door."""

import hashlib
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from charting.screening import neuro_screen
from charting.screening.models import NeuroFinding
from charting.screening.neuro_screen import Item, Section
from charting.visits.models import Visit

RIGHT, LEFT = NeuroFinding.Side.RIGHT, NeuroFinding.Side.LEFT


@dataclass(frozen=True)
class Finding:
    """One side of one test; `grade` is "" when nothing is on record, "NT" when it was not tested."""

    grade: str = ""
    words: str = ""
    remark: str = ""


@dataclass(frozen=True)
class Row:
    """One test, right and left. `difference` says in words how the sides differ, "" when they do not;
    `alike` how both are outside the normal grades alike, which no comparison of sides would show.
    """

    key: str
    label: str
    roots: str
    how: str
    right: Finding
    left: Finding
    difference: str
    alike: str


@dataclass(frozen=True)
class Table:
    """One section of the screen, as it is shown and printed."""

    id: str
    title: str
    scale: str
    source: str
    grades: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class NeuroTable:
    """The whole screen of one visit."""

    version: str
    tables: tuple[Table, ...]

    @property
    def is_empty(self) -> bool:
        return not any(row.right.grade or row.left.grade for table in self.tables for row in table.rows)

    @property
    def differences(self) -> tuple[str, ...]:
        """Every side difference in words: "Strength, elbow flexors (C5): right 4, left 5"."""
        return tuple(
            f"{_test_in_words(table, row)}: {row.difference}"
            for table in self.tables
            for row in table.rows
            if row.difference
        )

    @property
    def alike(self) -> tuple[str, ...]:
        """Every test that is outside normal on both sides alike: "Reflexes, triceps (C7): both sides 4"."""
        return tuple(
            f"{_test_in_words(table, row)}: {row.alike}"
            for table in self.tables
            for row in table.rows
            if row.alike
        )


def table_of(visit: Visit) -> NeuroTable:
    """The neuro screen with every test, recorded or not. One query."""
    screen = neuro_screen.load()
    found = {(row.item, row.side): row for row in NeuroFinding.objects.filter(visit=visit)}
    return NeuroTable(screen.version, tuple(_table(section, found) for section in screen.sections))


def has_findings() -> Exists:
    """To annotate visits with: whether anything of the screen is on record."""
    return Exists(NeuroFinding.objects.filter(visit=OuterRef("pk")))


def state_of(visit: Visit) -> str:
    return state_in(table_of(visit))


def state_in(table: NeuroTable) -> str:
    """A short mark of the findings on record: it changes when anybody changes one of them."""
    said = "|".join(
        f"{row.key}={row.right.grade}:{row.right.remark}/{row.left.grade}:{row.left.remark}"
        for section in table.tables
        for row in section.rows
    )
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def _table(section: Section, found: dict[tuple[str, str], NeuroFinding]) -> Table:
    return Table(
        id=section.id,
        title=section.title,
        scale=section.scale,
        source=section.source,
        grades=tuple((grade.value, grade.words) for grade in section.grades),
        rows=tuple(_row(section, item, found) for item in section.items),
    )


def _row(section: Section, item: Item, found: dict[tuple[str, str], NeuroFinding]) -> Row:
    right = _finding(section, found.get((item.key, RIGHT)))
    left = _finding(section, found.get((item.key, LEFT)))
    differs, alike = _difference(right, left), _alike(section, right, left)
    return Row(item.key, item.label, item.roots_words, item.how, right, left, differs, alike)


def _finding(section: Section, row: NeuroFinding | None) -> Finding:
    return Finding(row.grade, section.words_for(row.grade), row.remark) if row else Finding()


def _difference(right: Finding, left: Finding) -> str:
    """Sides are compared only where both were tested."""
    untested = ("", neuro_screen.load().not_tested)
    if right.grade in untested or left.grade in untested or right.grade == left.grade:
        return ""
    return f"right {right.grade}, left {left.grade}"


def _alike(section: Section, right: Finding, left: Finding) -> str:
    untested = ("", neuro_screen.load().not_tested)
    if right.grade != left.grade or right.grade in (*untested, *section.within_normal):
        return ""
    return f"both sides {right.grade}"


def _test_in_words(table: Table, row: Row) -> str:
    label = row.label if table.id == "touch" else row.label[:1].lower() + row.label[1:]
    return f"{table.title}, {label}{'' if row.label == row.roots else f' ({row.roots})'}"

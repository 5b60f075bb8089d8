"""What the pages of the examination may use."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from bodymaps.reasoning import items
from bodymaps.reasoning.items import NOT_TESTED, Item, Scale
from charting.drafts.models import Draft
from charting.screening import sections
from charting.screening.forms import Typed, field_name, reflexes_in, where
from charting.screening.queries import NeuroTable, difference, is_abnormal, roots_words, table_in
from charting.screening.reasoned import Reasoned
from charting.screening.sections import EVERYTHING, REFLEX_SCALES, Cell, Section
from charting.screening.services import draft_key
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]
NO_CLASHES: Clashes = ()


@dataclass(frozen=True)
class CellShown:
    """One side of one test: `grades`, the radio buttons as HTML, or the box for a number, and the remark."""

    name: str
    label: str
    side: str
    value: str
    remark: str
    grades: SafeString
    number: Item | None
    asks: str
    says: str
    is_abnormal: bool
    error: str
    remark_error: str

    @property
    def is_untested(self) -> bool:
        return self.value == NOT_TESTED


@dataclass(frozen=True)
class RowShown:
    """One test. `differs` says how the sides differ."""

    key: str
    label: str
    roots: str
    help: str
    caution: str
    cells: tuple[CellShown, ...]
    differs: str
    least: float | None


@dataclass(frozen=True)
class SectionShown:
    """Tests under one heading, with how many are done and how many are outside normal. `normal`: what its
    normal grade is called, "" where there is none.
    """

    id: str
    title: str
    help: str
    scale: Scale | None
    sources: tuple[str, ...]
    rows: tuple[RowShown, ...]
    is_open: bool
    one_tap: bool
    normal: str
    count: int
    done: int
    abnormal: int
    widest: int
    reason_error: str

    @property
    def has_sides(self) -> bool:
        return any(len(row.cells) > 1 for row in self.rows)


@dataclass(frozen=True)
class PartShown:
    id: str
    title: str
    is_shown: bool


@dataclass(frozen=True)
class ScreenPage:
    """The tests for who may record, the table of what is on record for everybody who may read."""

    typed: Typed
    sections: tuple[SectionShown, ...]
    parts: tuple[PartShown, ...]
    table: NeuroTable
    may_write: bool
    draft_key: str
    draft: Draft | None
    clashes: Clashes
    asks_scale: str
    dropped: int
    reasoned: Reasoned | None

    @property
    def scales(self) -> tuple[tuple[str, str, bool], ...]:
        """The two scales of reflexes: id of the table, name, whether it is the one shown."""
        return tuple(
            (group.id, items.findings().scale_of(group.items[0]).name, group.id == self.typed.scale)
            for group in items.findings().groups
            if group.id in REFLEX_SCALES
        )


def screen_page(
    visit: Visit,
    user: User,
    found: Mapping[Cell, tuple[str, str]],
    typed: Typed,
    *,
    draft: Draft | None = None,
    clashes: Clashes = NO_CLASHES,
    asks_scale: str = "",
    reasoned: Reasoned | None = None,
) -> ScreenPage:
    known = sections.load()
    shown = [_section(section, typed) for section in known.on_page(typed.page)]
    every = len(typed.parts) == len(known.parts)
    return ScreenPage(
        typed=typed,
        sections=tuple(section for section in shown if section.rows),
        parts=(
            *(PartShown(part.id, part.title, part.id in typed.parts) for part in known.parts),
            PartShown(EVERYTHING, "Everything", every),
        ),
        table=table_in(found, (typed.page,)),
        may_write=may_write(user, visit),
        draft_key=draft_key(visit, typed.page),
        draft=draft,
        clashes=clashes,
        asks_scale=asks_scale,
        dropped=_dropped(found, typed, asks_scale),
        reasoned=reasoned,
    )


def _dropped(found: Mapping[Cell, tuple[str, str]], typed: Typed, asks_scale: str) -> int:
    """How many reflexes on the other scale would go when this one is taken."""
    other = next((scale for scale in REFLEX_SCALES if scale != asks_scale), "")
    return reflexes_in({**found, **typed.values}, other) if asks_scale else 0


def clashes_of(typed: Typed, current: Mapping[Cell, tuple[str, str]]) -> Clashes:
    """Where what was typed is not what is on record now."""
    mine = typed.findings()
    both = [cell for cell in sections.every_cell(typed.page) if cell in mine or cell in current]
    return tuple(
        (where(*cell), _said(current.get(cell)), _said(mine.get(cell)))
        for cell in both
        if current.get(cell) != mine.get(cell)
    )


def _said(said: tuple[str, str] | None) -> str:
    return ": ".join(part for part in said or () if part)


def section_shown(name: str, typed: Typed) -> SectionShown:
    """One section by its id."""
    return next(_section(each, typed) for each in sections.load().sections if each.id == name)


def _section(section: Section, typed: Typed) -> SectionShown:
    tests = [item for item in section.items if typed.shows(item)]
    rows = tuple(_row(item, section, typed) for item in tests)
    cells = [cell for row in rows for cell in row.cells]
    written = [cell for cell in cells if cell.value or cell.remark or cell.error or cell.remark_error]
    error = typed.problem_of(f"reason_{section.id}")
    return SectionShown(
        id=section.id,
        title=section.title,
        help=section.help if section.id not in REFLEX_SCALES else "",
        scale=section.scale,
        sources=tuple(dict.fromkeys(item.source for item in tests if item.source)),
        rows=rows,
        is_open=section.is_open_with(typed.parts) or bool(written or error),
        one_tap=section.one_tap,
        normal=next(filter(None, map(_normal, tests)), ""),
        count=len(cells),
        done=sum(bool(cell.value) and not cell.is_untested for cell in cells),
        abnormal=sum(cell.is_abnormal for cell in cells),
        widest=max((len(item.choices) for item in tests), default=0),
        reason_error=error,
    )


def _row(item: Item, section: Section, typed: Typed) -> RowShown:
    cells = tuple(_cell(item, cell, typed) for cell in sections.cells(item))
    group = next(each.title for each in items.findings().groups if each.id == item.group)
    differs = difference(item, cells[0].value, cells[1].value) if item.sided else ""
    return RowShown(
        key=item.key,
        label=f"{item.label}, {group.lower()}" if section.several_groups else item.label,
        roots="" if item.label == roots_words(item) else roots_words(item),
        help=item.help,
        caution=item.caution,
        cells=cells,
        differs=differs,
        least=sections.load().differs.get(item.key),
    )


def _cell(item: Item, cell: Cell, typed: Typed) -> CellShown:
    value, remark = typed.values.get(cell, ("", ""))
    name = field_name(*cell)
    return CellShown(
        name=name,
        label=where(*cell),
        side=cell[1],
        value=value,
        remark=remark,
        grades=grades_shown(item.scale, name, value) if item.type == "grade" else SafeString(),
        number=item if item.type == "number" else None,
        asks=sections.load().asks.get(item.key, ""),
        says=_says(item, value),
        is_abnormal=is_abnormal(item, value),
        error=typed.problem_of(name),
        remark_error=typed.problem_of(f"{name}_remark"),
    )


# Every test with every grade, twice over: what a wrong value leaves here is pushed out again.
@lru_cache(maxsize=4096)
def grades_shown(scale: str, name: str, chosen: str) -> SafeString:
    """The radio buttons of one cell. They are half of a large page, and the same at every visit."""
    graded = items.findings().scales[scale]
    told = {"scale": graded, "grades": graded.grades, "name": name, "chosen": chosen}
    return render_to_string("screening/_grades.html", told)


def _normal(item: Item) -> str:
    """What the normal grade of a test is called: "negative", or "normal" where the grade is a number."""
    grade = items.findings().scale_of(item).normal if item.type == "grade" else ""
    return "normal" if grade[:1].isdigit() else grade


def _says(item: Item, value: str) -> str:
    """Words beside what is not normal: what the grade means, where the grade is no word itself; or that it
    was not tested.
    """
    if value == NOT_TESTED:
        return "not tested"
    words = item.words_for(value) if is_abnormal(item, value) else ""
    return "" if words == value else words

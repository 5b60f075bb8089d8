"""What the page of the joints may use."""

from collections.abc import Iterator
from dataclasses import dataclass

from bodymaps.reasoning import accuracy, ranges
from bodymaps.reasoning.accuracy import Accuracy
from bodymaps.reasoning.ranges import EndFeel, Instrument, Joint, Movement
from charting.drafts.models import Draft
from charting.drafts.queries import drafts_of
from charting.examination.forms import JointTyped, where
from charting.examination.joints import JointFound, LastList, joint_cells, last_list
from charting.examination.measured import RangeRow, earlier_of, in_words, range_rows
from charting.examination.range_limits import Taken
from charting.examination.services import draft_key
from charting.examination.shown import MovementShown, RangeCell, apart, movements_shown
from charting.screening.pages import NO_CLASHES, Clashes, RowShown, SectionShown, section_shown
from charting.screening.pages import clashes_of as clashes_of_tests
from charting.screening.queries import NeuroTable, table_in
from charting.screening.sections import JOINT
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write


@dataclass(frozen=True)
class Choice:
    """One joint that can be chosen. `marks`: why it may be next, or what was done of it."""

    id: str
    title: str
    is_shown: bool
    marks: tuple[str, ...]


@dataclass(frozen=True)
class TestShown:
    """A provocation test with what is published of it: `short` on one line, `published` in full."""

    row: RowShown
    short: str
    published: tuple[Accuracy, ...]


@dataclass(frozen=True)
class TestsShown:
    """A group of tests; `others` come after what was tested at the last visit."""

    section: SectionShown
    tests: tuple[TestShown, ...]
    others: tuple[TestShown, ...]


@dataclass(frozen=True)
class JointPage:
    """One joint for who may record; what is on record of all of them for everybody who may read."""

    joint: Joint
    typed: JointTyped
    choices: tuple[Choice, ...]
    instruments: tuple[Instrument, ...]
    end_feels: tuple[EndFeel, ...]
    movements: tuple[MovementShown, ...]
    other_movements: tuple[MovementShown, ...]
    tests: tuple[TestsShown, ...]
    last: LastList | None
    rows: tuple[RangeRow, ...]
    table: NeuroTable
    may_write: bool
    draft_key: str
    draft: Draft | None
    clashes: Clashes = NO_CLASHES

    @property
    def reason_error(self) -> str:
        return self.typed.problem_of("reason_range")

    @property
    def cells(self) -> tuple[RangeCell, ...]:
        return tuple(cell for each in (*self.movements, *self.other_movements) for cell in each.cells)

    @property
    def count(self) -> int:
        return len(self.cells)

    @property
    def done(self) -> int:
        return sum(cell.is_done for cell in self.cells)

    @property
    def painful(self) -> int:
        return sum(cell.says == "painful" for cell in self.cells)


def joint_page(
    visit: Visit,
    user: User,
    found: JointFound,
    typed: JointTyped,
    *,
    drawn: tuple[str, ...] = (),
    clashes: Clashes = NO_CLASHES,
    draft: Draft | None = None,
) -> JointPage:
    """The joint that `typed` shows. Some eight queries."""
    writes = may_write(user, visit)
    last = last_list(visit)
    known = ranges.load()
    held_on = visit.started_at.astimezone(visit.patient.practice.zone).date()
    every = movements_shown(typed, found, earlier_of(visit), visit.patient.age_on(held_on)) if writes else ()
    movements, others = apart(every, typed, last)
    keys = {draft_key(visit, joint.id): joint.id for joint in known.joints}
    unsaved = frozenset(keys[key] for key in drafts_of(user, keys)) if writes else frozenset()
    return JointPage(
        joint=known.joint(typed.joint),
        typed=typed,
        choices=choices(typed, found, drawn, last, unsaved),
        instruments=known.instruments_of(typed.joint),
        end_feels=tuple(known.end_feels.values()),
        movements=movements,
        other_movements=others,
        tests=tests_shown(typed, last) if writes else (),
        last=last,
        rows=() if writes else range_rows(visit),
        table=table_in(found.every_test, (JOINT,)),
        may_write=writes,
        draft_key=draft_key(visit, typed.joint),
        draft=draft,
        clashes=clashes,
    )


def choices(
    typed: JointTyped,
    found: JointFound,
    drawn: tuple[str, ...],
    last: LastList | None,
    unsaved: frozenset[str],
) -> tuple[Choice, ...]:
    """Every joint; of the last list only what is on it, with the one that is shown."""
    known = ranges.load()
    shown = [
        joint
        for joint in known.joints
        if not (typed.as_last and last) or joint.id == typed.joint or last.names(joint)
    ]
    return tuple(
        Choice(
            joint.id,
            joint.title,
            joint.id == typed.joint,
            tuple(_marks(joint, found, drawn, last, unsaved)),
        )
        for joint in shown
    )


def tests_shown(typed: JointTyped, last: LastList | None) -> tuple[TestsShown, ...]:
    groups = ranges.load().joint(typed.joint).tests
    return tuple(_tests(section_shown(group, typed.tests), typed, last) for group in groups)


def clashes_of(typed: JointTyped, current: JointFound) -> Clashes:
    """Where what was typed is not what is on record now."""
    mine = {place: taken for place, taken in typed.taken().items() if not taken.is_empty}
    known = ranges.load().movements
    places = [
        place for place in {**current.readings, **mine} if current.readings.get(place) != mine.get(place)
    ]
    of_range = tuple(
        (
            where(known[name], side),
            _said(known[name], current.readings.get((name, side))),
            _said(known[name], mine.get((name, side))),
        )
        for name, side in places
    )
    return of_range + clashes_of_tests(typed.tests, current.tests)


def _tests(section: SectionShown, typed: JointTyped, last: LastList | None) -> TestsShown:
    every = tuple(_test(row) for row in section.rows)
    if not typed.as_last or last is None:
        return TestsShown(section, every, ())
    first = tuple(each for each in every if each.row.key in last.tests)
    return TestsShown(section, first, tuple(each for each in every if each not in first))


def _test(row: RowShown) -> TestShown:
    found = accuracy.of(row.key)
    alone = next((each for each in found if not each.cluster), None)
    ratios = (("positive", alone.lr_positive), ("negative", alone.lr_negative)) if alone else ()
    said = ", ".join(f"{result} {ratio:.2g}" for result, ratio in ratios if ratio is not None)
    short = f"ratio {said}" if said else "only together with others" if found else accuracy.NO_FIGURE
    return TestShown(row, short, found)


def _marks(
    joint: Joint,
    found: JointFound,
    drawn: tuple[str, ...],
    last: LastList | None,
    unsaved: frozenset[str],
) -> Iterator[str]:
    movements = {movement.id for movement in ranges.load().of(joint.id)}
    tests = set(joint_cells(joint.id))
    if any(name in movements for name, _ in found.every_reading) or tests & set(found.every_test):
        yield "recorded"
    elif joint.id in drawn:
        yield "drawn"
    if joint.id in unsaved:
        yield "not saved"
    if last and last.names(joint):
        yield "last visit"


def _said(movement: Movement, taken: Taken | None) -> str:
    return in_words(movement, taken) if taken else ""

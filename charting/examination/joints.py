"""Joints: what is on record of one, what belongs to it, and which are asked for by what is drawn."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass

from bodymaps import parts as body_parts
from bodymaps.reasoning import items, ranges
from bodymaps.reasoning.ranges import Joint, Movement
from charting.examination.models import RangeReading, Side
from charting.examination.queries import ranges_of
from charting.examination.range_limits import Taken
from charting.screening.models import NeuroFinding
from charting.screening.queries import Found, found_in
from charting.screening.sections import JOINT, Cell, cells, every_cell
from charting.visits.models import Visit

# (movement, side): "" for what has no side
Place = tuple[str, str]


@dataclass(frozen=True)
class JointFound:
    """What is on record of one joint, and `every_test` and `every_reading` of the visit, of the neuro screen
    too. `state`: a short mark that changes when anybody changes one of the joint's findings.
    """

    joint: str
    readings: Mapping[Place, Taken]
    tests: Mapping[Cell, tuple[str, str]]
    every_test: Found
    every_reading: Mapping[Place, Taken]

    @property
    def other_tests(self) -> dict[Cell, tuple[str, str]]:
        """The tests of the other joints."""
        of_joints = set(every_cell(JOINT)) - set(joint_cells(self.joint))
        return {cell: said for cell, said in self.every_test.items() if cell in of_joints}

    @property
    def state(self) -> str:
        said = "|".join(f"{key}={value}" for key, value in sorted({**self.readings, **self.tests}.items()))
        return hashlib.sha256(said.encode()).hexdigest()[:16]


@dataclass(frozen=True)
class LastList:
    """The last visit before this one with anything of joints on record: the day, movements and tests."""

    on: str
    movements: frozenset[str]
    tests: frozenset[str]

    def names(self, joint: Joint) -> bool:
        """Whether a joint is on the list."""
        mine = {movement.id for movement in ranges.load().of(joint.id)}
        return bool(mine & self.movements) or any(key in self.tests for key, _ in joint_cells(joint.id))


def joint_of(visit: Visit, joint: str) -> JointFound:
    """Two queries."""
    found = found_in(visit)
    rows = {(row.movement, row.side): taken_in(row) for row in ranges_of(visit)}
    mine = {movement.id for movement in ranges.load().of(joint)}
    tests = set(joint_cells(joint))
    return JointFound(
        joint=joint,
        readings={place: taken for place, taken in rows.items() if place[0] in mine},
        tests={cell: said for cell, said in found.items() if cell in tests},
        every_test=found,
        every_reading=rows,
    )


def taken_in(row: RangeReading) -> Taken:
    return Taken(**{name: getattr(row, name) for name in asdict(Taken())})


def joint_cells(joint: str) -> list[Cell]:
    """Each place of a joint's tests that can be written down. Raises KeyError for an unknown joint."""
    groups = ranges.load().joint(joint).tests
    shown = [group for group in items.findings().on_page(JOINT) if group.id in groups]
    return [cell for group in shown for item in group.items for cell in cells(item)]


def joint_with(key: str) -> str:
    """The joint on whose page a test or a movement stands, "" where it stands on another page.

    Raises KeyError for an unknown finding.
    """
    group = items.findings().items[key].group
    return next((each.id for each in ranges.load().joints if group in (*each.tests, f"range_{each.id}")), "")


def sides_of(movement: Movement) -> tuple[str, ...]:
    return (Side.RIGHT.value, Side.LEFT.value) if movement.sided else ("",)


def drawn_joints(drawn: Iterable[str]) -> tuple[str, ...]:
    """The joints for which the parts drawn on ask ("hand right"), those whose own part is drawn on first."""
    touched = {body_parts.part(key).id for key in drawn}
    near = {
        joint.id: min((joint.drawn.index(part) for part in touched & set(joint.drawn)), default=None)
        for joint in ranges.load().joints
    }
    hit = [(rank, name) for name, rank in near.items() if rank is not None]
    return tuple(name for _, name in sorted(hit, key=lambda each: each[0]))


def last_list(visit: Visit) -> LastList | None:
    """What to examine again; None when nothing of joints was recorded before. Four queries at most."""
    before = {"visit__patient": visit.patient_id, "visit__started_at__lt": visit.started_at}
    tests = {key for key, _ in every_cell(JOINT)}
    rows = RangeReading.objects.filter(**before).select_related("visit")
    found = NeuroFinding.objects.filter(**before, item__in=tests).select_related("visit")
    newest = "-visit__started_at"
    last = [each.visit for each in (rows.order_by(newest).first(), found.order_by(newest).first()) if each]
    if not last:
        return None
    held = max(last, key=lambda each: each.started_at)
    day = held.started_at.astimezone(visit.patient.practice.zone)
    return LastList(
        on=f"{day.day} {day:%B %Y}",
        movements=frozenset(rows.filter(visit=held).values_list("movement", flat=True)),
        tests=frozenset(found.filter(visit=held).values_list("item", flat=True)),
    )


def last_instrument(visit: Visit, joint: str) -> str:
    """What a joint was last measured with before this visit, "" when it was not. One query."""
    movements = [movement.id for movement in ranges.load().of(joint)]
    before = RangeReading.objects.filter(
        visit__patient=visit.patient_id, visit__started_at__lt=visit.started_at, movement__in=movements
    )
    newest = before.exclude(instrument="").order_by("-visit__started_at", "pk")
    return newest.values_list("instrument", flat=True).first() or ""

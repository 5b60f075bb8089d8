"""Every write of what the examining hand found."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any

from django.db import transaction
from django.db.models import F

from bodymaps.atlas import Atlas
from bodymaps.reasoning import ranges
from bodymaps.reasoning.felt import NO
from charting.audit.services import record
from charting.drafts.services import forget
from charting.examination import felt_limits, range_limits
from charting.examination.felt_limits import WrongFinding
from charting.examination.joints import JointFound, Place, joint_cells, joint_of, sides_of
from charting.examination.models import MuscleFinding, RangeReading, Side
from charting.examination.range_limits import Taken
from charting.screening.queries import state_in
from charting.screening.sections import JOINT, Cell
from charting.screening.services import record_findings
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open

# Joints


@transaction.atomic
def record_joints(
    *,
    who: User,
    visit: Visit,
    joint: str,
    state: str,
    readings: Mapping[Place, Taken],
    tests: Mapping[Cell, tuple[str, str]],
) -> None:
    """Make these the readings and tests of one joint of the visit: by (movement, side), and by (test, side)
    the grade with its remark. What is on record of other joints stays.

    Raises ValueError for an unknown joint, movement, side or test; WrongReading with the part that can't
    stay; Stale when somebody recorded this joint since `state`; VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    kept = {place: taken for place, taken in readings.items() if not taken.is_empty}
    for place, taken in kept.items():
        _check_reading(joint, place, taken)
    if strange := set(tests) - set(joint_cells(joint)):
        raise ValueError(f"no tests of {joint}: {strange}")
    on_record = joint_of(visit, joint)
    if on_record.state != state:
        raise Stale(visit)
    _keep_readings(who, visit, joint, on_record, kept)
    if dict(tests) != on_record.tests:
        record_findings(
            who=who,
            visit=visit,
            state=state_in(on_record.every_test, JOINT),
            findings={**on_record.other_tests, **tests},
            page=JOINT,
        )
    forget(who=who, key=draft_key(visit, joint))


def draft_key(visit: Visit, joint: str) -> str:
    return f"joint:{visit.pk}:{joint}"


def _check_reading(joint: str, place: Place, taken: Taken) -> None:
    name, side = place
    movement = ranges.load().movements.get(name)
    if movement is None or movement.joint != joint or side not in sides_of(movement):
        raise ValueError(f"{name} {side} is no movement of {joint}")
    range_limits.check(movement, taken)


def _keep_readings(
    who: User, visit: Visit, joint: str, on_record: JointFound, kept: Mapping[Place, Taken]
) -> None:
    changed = [place for place, taken in kept.items() if on_record.readings.get(place) != taken]
    gone = [place for place in on_record.readings if place not in kept]
    RangeReading.objects.bulk_create(
        [
            RangeReading(visit=visit, movement=place[0], side=place[1], **asdict(kept[place]))
            for place in changed
        ],
        update_conflicts=True,
        unique_fields=["visit", "movement", "side"],
        update_fields=[part.name for part in fields(Taken)],
    )
    for name, side in gone:
        RangeReading.objects.filter(visit=visit, movement=name, side=side).delete()
    if changed or gone:
        named = {"changed": _named(changed), "taken_out": _named(gone)}
        record(who=who, did="recorded range", what=visit, joint=joint, ranges=ranges.load().version, **named)


def _named(places: Iterable[Place]) -> list[str]:
    return ["/".join(part for part in place if part) for place in places]


# Muscles

# A visit is no survey of the whole body, and a list this long is never felt through.
MOST_LINES = 60
NOTHING_FOUND = {"band": NO, "spot": NO, "referral": NO}


class ListFull(ValueError):
    """More muscles than a visit can hold."""

    def __init__(self) -> None:
        super().__init__(
            f"A visit holds at most {MOST_LINES} muscles. Remove one that is not examined first."
        )


class NotRemovable(ValueError):
    """The muscle was examined: what was found stays on record."""

    def __init__(self) -> None:
        super().__init__(
            "Something is recorded of this muscle, so it stays on the list. Take that back first."
        )


@dataclass(frozen=True)
class MuscleLine:
    """One place on the list: ids of the atlas; a site of "" is the muscle as a whole."""

    muscle: str
    side: str
    site: str = ""


@transaction.atomic
def add_muscles(
    *, who: User, visit: Visit, lines: Sequence[MuscleLine], known: Atlas, after: MuscleFinding | None = None
) -> tuple[MuscleFinding, ...]:
    """Put muscles on the list, at its end or after one of it, and give all of them: what is there already
    stays where it is.

    Raises WrongFinding for a muscle, side or site that the atlas does not know, ListFull, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    for line in lines:
        _check_line(line, known)
    there = {_place(row): row for row in MuscleFinding.objects.filter(visit=visit)}
    new = list(dict.fromkeys(line for line in lines if line not in there))
    if len(there) + len(new) > MOST_LINES:
        raise ListFull
    start = after.position if after else max((row.position for row in there.values()), default=0)
    MuscleFinding.objects.filter(visit=visit, position__gt=start).update(position=F("position") + len(new))
    for position, line in enumerate(new, start + 1):
        there[line] = MuscleFinding.objects.create(visit=visit, position=position, **asdict(line))
    if new:
        record(who=who, did="listed muscles", what=visit, muscles=[_line_words(line) for line in new])
    return tuple(there[line] for line in dict.fromkeys(lines))


@transaction.atomic
def record_muscle(
    *,
    who: User,
    visit: Visit,
    finding: MuscleFinding,
    version: int,
    changes: Mapping[str, Any],
    known: Atlas,
) -> MuscleFinding:
    """Keep signs, strength, pain, pressure, remark and site of one muscle; what is not named stays. A sign
    of "" takes it back.

    Sending the same again changes nothing, whatever the version. Raises WrongFinding with the field, Stale
    with the row as it stands when somebody saved since `version`, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    felt_limits.check({name: value for name, value in changes.items() if name != "site"})
    row = MuscleFinding.objects.get(pk=finding.pk, visit=visit)
    _check_site(row, changes.get("site", row.site), known)
    changed = sorted(name for name in changes if _held(row, name) != changes[name])
    if changed:
        save_if_current(row, version=version, **_columns(row, changes))
        muscle = _line_words(_place(row))
        record(who=who, did="recorded muscle", what=visit, muscle=muscle, changed=changed)
    return row


@transaction.atomic
def nothing_in(*, who: User, visit: Visit, findings: Mapping[int, int]) -> int:
    """Say of every muscle named (row to version) that it was felt and nothing found. How many they were.

    Raises Stale when one of them was examined, changed or removed meanwhile: nothing is then written.
    """
    require(who, "treat")
    require_open(visit)
    rows = list(MuscleFinding.objects.filter(visit=visit, pk__in=findings, signs={}, pain=None, pressure={}))
    if not findings or len(rows) != len(findings):
        raise Stale(visit)
    for row in rows:
        save_if_current(row, version=findings[row.pk], signs=dict(NOTHING_FOUND))
    muscles = [_line_words(_place(row)) for row in rows]
    record(who=who, did="found nothing in muscles", what=visit, muscles=muscles)
    return len(rows)


@transaction.atomic
def remove_muscle(*, who: User, visit: Visit, finding: MuscleFinding) -> None:
    """Take a muscle off the list that was not examined. Raises NotRemovable, VisitSigned."""
    require(who, "treat")
    require_open(visit)
    row = MuscleFinding.objects.select_for_update().get(pk=finding.pk, visit=visit)
    if row.signs or row.pain is not None or row.pressure or row.remark:
        raise NotRemovable
    record(who=who, did="took muscle off list", what=visit, muscles=[_line_words(_place(row))])
    row.delete()
    MuscleFinding.objects.filter(visit=visit, position__gt=row.position).update(position=F("position") - 1)


def _check_line(line: MuscleLine, known: Atlas) -> None:
    if line.muscle not in known.muscles:
        raise WrongFinding("muscle", "The atlas does not know this muscle.")
    if line.side not in Side.values:
        raise WrongFinding("side", "Choose right or left.")
    if line.site and line.site not in {site.id for site in known.muscles[line.muscle].sites}:
        raise WrongFinding("site", "The atlas does not know this place of the muscle.")


def _check_site(row: MuscleFinding, site: str, known: Atlas) -> None:
    if site == row.site:
        return
    _check_line(MuscleLine(row.muscle, row.side, site), known)
    taken = MuscleFinding.objects.filter(visit=row.visit_id, muscle=row.muscle, side=row.side, site=site)
    other = taken.first()
    if other:
        raise WrongFinding("site", f"This place is on the list already, as number {other.position}.")


def _columns(row: MuscleFinding, changes: Mapping[str, Any]) -> dict[str, Any]:
    """The changes by column: signs and strength stand in one."""
    own = {name: value for name, value in changes.items() if name in _COLUMNS}
    signs = {**row.signs, **{name: value for name, value in changes.items() if name not in _COLUMNS}}
    return {**own, "signs": {name: value for name, value in signs.items() if value}}


_COLUMNS = ("pain", "pressure", "remark", "site")


def _held(row: MuscleFinding, name: str) -> Any:
    return getattr(row, name) if name in _COLUMNS else row.signs.get(name, "")


def _place(row: MuscleFinding) -> MuscleLine:
    return MuscleLine(row.muscle, row.side, row.site)


def _line_words(line: MuscleLine) -> str:
    return ".".join(part for part in (line.muscle, line.side, line.site) if part)

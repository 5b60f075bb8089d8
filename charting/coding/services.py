"""Every write of diagnosis codes. Which code is chosen is the clinician's word; what may not stand is
refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from charting.audit.services import record
from charting.coding import excludes, table
from charting.coding.cautions import cautions_of
from charting.coding.models import DiagnosisCode
from charting.coding.queries import codes_of, evidence_of, last_codes_before
from charting.coding.refusals import Excluded, Gone, NeedsReason, NotBillable, Refusal, TooLong, Unknown
from charting.coding.table import Entry
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.services import require_open

LONGEST_REASON = DiagnosisCode._meta.get_field("reason").max_length or 0
FIRST, UP, DOWN = MOVES = ("first", "up", "down")


@dataclass(frozen=True)
class Carried:
    """What was taken over from the last visit, and what was not, with why."""

    taken: tuple[DiagnosisCode, ...]
    left: tuple[Refusal, ...]


@transaction.atomic
def choose(*, who: User, visit: Visit, code: str, reason: str = "") -> DiagnosisCode:
    """Put a code last among those of the visit. `reason`: why it is kept in spite of what speaks against
    it. One that is there already gets the cautions of today, and the reason.

    Raises a Refusal: Unknown, NotBillable, Excluded, NeedsReason, TooLong; VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    entry = _billable(code)
    held = {row.code: row for row in codes_of(visit)}
    _check_pairs(entry, held)
    cautions = [each.words for each in cautions_of(entry, evidence_of(visit))]
    if cautions and not reason:
        raise NeedsReason(entry, cautions_of(entry, evidence_of(visit)))
    if len(reason) > LONGEST_REASON:
        raise TooLong(entry, cautions_of(entry, evidence_of(visit)), len(reason))
    row = held.get(entry.code) or DiagnosisCode(
        visit=visit, code=entry.code, position=len(held), chosen_by=who
    )
    row.title, row.release = entry.title, table.load().release
    row.cautions, row.reason = cautions, reason if cautions else ""
    row.save()
    record(who=who, did="chose a diagnosis code", what=row, visit=str(visit.pk), cautions=len(cautions))
    return row


@transaction.atomic
def take_out(*, who: User, visit: Visit, code: str) -> None:
    """Take a code out again. Raises Gone where it is not there; VisitSigned."""
    require(who, "treat")
    require_open(visit)
    rows = list(codes_of(visit))
    row = _of(rows, code)
    rows.remove(row)
    record(who=who, did="took out a diagnosis code", what=row, visit=str(visit.pk))
    row.delete()
    _number(rows)


@transaction.atomic
def move(*, who: User, visit: Visit, code: str, to: str) -> None:
    """Make a code the main one, or move it by one place. `to`: one of MOVES. Raises Gone, VisitSigned."""
    require(who, "treat")
    require_open(visit)
    rows = list(codes_of(visit))
    row = _of(rows, code)
    place = rows.index(row)
    rows.remove(row)
    rows.insert({FIRST: 0, UP: max(place - 1, 0)}.get(to, place + 1), row)
    _number(rows)
    record(who=who, did="moved a diagnosis code", what=row, visit=str(visit.pk))


@transaction.atomic
def carry_over(*, who: User, visit: Visit) -> Carried:
    """Choose the codes of the last visit about the same complaint, in their order, each checked anew. One
    that is cautioned against is taken over with its reason only where the same was said then. Raises
    VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    taken: list[DiagnosisCode] = []
    left: list[Refusal] = []
    held = {row.code for row in codes_of(visit)}
    for last in last_codes_before(visit):
        if last.code in held:
            continue
        try:
            taken.append(choose(who=who, visit=visit, code=last.code, reason=_reason_again(last, visit)))
        except Refusal as problem:
            left.append(problem)
    return Carried(tuple(taken), tuple(left))


def _reason_again(last: DiagnosisCode, visit: Visit) -> str:
    entry = table.load().entry(last.code)
    now = [each.words for each in cautions_of(entry, evidence_of(visit))] if entry else []
    return last.reason if now and now == last.cautions else ""


def _billable(code: str) -> Entry:
    entry = table.load().entry(code)
    if entry is None:
        raise Unknown(code)
    if not entry.billable:
        raise NotBillable(entry)
    return entry


def _check_pairs(entry: Entry, held: dict[str, DiagnosisCode]) -> None:
    known = table.load()
    others = filter(None, (known.entry(code) for code in held if code != entry.code))
    found = [pair for other in others for pair in excludes.pairs((entry, other), excludes.NEVER)]
    if found:
        raise Excluded(entry, tuple(found))


def _of(rows: Sequence[DiagnosisCode], code: str) -> DiagnosisCode:
    for row in rows:
        if row.code == code:
            return row
    raise Gone(code)


def _number(rows: Sequence[DiagnosisCode]) -> None:
    for position, row in enumerate(rows):
        if row.position != position:
            row.position = position
            row.save(update_fields=["position"])

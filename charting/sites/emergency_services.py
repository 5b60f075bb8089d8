"""A chart opened in an emergency: with a reason, for an hour, and loudly (45 CFR 164.312(a)(2)(ii))."""

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.patients.access import patients_of
from charting.patients.models import EmergencyAccess, Patient
from charting.sites import emergency_queries as queries
from charting.sites.emergency_queries import LASTS, OVERSEES, RIGHT, TRIED, Sought
from charting.staff.models import User
from charting.staff.rights import require

SHORTEST_REASON, LONGEST = 10, 500


class NotOpened(Exception):
    """Nothing was opened; the text says why."""


class KnownAnyway(Exception):
    """The person is seen where the user works, or stands open to them already."""

    def __init__(self, patient: Patient) -> None:
        super().__init__("open without an emergency")
        self.patient = patient


class MustWait(Exception):
    def __init__(self, until: datetime) -> None:
        super().__init__("too many tries")
        self.until = until


class NotKept(Exception):
    """The text says what to mend."""


def open_chart(*, who: User, sought: Sought, reason: str) -> EmergencyAccess:
    """Open the chart of somebody who is seen at another site. Each try counts and is written down, also one
    that finds nobody; without a reason nothing is looked up.

    Raises NotOpened, KnownAnyway, MustWait, PermissionDenied.
    """
    require(who, RIGHT)
    if who.every_site:
        raise NotOpened("You work at every site: every record of the practice is open to you.")
    if len(reason.strip()) < SHORTEST_REASON:
        raise NotOpened(f"Write the reason, in at least {SHORTEST_REASON} characters.")
    with transaction.atomic():
        found = _try(who, sought, reason.strip()[:LONGEST])
    if isinstance(found, EmergencyAccess):
        return found
    if found > 1:
        raise NotOpened("More than one person is meant. Enter the record number.")
    raise NotOpened("Nobody of the practice is meant by this. That you looked was written down.")


def _try(who: User, sought: Sought, reason: str) -> EmergencyAccess | int:
    """The opening, or how many people were meant. Tries of one person take turns."""
    User.objects.select_for_update().get(pk=who.pk)
    if until := queries.next_try_at(who):
        raise MustWait(until)
    people = queries.meant(who, sought)
    if len(people) != 1:
        record(who=who, did=TRIED, what=who, meant=len(people))
        return len(people)
    if patients_of(who).filter(pk=people[0].pk).exists():
        raise KnownAnyway(people[0])
    now = timezone.now()
    row = EmergencyAccess.objects.create(
        patient=people[0], user=who, reason=reason, began_at=now, expires_at=now + LASTS
    )
    told = {"emergency": str(row.pk), "until": row.expires_at.isoformat()}
    record(who=who, did="opened chart in an emergency", what=people[0], **told)
    return row


@transaction.atomic
def end(*, who: User, access: EmergencyAccess) -> None:
    """End it now: by who opened it, or an owner. A second tap changes nothing. Raises PermissionDenied."""
    if access.user_id != who.pk:
        require(who, OVERSEES)
    row = EmergencyAccess.objects.select_for_update().get(pk=access.pk)
    if row.patient.practice_id != who.practice_id:
        raise PermissionDenied("This belongs to another practice.")
    if row.ended_at is None:
        _end(who, row)


@transaction.atomic
def look_at(*, who: User, access: EmergencyAccess, remark: str) -> None:
    """An owner has looked and says what they made of it. The same said by two at once is kept once.

    Raises NotKept; PermissionDenied.
    """
    require(who, OVERSEES)
    row = EmergencyAccess.objects.select_for_update().get(pk=access.pk)
    if row.patient.practice_id != who.practice_id:
        raise PermissionDenied("This belongs to another practice.")
    remark = remark.strip()
    if row.looked_at:
        raise NotKept(f"{row.looked_by} has looked at it already and wrote: {row.remark}")
    if not remark or len(remark) > LONGEST:
        raise NotKept(f"Write what you made of it, in at most {LONGEST} characters.")
    if row.user_id == who.pk and not queries.is_only_owner(who):
        raise NotKept("You opened it yourself. Another owner of the practice looks at it.")
    if row.ended_at is None and row.expires_at > timezone.now():
        raise NotKept("It stands open still. End it first, or wait until its time is over.")
    row.looked_at, row.looked_by, row.remark = timezone.now(), who, remark
    row.save(update_fields=["looked_at", "looked_by", "remark"])
    if row.ended_at is None:
        _end(who, row)
    record(who=who, did="looked at emergency opening", what=row, patient=str(row.patient_id))


def _end(who: User, row: EmergencyAccess) -> None:
    """At the end of its time, when that is over."""
    row.ended_at = min(row.expires_at, timezone.now())
    row.save(update_fields=["ended_at"])
    told = {"emergency": str(row.pk), "ended": row.ended_at.isoformat()}
    record(who=who, did="ended opening in an emergency", what=row.patient, **told)

"""Every read of charts that were opened in an emergency."""

import uuid
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Count, F, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.patients.models import EmergencyAccess, Patient
from charting.patients.names import folded
from charting.patients.queries import stands_as
from charting.staff.models import User
from charting.staff.rights import may

RIGHT, OVERSEES = "break glass", "keep sites"
# Common practice, no standard: long enough to treat somebody who fell ill, too short to become a habit.
LASTS = timedelta(minutes=60)
# So many tries of one person within this time, whether they found somebody or not.
TRIES, WITHIN = 10, timedelta(hours=1)
TRIED = "tried to open a chart in an emergency"
MOST = 200


@dataclass(frozen=True)
class Sought:
    """Whom somebody looks for: a record number, or a full name with the date of birth."""

    number: int | None
    name: str
    birth_date: date | None


def may_open(user: User) -> bool:
    """Who works at every site has nothing to open."""
    return not user.every_site and may(user, RIGHT)


def meant(user: User, sought: Sought) -> tuple[Patient, ...]:
    """Everybody of the practice who is meant, at whatever site: the one read that asks no site. For
    emergency_services alone, which writes each of its questions down. A merged record means the one it is in.
    """
    people = Patient.objects.filter(practice=user.practice_id).select_related("merged_into")
    if sought.number is not None:
        found = people.filter(record_number=sought.number)
    elif sought.birth_date is None:
        return ()
    else:
        found = people.filter(search_name=folded(sought.name), birth_date=sought.birth_date)
    return tuple({stands_as(one).pk: stands_as(one) for one in found}.values())


def next_try_at(user: User) -> datetime | None:
    """When this person may try again; None: now. Two queries."""
    since = timezone.now() - WITHIN
    told = AuditEntry.objects.filter(object_type="user", object_id=str(user.pk), action=TRIED, at__gt=since)
    opened = EmergencyAccess.objects.filter(user=user, began_at__gt=since)
    times = sorted((*told.values_list("at", flat=True), *opened.values_list("began_at", flat=True)))
    return times[-TRIES] + WITHIN if len(times) >= TRIES else None


def open_now(user: User) -> QuerySet[EmergencyAccess]:
    """What stands open to this user in an emergency."""
    rows = EmergencyAccess.objects.filter(user=user, ended_at=None, expires_at__gt=timezone.now())
    return rows.select_related("patient")


def own_access(user: User, access_id: uuid.UUID) -> EmergencyAccess:
    """For who opened it, and for an owner. Raises Http404."""
    rows = EmergencyAccess.objects.filter(patient__practice=user.practice_id).select_related("patient")
    return get_object_or_404(rows if may(user, OVERSEES) else rows.filter(user=user), pk=access_id)


def accesses_of(user: User) -> QuerySet[EmergencyAccess]:
    """All of the practice, those nobody has looked at first, then the newest."""
    if not may(user, OVERSEES):
        return EmergencyAccess.objects.none()
    rows = EmergencyAccess.objects.filter(patient__practice=user.practice_id)
    first = F("looked_at").desc(nulls_first=True)
    return rows.select_related("patient", "user", "looked_by").order_by(first, "-began_at")


def waiting_for(user: User) -> tuple[EmergencyAccess, ...]:
    """What no owner has looked at yet. One query, and none for who oversees nothing."""
    return tuple(accesses_of(user).filter(looked_at=None)) if may(user, OVERSEES) else ()


def access_for(user: User, access_id: uuid.UUID) -> EmergencyAccess:
    """Raises Http404."""
    return get_object_or_404(accesses_of(user), pk=access_id)


def done_in(access: EmergencyAccess) -> tuple[AuditEntry, ...]:
    """What was opened and written while it lasted: the rows of the trail that say so. One query."""
    rows = AuditEntry.objects.filter(
        practice_id=access.patient.practice_id,
        at__gte=access.began_at,
        at__lte=access.expires_at,
        actor_id=access.user_id,
        detail__emergency=str(access.pk),
    )
    return tuple(rows.order_by("at", "pk")[:MOST])


def tries_in_vain(user: User, since: datetime) -> tuple[Any, ...]:
    """Who looked for somebody in an emergency and found nobody: {"actor", "count"}. One query."""
    rows = AuditEntry.objects.filter(practice_id=user.practice_id, at__gt=since, action=TRIED)
    return tuple(rows.order_by("actor").values("actor").annotate(count=Count("pk")))


def is_only_owner(user: User) -> bool:
    others = User.objects.filter(practice=user.practice_id, is_active=True).exclude(pk=user.pk)
    return not any(may(one, OVERSEES) for one in others)

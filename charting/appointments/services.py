"""Every write to an appointment. Each holds the row of the person first, so that two desks take turns."""

import uuid
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.appointments.queries import MOST_MINUTES, State, taken
from charting.appointments.times import in_words
from charting.audit.services import record
from charting.contacts import services as contacts
from charting.contacts.models import Contact
from charting.episodes.services import About
from charting.patients.access import patients_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may, require
from charting.versioning import Stale, save_if_current
from charting.visits import services as visits
from charting.visits.models import Visit

LONGEST_REASON = 160
LONGEST_WHY = 300
WAITS = (State.BOOKED, State.ARRIVED)


class NotKept(Exception):
    """Why an appointment was not made or changed, in words for the page."""


class Taken(Exception):
    """Somebody is expected then already: asked about once, never refused."""

    def __init__(self, appointments: tuple[Appointment, ...]) -> None:
        super().__init__("somebody is expected then already")
        self.appointments = appointments


@transaction.atomic
def make(
    *,
    who: User,
    patient: Patient,
    id: uuid.UUID,  # noqa: A002 - the name of the column
    clinician: User,
    starts_at: datetime,
    minutes: int,
    reason: str,
    all_the_same: bool = False,
) -> Appointment:
    """Set a time aside for a person. The same `id` sent again gives the one made before.

    Raises Taken unless `all_the_same`; NotKept; PermissionDenied.
    """
    _lock(who, patient)
    before = Appointment.objects.filter(pk=id).first()
    if before and before.patient_id != patient.pk:
        raise NotKept("Open this page once more: its number was used already.")
    if before:
        return before
    row = Appointment(id=id, patient=patient, made_by=who, clinician=clinician, starts_at=starts_at)
    row.minutes, row.reason = minutes, reason.strip()
    _check(who, row, all_the_same)
    row.save(force_insert=True)
    record(who=who, did="made appointment", what=row, patient=str(patient.pk), clinician=clinician.pk)
    return row


@transaction.atomic
def change(
    *,
    who: User,
    appointment: Appointment,
    version: int,
    clinician: User,
    starts_at: datetime,
    minutes: int,
    reason: str,
    all_the_same: bool = False,
) -> Appointment:
    """Move it, or change whom it is with and what for. On another day nobody is here yet.

    Raises Stale when somebody changed it since `version`; Taken unless `all_the_same`; NotKept.
    """
    now = _lock_row(who, appointment, version, WAITS)
    said = {"clinician": clinician, "starts_at": starts_at, "minutes": minutes, "reason": reason.strip()}
    changed = sorted(name for name, value in said.items() if getattr(now, name) != value)
    moved = _day(now) != _day(now, starts_at)
    for name, value in said.items():
        setattr(now, name, value)
    _check(who, now, all_the_same)
    away = {"state": State.BOOKED, "arrived_at": None} if moved else {}
    save_if_current(now, version=version, **said, **away)
    record(who=who, did="changed appointment", what=now, fields=changed, version=now.version)
    return now


@transaction.atomic
def arrive(*, who: User, appointment: Appointment, version: int) -> Appointment:
    """The person is here. After a miss: came all the same, and the line in the log is corrected.

    Raises Stale; NotKept on another day than that of the appointment.
    """
    now = _lock_row(who, appointment, version, (*WAITS, State.NOSHOW), done=State.ARRIVED)
    if now.state == State.ARRIVED:
        return now
    if _day(now) != _day(now, timezone.now()):
        raise NotKept("This appointment is on another day. Move it to today first.")
    if now.state == State.NOSHOW:
        _correct_line(who, now)
    save_if_current(now, version=version, state=State.ARRIVED, arrived_at=timezone.now(), ended_why="")
    record(who=who, did="marked here", what=now)
    return now


@transaction.atomic
def not_here(*, who: User, appointment: Appointment, version: int) -> Appointment:
    """Marked as here by mistake: expected again. Raises Stale; NotKept."""
    now = _lock_row(who, appointment, version, WAITS, done=State.BOOKED)
    if now.state == State.ARRIVED:
        save_if_current(now, version=version, state=State.BOOKED, arrived_at=None)
        record(who=who, did="marked not here", what=now)
    return now


@transaction.atomic
def cancel(
    *, who: User, appointment: Appointment, version: int, why: str, needs_follow_up: bool = False
) -> Appointment:
    """Cancel it, saying why; the contact log says so too. Raises Stale; NotKept."""
    return _end(who, appointment, version, State.CANCELLED, why.strip(), needs_follow_up)


@transaction.atomic
def miss(
    *, who: User, appointment: Appointment, version: int, why: str = "", needs_follow_up: bool = False
) -> Appointment:
    """The person did not come; the contact log says so too. Raises Stale; NotKept before its time."""
    return _end(who, appointment, version, State.NOSHOW, why.strip(), needs_follow_up)


@transaction.atomic
def begin(
    *,
    who: User,
    appointment: Appointment,
    id: uuid.UUID,  # noqa: A002 - that of the visit
    about: About = visits.NOTHING_SAID,
) -> Visit:
    """Begin the visit of an appointment today: with `who`, or for who may not treat, with its clinician.

    The same `id` sent again gives the visit begun before. Raises NotKept; AskWhich and NotDone of episodes.
    """
    require(who, "register")
    _lock(who, appointment.patient)
    now = Appointment.objects.select_for_update().select_related(None).get(pk=appointment.pk)
    if now.visit and now.visit.pk == id:
        return now.visit
    if now.state not in WAITS:
        raise NotKept(f"This appointment is not waiting any more: {now.get_state_display().lower()}.")
    if _day(now) != _day(now, timezone.now()):
        raise NotKept("This appointment is on another day. Move it to today first.")
    with_whom = who if may(who, "treat") else now.clinician
    visit = visits.start(who=who, patient=now.patient, clinician=with_whom, id=id, about=about)
    arrived = now.arrived_at or visit.started_at
    save_if_current(now, version=now.version, state=State.FULFILLED, visit=visit, arrived_at=arrived)
    record(who=who, did="began appointment", what=now, visit=str(visit.pk))
    return visit


def _lock(who: User, patient: Patient) -> None:
    require(who, "register")
    if not patients_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")


def _lock_row(
    who: User, appointment: Appointment, version: int, states: tuple[str, ...], *, done: str = ""
) -> Appointment:
    """The row as it stands. One that is `done` already is no clash: a second tap changes nothing."""
    _lock(who, appointment.patient)
    now = Appointment.objects.select_for_update().get(pk=appointment.pk)
    if now.state == done:
        return now
    if now.version != version:
        raise Stale(now)
    if now.state not in states:
        raise NotKept(f"This appointment can't be changed any more: {now.get_state_display().lower()}.")
    return now


def _check(who: User, row: Appointment, all_the_same: bool) -> None:
    # Two desks that fill the same time of one clinician take turns here.
    clinician = User.objects.select_for_update().get(pk=row.clinician_id)
    if clinician.practice_id != who.practice_id or not may(clinician, "treat"):
        raise PermissionDenied(f"{clinician} does not treat patients here.")
    if not clinician.every_site and not patients_of(clinician).filter(pk=row.patient_id).exists():
        raise NotKept(
            f"{clinician} works at none of the sites where this person is seen. Choose somebody else, or say "
            "on the page of the person that they are seen there too."
        )
    if not 0 < row.minutes <= MOST_MINUTES:
        raise NotKept(f"An appointment lasts from 1 to {MOST_MINUTES} minutes.")
    if len(row.reason) > LONGEST_REASON:
        raise NotKept(f"Write the reason in at most {LONGEST_REASON} characters.")
    found = taken(row)
    if found and not all_the_same:
        known = set(patients_of(who).filter(pk__in=[each.patient_id for each in found]).values_list("pk"))
        for each in found:
            each.is_named = (each.patient_id,) in known
        raise Taken(found)


def _end(
    who: User, appointment: Appointment, version: int, state: str, why: str, needs_follow_up: bool
) -> Appointment:
    require(who, "log contacts")
    now = _lock_row(who, appointment, version, WAITS, done=state)
    if now.state == state:
        return now
    if state == State.NOSHOW and now.starts_at > timezone.now():
        raise NotKept("Its time has not come yet. Cancel it if the person will not come.")
    if len(why) > LONGEST_WHY or (state == State.CANCELLED and not why):
        raise NotKept(f"Write why, in at most {LONGEST_WHY} characters.")
    save_if_current(now, version=version, state=state, ended_why=why, arrived_at=None)
    contacts.log_along(who=who, patient=now.patient, id=_line_id(now), **_line(now, why, needs_follow_up))
    record(who=who, did=f"{_verb(now)} appointment", what=now)
    return now


def _line(row: Appointment, why: str, needs_follow_up: bool) -> dict[str, Any]:
    missed = row.state == State.NOSHOW
    when = in_words(row.starts_at, row.patient.practice.zone)
    said = f"Appointment of {when} with {row.clinician}: {_verb(row)}."
    return {
        "way": Contact.Way.MISSED if missed else Contact.Way.CANCELLED,
        "happened_at": row.starts_at if missed else timezone.now(),
        "words": f"{said} {why}".strip(),
        "needs_follow_up": needs_follow_up,
    }


def _correct_line(who: User, row: Appointment) -> None:
    """The line that said so was wrong. One that somebody corrected by hand is left as it is."""
    line = Contact.objects.filter(pk=_line_id(row), corrected_by=None).first()
    if line is None:
        return
    here = timezone.now()
    words = f"Marked as missed by mistake: came on {in_words(here, row.patient.practice.zone)}."
    contacts.correct(
        who=who,
        line=line,
        id=uuid.uuid4(),
        way=line.way,
        happened_at=here,
        words=words,
        needs_follow_up=False,
    )


def _line_id(row: Appointment) -> uuid.UUID:
    """The line of the log that an ended appointment wrote: one for each time it ended."""
    return uuid.uuid5(row.pk, str(row.version))


def _verb(row: Appointment) -> str:
    return "missed" if row.state == State.NOSHOW else "cancelled"


def _day(row: Appointment, when: datetime | None = None) -> Any:
    """The day of the appointment, or of `when`, by the clock of the practice."""
    return (when or row.starts_at).astimezone(row.patient.practice.zone).date()

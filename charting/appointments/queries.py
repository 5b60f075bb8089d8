"""Every read of appointments. Each begins at the patients' door."""

import uuid
from datetime import date, datetime, timedelta

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from charting.appointments.models import Appointment
from charting.appointments.times import day_bounds
from charting.patients.access import patients_of
from charting.patients.models import Patient
from charting.staff.models import User

State = Appointment.State
# The time is set aside as long as it is one of these.
STANDING = (State.BOOKED, State.ARRIVED, State.FULFILLED)
# A whole day at the desk: a slip of the finger beyond it is caught.
MOST_MINUTES = 480


def appointments_of(user: User) -> QuerySet[Appointment]:
    """All that this member of staff may know of, the earliest first."""
    known = Appointment.objects.select_related("patient", "clinician", "visit")
    return known.filter(patient__in=patients_of(user))


def appointment_of(user: User, appointment_id: uuid.UUID) -> Appointment:
    """One of them. Raises Http404."""
    known = appointments_of(user).select_related("patient__practice")
    return get_object_or_404(known, pk=appointment_id)


def day_of(user: User, day: date, *, own: bool = False) -> tuple[Appointment, ...]:
    """Those of a day by the clock of the practice, in every state; `own`: with `user` only. One query."""
    if user.practice is None:
        return ()
    start, end = day_bounds(day, user.practice.zone)
    found = appointments_of(user).filter(starts_at__gte=start, starts_at__lt=end)
    return tuple(found.filter(clinician=user) if own else found)


def coming(user: User, patient: Patient, now: datetime) -> tuple[Appointment, ...]:
    """What is set aside for a person from the beginning of today on, the next first."""
    start, _ = day_bounds(now.astimezone(patient.practice.zone).date(), patient.practice.zone)
    waiting = appointments_of(user).filter(patient=patient, state__in=(State.BOOKED, State.ARRIVED))
    return tuple(waiting.filter(starts_at__gte=start))


def still_expected(user: User, before: datetime, *, own: bool = False) -> QuerySet[Appointment]:
    """Those before `before` that nobody marked as here, missed or cancelled, the latest first."""
    left = appointments_of(user).filter(starts_at__lt=before, state__in=(State.BOOKED, State.ARRIVED))
    return (left.filter(clinician=user) if own else left).order_by("-starts_at")


def taken(row: Appointment) -> tuple[Appointment, ...]:
    """What stands in the same time already, with the same clinician or for the same person. One query."""
    end = row.starts_at + timedelta(minutes=row.minutes)
    near = Appointment.objects.select_related("patient", "clinician").filter(
        starts_at__lt=end,
        starts_at__gt=row.starts_at - timedelta(minutes=MOST_MINUTES),
        state__in=STANDING,
        patient__practice=row.patient.practice_id,
    )
    both = near.filter(clinician=row.clinician_id) | near.filter(patient=row.patient_id)
    return tuple(each for each in both.exclude(pk=row.pk) if each.ends_at > row.starts_at)

"""Appointments to begin tests with."""

import uuid
from datetime import timedelta

from django.utils import timezone

from charting.appointments.models import Appointment


def booked(patient, clinician, *, at=None, **more):
    """Half an hour that has just begun, so that all of its life can be lived through now."""
    starts_at = at or timezone.now()
    return Appointment.objects.create(
        patient=patient, clinician=clinician, starts_at=starts_at, made_by=clinician, **more
    )


def said(clinician, **others):
    """What a new appointment is made with."""
    when = timezone.now() + timedelta(days=1)
    usual = {"id": uuid.uuid4(), "clinician": clinician, "starts_at": when, "minutes": 30, "reason": "First"}
    return {**usual, **others}


def typed(with_whom, day, **others):
    """The form as a browser sends it."""
    parts = {"day_day": day.day, "day_month": day.month, "day_year": day.year}
    usual = {"id": str(uuid.uuid4()), "at": "14:05", "minutes": "30", "clinician": with_whom.pk, "reason": ""}
    return {**usual, **parts, **others}

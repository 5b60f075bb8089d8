"""Who is expected when."""

import uuid
from datetime import datetime, timedelta

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit


class Appointment(models.Model):
    """One time set aside for one person. The states are those of Appointment in HL7 FHIR R4."""

    class State(models.TextChoices):
        BOOKED = "booked", "Expected"
        ARRIVED = "arrived", "Here"
        FULFILLED = "fulfilled", "Visit begun"
        CANCELLED = "cancelled", "Cancelled"
        NOSHOW = "noshow", "Missed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="appointments")
    clinician = models.ForeignKey(User, on_delete=models.PROTECT, related_name="appointments")
    starts_at = models.DateTimeField()
    minutes = models.PositiveSmallIntegerField(default=30)
    reason = models.CharField(max_length=160, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.BOOKED)
    arrived_at = models.DateTimeField(null=True)
    # Why it was cancelled or missed, as far as known.
    ended_why = models.CharField(max_length=300, blank=True)
    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="appointment", null=True)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)

    # No column. False: of somebody who is seen at another site than who reads this, whose name is not shown.
    is_named = True

    class Meta:
        app_label = "charting"
        ordering = ["starts_at"]
        indexes = [models.Index(fields=["clinician", "starts_at"], name="appointments_of_day")]

    def __str__(self) -> str:
        return f"{self.patient} {self.starts_at:%Y-%m-%d %H:%M}"

    @property
    def ends_at(self) -> datetime:
        return self.starts_at + timedelta(minutes=self.minutes)

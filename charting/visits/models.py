"""The meeting of one patient and one clinician."""

import uuid

from django.db import models

from charting.episodes.models import Episode
from charting.patients.models import Patient
from charting.staff.models import User


class Visit(models.Model):
    """One meeting. Open until its note is signed, then frozen."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="visits")
    # The record it was made under, where that was merged into another since.
    made_under = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="+", null=True)
    clinician = models.ForeignKey(User, on_delete=models.PROTECT, related_name="visits")
    # Null for a visit begun before there were episodes.
    episode = models.ForeignKey(Episode, on_delete=models.PROTECT, related_name="visits", null=True)
    started_at = models.DateTimeField(auto_now_add=True)
    signed_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"
        ordering = ["-started_at"]
        indexes = [models.Index(fields=["patient", "-started_at"], name="visits_of_patient")]

    def __str__(self) -> str:
        return f"{self.patient} {self.started_at:%Y-%m-%d}"

    @property
    def is_signed(self) -> bool:
        return self.signed_at is not None

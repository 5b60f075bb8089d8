"""One complaint of one person, cared for over weeks."""

import uuid

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import User


class Episode(models.Model):
    """The care for one complaint, from the first visit to the discharge. A reopened episode goes on."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="episodes")
    # What it is about, in the clinician's words ("right shoulder"); "" until somebody names it.
    title = models.CharField(max_length=160, blank=True)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    # As the last EpisodeEvent left it: null while the episode is open.
    closed_at = models.DateTimeField(null=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["-opened_at"]

    def __str__(self) -> str:
        return self.title or f"episode of {self.opened_at:%Y-%m-%d}"

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


class EpisodeEvent(models.Model):
    """The end of an episode, or its going on again, with what stood then. Append-only (triggers)."""

    class What(models.TextChoices):
        DISCHARGED = "discharged", "Discharged"
        REOPENED = "reopened", "Reopened"

    class Reason(models.TextChoices):
        GOALS = "goals", "Goals reached"
        PLATEAU = "plateau", "No further change seen for some time"
        REFERRED = "referred", "Passed on to another practice or physician"
        CHOICE = "choice", "The patient's own choice"
        LOST = "lost", "Did not come back"
        OTHER = "other", "Other"

    episode = models.ForeignKey(Episode, on_delete=models.PROTECT, related_name="events")
    what = models.CharField(max_length=10, choices=What.choices)
    reason = models.CharField(max_length=10, choices=Reason.choices, blank=True)
    words = models.TextField(max_length=4000, blank=True)
    # The summary of outcomes as it stood at discharge: plain data, never computed again.
    summary = models.JSONField(default=dict)
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["done_at"]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.episode_id}"

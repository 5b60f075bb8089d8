"""What was decided about a raised flag, and what remains to be followed up."""

import uuid

from django.db import models

from charting.staff.models import User
from charting.visits.models import Visit


class Decision(models.Model):
    """What a clinician decided about one flag, with the flag as it stood. Append-only: a later one counts."""

    class Outcome(models.TextChoices):
        SENT_NOW = "sent_now", "Sent to emergency care now"
        SENT_TODAY = "sent_today", "Sent to a physician today"
        SPOKEN = "spoken", "Spoken with a physician; to be seen as agreed"
        CLEARED = "cleared", "Asked and examined further; held to be no danger"
        KNOWN = "known", "Known, under medical care"
        DECLINED = "declined", "Patient declined, risks explained"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="flag_decisions")
    flag = models.CharField(max_length=60)
    # The flag as it stood: title, level, reasons, action. A new reason or a higher level asks again.
    shown = models.JSONField()
    outcome = models.CharField(max_length=10, choices=Outcome.choices)
    why = models.TextField(max_length=1000)
    called = models.CharField(max_length=160, blank=True)
    called_at = models.DateTimeField(null=True)
    advised = models.TextField(max_length=1000)
    understood = models.BooleanField()
    follow_up_on = models.DateField(null=True)
    decided_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["decided_at"]

    def __str__(self) -> str:
        return f"{self.flag}: {self.outcome}"


class FollowUp(models.Model):
    """How an open follow-up ended. Append-only."""

    decision = models.OneToOneField(Decision, on_delete=models.PROTECT, related_name="followed_up")
    words = models.TextField(max_length=1000)
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"followed up: {self.decision}"

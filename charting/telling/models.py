"""The story as the patient tells it on the device, until a clinician has read it."""

import uuid
from typing import Any

from django.db import models

from charting.handover.models import HandOver
from charting.staff.models import User
from charting.visits.models import Visit


class Telling(models.Model):
    """What one patient answered alone, kept as it was answered. It changes while the device is with the
    patient (`version` counts), and is closed when a clinician takes it into the story or sets it aside.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="tellings")
    hand_over = models.OneToOneField(HandOver, on_delete=models.PROTECT, related_name="telling")
    # Key to value, as in bodymaps/data/reasoning/history.toml.
    answers = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    # The telling that this one goes on with, begun on another device.
    continues = models.ForeignKey("self", on_delete=models.PROTECT, related_name="+", null=True)
    # Of one that goes on with another: the keys answered on this device. Of one that was gone on with: those
    # that arrived from this device later, when they had been answered anew on the other one.
    own = models.JSONField(null=True)
    late = models.JSONField(null=True)
    # What was typed and is no answer yet, by screen: the name of an activity, a question. "late:<screen>": a
    # score that came late.
    typed = models.JSONField(null=True)
    # What is open on the device: the id of a screen of the story, or "scores/<screen>",
    # "reading/<text>/<part>", "drawing"; "" before the first.
    at = models.CharField(max_length=60, blank=True)
    begun_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    handed_in_at = models.DateTimeField(null=True)
    settled_at = models.DateTimeField(null=True)
    settled_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", null=True)
    # Which keys were taken over, and which of them the clinician changed first.
    taken = models.JSONField(default=list)
    changed = models.JSONField(default=list)

    class Meta:
        app_label = "charting"
        ordering = ["begun_at"]

    def __str__(self) -> str:
        return f"told by the patient of {self.visit_id}"

    @property
    def shown(self) -> dict[str, Any]:
        """What a clinician reads of it: all, but of one that was gone on with only what came late."""
        if not self.late:
            return dict(self.answers)
        return {key: value for key, value in self.answers.items() if key in self.late}

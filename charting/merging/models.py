"""Two records of one person made one, and taken apart again."""

import uuid

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import User


class PatientMerge(models.Model):
    """`gone` was found to be the same person as `kept`. Append-only (triggers)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kept = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="merges")
    gone = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="merged_by")
    # Every row that moved: {"visits": [ids], ...}; and what both records said of the person before.
    moved = models.JSONField()
    stood = models.JSONField()
    reason = models.CharField(max_length=500)
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["done_at"]

    def __str__(self) -> str:
        return f"{self.gone_id} into {self.kept_id}"


class PatientUnmerge(models.Model):
    """A merge that was wrong: every row went back. Append-only (triggers)."""

    merge = models.OneToOneField(PatientMerge, on_delete=models.PROTECT, related_name="undone")
    # What was recorded since the merge, and with whom it stays: {"visits": {"kept": [ids], "gone": [ids]}}
    left = models.JSONField(default=dict)
    reason = models.CharField(max_length=500)
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"undone: {self.merge_id}"

"""A record removed whole, and what stays known of it."""

import uuid

from django.db import models
from django.utils import timezone

from charting.staff.models import Practice


class Purge(models.Model):
    """One purge. While `finished_at` is None the triggers of append_only let rows go: that row is written
    and finished in one transaction, so nobody else ever sees it open. Never add, change or remove a
    column of this table: the triggers name it (append_only.py).
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="+")
    # No foreign key: the person is gone. An id is nobody's name.
    patient_id = models.UUIDField()
    record_number = models.PositiveIntegerField()
    by = models.CharField(max_length=200)
    reason = models.CharField(max_length=500)
    # Day of the last entry, and what was removed: {table: rows}; SHA-256 over all of it.
    last_entry_on = models.DateField()
    removed = models.JSONField(default=dict)
    sha256 = models.CharField(max_length=64)
    started_at = models.DateTimeField(default=timezone.now)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"purge of record {self.record_number}"

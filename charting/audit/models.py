"""One line for every change and every look at a chart."""

from django.db import models


class AuditEntry(models.Model):
    """Who did what to which row, when. Append-only (triggers); holds ids, never what a patient said."""

    at = models.DateTimeField(auto_now_add=True)
    practice_id = models.BigIntegerField(null=True)
    actor_id = models.BigIntegerField(null=True)
    # A patient at the board has no account: the actor is then the hand-over.
    actor = models.CharField(max_length=200)
    role = models.CharField(max_length=20, blank=True)
    action = models.CharField(max_length=60)
    object_type = models.CharField(max_length=40)
    object_id = models.CharField(max_length=64)
    detail = models.JSONField(default=dict)

    class Meta:
        app_label = "charting"
        indexes = [
            models.Index(fields=["object_type", "object_id"], name="audit_by_object"),
            models.Index(fields=["practice_id", "at"], name="audit_by_practice"),
        ]

    def __str__(self) -> str:
        return f"{self.actor} {self.action} {self.object_type} {self.object_id}"

"""One line for every change and every look at a chart."""

from django.db import models
from django.utils import timezone


class AuditEntry(models.Model):
    """Who did what to which row, when and from where. Append-only (triggers); holds ids, never what a patient
    said. Written by services.record alone: each row carries the hash of the one before it in its chain.
    """

    # The practice, or 0 for what belongs to none.
    chain = models.BigIntegerField(default=0)
    seq = models.BigIntegerField()
    at = models.DateTimeField(default=timezone.now)
    practice_id = models.BigIntegerField(null=True)
    actor_id = models.BigIntegerField(null=True)
    # A patient at the board has no account: the actor is then the hand-over.
    actor = models.CharField(max_length=200)
    role = models.CharField(max_length=20, blank=True)
    action = models.CharField(max_length=60)
    object_type = models.CharField(max_length=40)
    object_id = models.CharField(max_length=64)
    detail = models.JSONField(default=dict)
    # The address of the device; "" for a command.
    address = models.CharField(max_length=45, blank=True)
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["chain", "seq"], name="one_audit_seq")]
        indexes = [
            models.Index(fields=["object_type", "object_id"], name="audit_by_object"),
            models.Index(fields=["practice_id", "at"], name="audit_by_practice"),
        ]

    def __str__(self) -> str:
        return f"{self.actor} {self.action} {self.object_type} {self.object_id}"

"""What was drawn. Raw strokes are the record: never edited, only withdrawn by a further row."""

import uuid

from django.db import models

from charting.staff.models import User
from charting.visits.models import Visit


class DrawnBy(models.TextChoices):
    PATIENT = "patient", "Patient"
    CLINICIAN = "clinician", "Clinician"
    HELPER = "helper", "Helper"


class BoardEvent(models.Model):
    """What every row from the board has: an id and a sequence number made on the device."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="+")
    event_id = models.UUIDField()
    seq = models.PositiveIntegerField()
    drawn_by = models.CharField(max_length=10, choices=DrawnBy.choices)
    # The hash of the body as it was sent: a resend with another body is refused.
    body_sha256 = models.CharField(max_length=64)
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True
        app_label = "charting"
        ordering = ["seq", "event_id"]

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.seq} of {self.visit_id}"


class StoredStroke(BoardEvent):
    """One stroke, in figure millimetres. Append-only (triggers)."""

    view = models.CharField(max_length=5)
    kind = models.CharField(max_length=12, blank=True)
    mode = models.CharField(max_length=5)
    nib_mm = models.FloatField()
    # [[x, y, pressure, milliseconds since pen-down], ...]
    points = models.JSONField()

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_stroke")]


class Withdrawal(BoardEvent):
    """Takes strokes out of the drawing, or (restores) puts them back. Append-only (triggers)."""

    # A list of event ids of strokes.
    strokes = models.JSONField()
    restores = models.BooleanField(default=False)

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_withdrawal")]


class BoardAnswer(BoardEvent):
    """Intensity per kind, and "no pain today". The latest by sequence counts. Append-only (triggers)."""

    # {"ache": 6, ...}, 0-10
    intensities = models.JSONField(default=dict)
    no_pain = models.BooleanField(default=False)

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_board_answer")]


class HandOver(models.Model):
    """The device is with the patient: a short-lived token for one visit's board and nothing else."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="hand_overs")
    given_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    drawn_by = models.CharField(max_length=10, choices=DrawnBy.choices, default=DrawnBy.PATIENT)
    # Only the hash is stored: a copy of the database opens no board.
    token_sha256 = models.CharField(max_length=64, unique=True)
    given_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"hand-over for {self.visit_id}"

    @property
    def audit_name(self) -> str:
        return f"{self.get_drawn_by_display()} at the board"

    @property
    def audit_role(self) -> str:
        return self.drawn_by

    @property
    def audit_practice_id(self) -> int | None:
        return self.visit.patient.practice_id

    @property
    def audit_user_id(self) -> int | None:
        return None

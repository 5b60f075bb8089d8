"""The device in the hands of somebody who is not staff."""

import uuid

from django.db import models

from charting.drawing.models import DrawnBy
from charting.staff.models import User
from charting.visits.models import Visit


class HandOver(models.Model):
    """The device is with the patient: a short-lived token for one visit's board and nothing else."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="hand_overs")
    given_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    drawn_by = models.CharField(max_length=10, choices=DrawnBy.choices, default=DrawnBy.PATIENT)
    # Who helps, when somebody draws for the patient: "daughter", "interpreter".
    helper = models.CharField(max_length=80, blank=True)
    # Whether the questions of the story come first, then the drawing; else the drawing alone.
    tells = models.BooleanField(default=False)
    # What else is asked on the device, in order: "scores", "consent:<id of a text>".
    asks = models.JSONField(default=list)
    # Only the hash is stored: a copy of the database opens no board.
    token_sha256 = models.CharField(max_length=64, unique=True)
    given_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    # Name and birth date were read and found right; or found to be somebody else's.
    confirmed_at = models.DateTimeField(null=True)
    denied_at = models.DateTimeField(null=True)
    # When the device was last heard of, and how many entries it then held that had not arrived.
    heard_at = models.DateTimeField(null=True)
    waiting = models.PositiveIntegerField(default=0)
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

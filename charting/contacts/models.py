"""What happens between the visits: calls, missed visits, reactions; and papers others wrote."""

import uuid

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import User


class Contact(models.Model):
    """One line of the contact log. Append-only: a wrong line is corrected by a further one that names it."""

    class Way(models.TextChoices):
        CALL_FROM = "call_from", "Call from the patient"
        CALL_TO = "call_to", "Call to the patient"
        MESSAGE = "message", "Message or letter"
        MISSED = "missed", "Visit missed"
        CANCELLED = "cancelled", "Visit cancelled"
        REACTION = "reaction", "Reaction reported"
        OTHER = "other", "Other"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="contacts")
    way = models.CharField(max_length=10, choices=Way.choices)
    happened_at = models.DateTimeField()
    words = models.TextField(max_length=2000)
    # To be followed up until a later line says `settles`.
    needs_follow_up = models.BooleanField(default=False)
    settles = models.ForeignKey("self", on_delete=models.PROTECT, related_name="settled_by", null=True)
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, related_name="corrected_by", null=True)
    written_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["-happened_at", "-written_at"]

    def __str__(self) -> str:
        return f"{self.get_way_display()} {self.happened_at:%Y-%m-%d}"


class Attachment(models.Model):
    """A paper somebody else wrote, or a picture: as re-encoded here, never as it was sent. Append-only."""

    class What(models.TextChoices):
        REFERRAL = "referral", "Referral"
        IMAGING = "imaging", "Imaging"
        LETTER = "letter", "Letter or report"
        OTHER = "other", "Other"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="attachments")
    what = models.CharField(max_length=10, choices=What.choices)
    title = models.CharField(max_length=160)
    dated = models.DateField(null=True)
    # Pages as pictures, in order: image/png or image/jpeg, made here.
    media_type = models.CharField(max_length=20)
    page = models.PositiveSmallIntegerField(default=1)
    pages = models.PositiveSmallIntegerField(default=1)
    # The pages of one paper share it.
    paper = models.UUIDField(default=uuid.uuid4)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    added_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["-added_at", "page"]

    def __str__(self) -> str:
        return self.title


class AttachmentStruck(models.Model):
    """A paper taken out of use, because it was put into the wrong chart: the rows stay. Append-only."""

    paper = models.UUIDField(unique=True)
    why = models.CharField(max_length=300)
    struck_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"struck: {self.why}"

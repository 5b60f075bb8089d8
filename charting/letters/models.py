"""Papers about a person for others to read: progress report, letter to the referrer, patient's summary."""

import uuid

from django.db import models

from charting.episodes.models import Episode
from charting.patients.models import Patient
from charting.staff.models import Paper, User


class Letter(models.Model):
    """One paper while it is written; signed, it stays as it is. `discarded_at`: never sent."""

    class Kind(models.TextChoices):
        PROGRESS = "progress", "Progress report"
        REFERRER = "referrer", "Letter to the referrer"
        SUMMARY = "summary", "Summary for the patient"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="letters")
    episode = models.ForeignKey(Episode, on_delete=models.PROTECT, related_name="letters")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    to_name = models.CharField(max_length=160, blank=True)
    to_address = models.TextField(max_length=300, blank=True)
    # What the clinician made of the assembled sentences: {key: {"words", "stood", "taken_out"}}.
    edits = models.JSONField(default=dict)
    version = models.PositiveIntegerField(default=1)
    begun_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    begun_at = models.DateTimeField(auto_now_add=True)
    signed_at = models.DateTimeField(null=True)
    discarded_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"
        ordering = ["-begun_at"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.begun_at:%Y-%m-%d}"


class SignedLetter(models.Model):
    """A paper as it was signed: everything it shows, as plain data. Append-only (triggers)."""

    letter = models.OneToOneField(Letter, on_delete=models.PROTECT, related_name="signed")
    signed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=160)
    signer_title = models.CharField(max_length=80, blank=True)
    signer_registration = models.CharField(max_length=60, blank=True)
    meaning = models.CharField(max_length=40, default="author")
    signed_at = models.DateTimeField()
    time_zone = models.CharField(max_length=60)
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"signed letter {self.letter_id}"


class LetterPaper(models.Model):
    """The PDF bytes made at signing. Append-only (triggers)."""

    signed = models.ForeignKey(SignedLetter, on_delete=models.PROTECT, related_name="papers")
    paper = models.CharField(max_length=8, choices=Paper.choices)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["signed", "paper"], name="one_letter_paper")]

    def __str__(self) -> str:
        return f"{self.get_paper_display()} of letter {self.signed_id}"

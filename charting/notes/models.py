"""The clinician's words, and the note as it was signed."""

from django.db import models

from charting.staff.models import Paper, User
from charting.visits.models import Visit


class NoteText(models.Model):
    """Assessment and plan while the visit is open."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="note_text")
    assessment = models.TextField(max_length=8000, blank=True)
    plan = models.TextField(max_length=8000, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"note text of {self.visit_id}"


class SignedNote(models.Model):
    """The visit as it stood at signing: areas, ranking, atlas version, words. Append-only (triggers)."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="signed_note")
    signed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=160)
    signer_title = models.CharField(max_length=80, blank=True)
    signer_registration = models.CharField(max_length=60, blank=True)
    meaning = models.CharField(max_length=40, default="author")
    signed_at = models.DateTimeField()
    time_zone = models.CharField(max_length=60)
    # report.content: everything that the paper shows, as plain data.
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"signed note of {self.visit_id}"


class SignedPaper(models.Model):
    """The PDF bytes made at signing, or with an addendum. Append-only (triggers)."""

    note = models.ForeignKey(SignedNote, on_delete=models.PROTECT, related_name="papers")
    # How many addenda are printed after the original: 0 is the paper of the signing itself.
    addenda = models.PositiveIntegerField(default=0)
    paper = models.CharField(max_length=8, choices=Paper.choices)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["note", "addenda", "paper"], name="one_signed_paper")]

    def __str__(self) -> str:
        return f"{self.get_paper_display()} of {self.note_id}"


class Addendum(models.Model):
    """Words added after signing; the original stays as it is. Append-only (triggers)."""

    note = models.ForeignKey(SignedNote, on_delete=models.PROTECT, related_name="addenda")
    number = models.PositiveIntegerField()
    author = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    author_name = models.CharField(max_length=160)
    author_title = models.CharField(max_length=80, blank=True)
    text = models.TextField(max_length=8000)
    written_at = models.DateTimeField()

    class Meta:
        app_label = "charting"
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["note", "number"], name="one_addendum_number")]

    def __str__(self) -> str:
        return f"addendum {self.number} to {self.note_id}"

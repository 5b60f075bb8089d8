"""The clinician's words, and the note as it was signed."""

import uuid

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import Paper, Practice, User
from charting.visits.models import Visit


class NoteText(models.Model):
    """The clinician's own words under the four headings of the note, while the visit is open."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="note_text")
    subjective = models.TextField(max_length=8000, blank=True)
    objective = models.TextField(max_length=8000, blank=True)
    assessment = models.TextField(max_length=8000, blank=True)
    plan = models.TextField(max_length=8000, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"note text of {self.visit_id}"


class Section(models.TextChoices):
    """The four parts of a problem-oriented note."""

    SUBJECTIVE = "subjective", "Subjective"
    OBJECTIVE = "objective", "Objective"
    ASSESSMENT = "assessment", "Assessment"
    PLAN = "plan", "Plan"


class NoteSentence(models.Model):
    """What the clinician made of one sentence that was assembled from the record, while the visit is open."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="note_sentences")
    section = models.CharField(max_length=10, choices=Section.choices)
    # Which part of the record it tells of: never renamed.
    key = models.CharField(max_length=200)
    # The sentence as it was assembled when it was changed, and the words in its place.
    stood = models.TextField(max_length=4000)
    words = models.TextField(max_length=4000, blank=True)
    taken_out = models.BooleanField(default=False)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["visit", "section", "key"], name="one_note_sentence")]

    def __str__(self) -> str:
        return f"{self.section}: {self.key}"


class TextBlock(models.Model):
    """Words a practice writes often, to be put into a note."""

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="text_blocks")
    section = models.CharField(max_length=10, choices=Section.choices)
    title = models.CharField(max_length=80)
    words = models.TextField(max_length=4000)
    in_use = models.BooleanField(default=True)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["section", "title"]
        constraints = [
            models.UniqueConstraint(fields=["practice", "section", "title"], name="one_text_block")
        ]

    def __str__(self) -> str:
        return self.title


class SignedNote(models.Model):
    """The visit as it stood at signing: areas, ranking, atlas version, words. Append-only (triggers)."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="signed_note")
    signed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=160)
    signer_title = models.CharField(max_length=80, blank=True)
    signer_registration = models.CharField(max_length=60, blank=True)
    meaning = models.CharField(max_length=40, default="author")
    # Signed by a trainee: somebody else signs in addition (CoSignature).
    needs_cosign = models.BooleanField(default=False)
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
    # Whether the co-signature stands on it.
    cosigned = models.BooleanField(default=False)
    paper = models.CharField(max_length=8, choices=Paper.choices)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"
        constraints = [
            models.UniqueConstraint(fields=["note", "addenda", "cosigned", "paper"], name="one_signed_paper")
        ]

    def __str__(self) -> str:
        return f"{self.get_paper_display()} of {self.note_id}"


class CoSignature(models.Model):
    """The signature of who answers for a trainee, over the same content. Append-only (triggers)."""

    note = models.OneToOneField(SignedNote, on_delete=models.PROTECT, related_name="cosignature")
    signed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer_name = models.CharField(max_length=160)
    signer_title = models.CharField(max_length=80, blank=True)
    signer_registration = models.CharField(max_length=60, blank=True)
    meaning = models.CharField(max_length=40, default="co-signer")
    words = models.TextField(max_length=2000, blank=True)
    signed_at = models.DateTimeField()
    content_sha256 = models.CharField(max_length=64)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"co-signature of {self.note_id}"


class AmendmentRequest(models.Model):
    """A person asks for a change in the own record (45 CFR 164.526). Append-only (triggers)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="amendment_requests")
    # The visit whose note is meant; null where it is about the record as a whole.
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="amendment_requests", null=True)
    received_on = models.DateField()
    asked_by = models.CharField(max_length=160)
    words = models.TextField(max_length=4000)
    reason = models.TextField(max_length=2000, blank=True)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["received_on", "recorded_at"]

    def __str__(self) -> str:
        return f"request of {self.received_on}"


class AmendmentStep(models.Model):
    """What became of a request. Append-only (triggers)."""

    class What(models.TextChoices):
        EXTENDED = "extended", "More time taken"
        ACCEPTED = "accepted", "Accepted"
        DENIED = "denied", "Denied"
        DISAGREED = "disagreed", "The patient disagrees in writing"
        ANSWERED = "answered", "The practice answers to that"

    request = models.ForeignKey(AmendmentRequest, on_delete=models.PROTECT, related_name="steps")
    what = models.CharField(max_length=10, choices=What.choices)
    # Of a denial: an id of amendments.toml.
    ground = models.CharField(max_length=20, blank=True)
    words = models.TextField(max_length=4000, blank=True)
    done_on = models.DateField()
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["done_at"]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.request_id}"


class Addendum(models.Model):
    """What is written into a signed note afterwards; the original stays as it is. Append-only (triggers)."""

    class Kind(models.TextChoices):
        """Four different things (Medicare Program Integrity Manual ch. 3, 3.3.2.5; 45 CFR 164.526)."""

        LATE = "late", "Late entry"
        ADDENDUM = "addendum", "Addendum"
        CORRECTION = "correction", "Correction"
        AMENDMENT = "amendment", "Amendment at the patient's request"

    note = models.ForeignKey(SignedNote, on_delete=models.PROTECT, related_name="addenda")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.ADDENDUM)
    # The day it is about: for a late entry the day of the visit it was missed at.
    about_on = models.DateField(null=True)
    # Of a correction: the words of the note that are wrong, as they stand there.
    wrong = models.TextField(max_length=4000, blank=True)
    request = models.ForeignKey(AmendmentRequest, on_delete=models.PROTECT, related_name="addenda", null=True)
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

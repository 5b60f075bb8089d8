"""A practice's own patterns: what was drawn, what was kept of it, and files they came from.

Nothing here is ever changed. A pattern is changed by a further version, and taken out of use by one too.
"""

import uuid

from django.db import models

from bodymaps.own import LONGEST
from charting.drawing.models import SentEvent, SentStroke, SentWithdrawal
from charting.staff.models import Practice, User


class PatternDrawing(models.Model):
    """One drawing of core and spillover, for a muscle of the atlas or a new name. Append-only (triggers)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="+")
    # own_<slug of the name>, or the id of the muscle whose pattern it replaces.
    pattern = models.CharField(max_length=LONGEST["id"])
    name = models.CharField(max_length=LONGEST["name"])
    begun_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    begun_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["-begun_at"]

    def __str__(self) -> str:
        return f"drawing of {self.pattern}"


class PatternEvent(SentEvent):
    """What every row from the board of a pattern has."""

    drawing = models.ForeignKey(PatternDrawing, on_delete=models.PROTECT, related_name="+")
    drawn_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta(SentEvent.Meta):
        abstract = True

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.seq} of {self.drawing_id}"


class PatternStroke(PatternEvent, SentStroke):
    """One stroke; its kind is a zone. Append-only (triggers)."""

    class Meta(PatternEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["drawing", "event_id"], name="one_pattern_stroke")]


class PatternWithdrawal(PatternEvent, SentWithdrawal):
    """Strokes of a pattern taken out, or put back. Append-only (triggers)."""

    class Meta(PatternEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["drawing", "event_id"], name="one_pattern_withdrawal")]


class PatternFile(models.Model):
    """A file of patterns as it was brought here, word for word. Append-only (triggers)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=200)
    text = models.TextField()
    sha256 = models.CharField(max_length=64)
    # Nobody when it came by the command line.
    brought_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    brought_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["-brought_at"]

    def __str__(self) -> str:
        return self.name


class PatternVersion(models.Model):
    """One version of a pattern; the highest number counts. Append-only (triggers).

    A version that is not `in_use` takes the pattern out of use and repeats what stood before it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="patterns")
    pattern = models.CharField(max_length=LONGEST["id"])
    number = models.PositiveIntegerField()
    in_use = models.BooleanField(default=True)
    name = models.CharField(max_length=LONGEST["name"])
    site = models.CharField(max_length=LONGEST["site"], blank=True)
    work = models.CharField(max_length=LONGEST["work"])
    chapter = models.CharField(max_length=LONGEST["chapter"])
    status = models.CharField(max_length=12)
    reason = models.TextField(max_length=LONGEST["reason"])
    # Why this version takes the pattern out of use or brings it back.
    use_reason = models.TextField(max_length=LONGEST["reason"], blank=True)
    # As bodymaps.own_file has them: [{view, zone, area}], and {view, x, y} or nothing.
    zones = models.JSONField()
    at = models.JSONField(null=True)
    # Where it comes from: a drawing, a file, or neither when a pattern is taken out of use.
    drawing = models.ForeignKey(PatternDrawing, null=True, on_delete=models.PROTECT, related_name="versions")
    file = models.ForeignKey(PatternFile, null=True, on_delete=models.PROTECT, related_name="versions")
    written_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    writer = models.CharField(max_length=200)
    written_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["pattern", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["practice", "pattern", "number"], name="one_pattern_version")
        ]

    def __str__(self) -> str:
        return f"version {self.number} of {self.pattern}"


# Every table of patterns; none of them ever changes.
TABLES: tuple[type[models.Model], ...] = (
    PatternDrawing,
    PatternStroke,
    PatternWithdrawal,
    PatternFile,
    PatternVersion,
)

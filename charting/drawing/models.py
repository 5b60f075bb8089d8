"""What was drawn. Raw strokes are the record: never edited, only withdrawn by a further row."""

import uuid

from django.db import models

from charting.staff.models import User
from charting.visits.models import Visit


class DrawnBy(models.TextChoices):
    PATIENT = "patient", "Patient"
    CLINICIAN = "clinician", "Clinician"
    HELPER = "helper", "Helper"


class PaperSheet(models.Model):
    """A drawing made on paper and entered afterwards: its strokes name it. Append-only (triggers)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="sheets")
    # Who drew on the paper, and, for a helper, who that was ("daughter", "interpreter").
    drawn_by = models.CharField(max_length=10, choices=DrawnBy.choices)
    helper = models.CharField(max_length=80, blank=True)
    drawn_on = models.DateField()
    entered_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["entered_at"]

    def __str__(self) -> str:
        return f"paper of {self.drawn_on:%Y-%m-%d} for {self.visit_id}"


class SentEvent(models.Model):
    """What every row from a board has: an id and a sequence number made on the device."""

    event_id = models.UUIDField()
    seq = models.PositiveIntegerField()
    # The hash of the body as it was sent: a resend with another body is refused.
    body_sha256 = models.CharField(max_length=64)
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True
        app_label = "charting"
        ordering = ["seq", "event_id"]


class SentStroke(SentEvent):
    """One stroke, in figure millimetres."""

    view = models.CharField(max_length=5)
    kind = models.CharField(max_length=12, blank=True)
    mode = models.CharField(max_length=5)
    nib_mm = models.FloatField()
    # [[x, y, pressure, milliseconds since pen-down], ...]
    points = models.JSONField()
    # "front:shoulder_anterior right" when it was chosen from the list of regions and not drawn.
    region = models.CharField(max_length=60, blank=True)

    class Meta(SentEvent.Meta):
        abstract = True


class SentWithdrawal(SentEvent):
    """Takes strokes out of the drawing, or (restores) puts them back."""

    # A list of event ids of strokes.
    strokes = models.JSONField()
    restores = models.BooleanField(default=False)

    class Meta(SentEvent.Meta):
        abstract = True


class BoardEvent(SentEvent):
    """What every row from the board of a visit has."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="+")
    # The layer: whose drawing it is.
    drawn_by = models.CharField(max_length=10, choices=DrawnBy.choices)
    # The paper it was copied from, when it was.
    sheet = models.ForeignKey(PaperSheet, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta(SentEvent.Meta):
        abstract = True

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.seq} of {self.visit_id}"


class StoredStroke(BoardEvent, SentStroke):
    """One stroke of a visit. Append-only (triggers)."""

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_stroke")]


class Withdrawal(BoardEvent, SentWithdrawal):
    """Strokes of a visit taken out, or put back. Append-only (triggers)."""

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_withdrawal")]


class BoardAnswer(BoardEvent):
    """Intensity per kind, and "no pain today". The latest by sequence counts. Append-only (triggers)."""

    # {"ache": 6, ...}, 0-10
    intensities = models.JSONField(default=dict)
    no_pain = models.BooleanField(default=False)

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_board_answer")]


class Grouping(BoardEvent):
    """Which strokes belong to one symptom area, or are one of their own. Append-only (triggers)."""

    strokes = models.JSONField()
    together = models.BooleanField()

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_grouping")]


class AreaAnswer(BoardEvent):
    """What was said about a symptom area: the whole of it each time. Append-only (triggers)."""

    # The strokes of the area when it was answered; it belongs to the area that holds the first one standing.
    strokes = models.JSONField()
    # As charting.drawing.symptoms.read() gives it.
    answers = models.JSONField()

    class Meta(BoardEvent.Meta):
        constraints = [models.UniqueConstraint(fields=["visit", "event_id"], name="one_area_answer")]


class ClearedParts(BoardEvent):
    """Parts of the body where the person said there is nothing: the whole list each time. Append-only."""

    parts = models.JSONField()

    class Meta(BoardEvent.Meta):
        constraints = [
            models.UniqueConstraint(fields=["visit", "event_id"], name="one_list_of_cleared_parts")
        ]


# Every table of board events.
TABLES: tuple[type[BoardEvent], ...] = (
    StoredStroke,
    Withdrawal,
    BoardAnswer,
    Grouping,
    AreaAnswer,
    ClearedParts,
)


class EnteredInError(models.Model):
    """Board events struck from a visit because they belong to somebody else. Append-only (triggers).

    The rows themselves stay. `moved_to` is the visit that got copies of them, if one did; `visit` itself when
    what had been struck was brought back.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="struck")
    moved_to = models.ForeignKey(Visit, null=True, on_delete=models.PROTECT, related_name="moved_here")
    # The event ids that no longer count in `visit`.
    events = models.JSONField()
    reason = models.CharField(max_length=400)
    struck_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["struck_at"]

    def __str__(self) -> str:
        return f"entered in error in {self.visit_id}"


class DrawnCells(models.Model):
    """Where a signed drawing shows one kind of pain, as cells of a coarse grid of one view.

    Derived from the strokes, and never shown as a record.
    """

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="drawn_cells")
    view = models.CharField(max_length=8)
    kind = models.CharField(max_length=12)
    # The figure it was drawn on, and the width of a cell in its millimetres.
    figure = models.CharField(max_length=40)
    cell_mm = models.PositiveSmallIntegerField()
    # Row-major numbers of the covered cells: unsigned 16 bit, little-endian.
    cells = models.BinaryField()

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["visit", "view", "kind"], name="one_cells_of_kind")]

    def __str__(self) -> str:
        return f"cells of {self.visit_id}"

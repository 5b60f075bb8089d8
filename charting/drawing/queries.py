"""Every read of a drawing."""

import uuid
from dataclasses import dataclass

from bodymaps import marks
from bodymaps.marks import Mark
from bodymaps.strokes import Point, Stroke
from charting.drawing.models import BoardAnswer, StoredStroke, Withdrawal
from charting.visits.models import Visit

TABLES = (StoredStroke, Withdrawal, BoardAnswer)


@dataclass(frozen=True)
class Drawing:
    """A drawing as it stands: the strokes that count, who drew them, and the answers beside them."""

    strokes: tuple[Stroke, ...]
    drawn_by: tuple[str, ...]
    intensities: dict[str, int]
    no_pain: bool

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The painted areas. Computed at each call (about 20 ms for a full drawing): ask once."""
        return marks.paint(self.strokes)

    @property
    def is_empty(self) -> bool:
        return not any(stroke.mode != "erase" for stroke in self.strokes)


def drawing_of(visit: Visit) -> Drawing:
    """The drawing of a visit: strokes less those withdrawn, in the order of drawing."""
    gone = withdrawn(visit)
    rows = [row for row in StoredStroke.objects.filter(visit=visit) if str(row.event_id) not in gone]
    answer = BoardAnswer.objects.filter(visit=visit).order_by("seq", "event_id").last()
    return Drawing(
        strokes=tuple(as_stroke(row) for row in rows),
        drawn_by=tuple(sorted({row.drawn_by for row in rows})),
        intensities=dict(answer.intensities) if answer else {},
        no_pain=bool(answer and answer.no_pain),
    )


def state_of_drawing(visit: Visit) -> str:
    """What there is in a word: "drawn", "no pain", or "" for nothing. Reads no points."""
    strokes = (
        StoredStroke.objects.filter(visit=visit).exclude(mode="erase").values_list("event_id", flat=True)
    )
    if {str(event_id) for event_id in strokes} - withdrawn(visit):
        return "drawn"
    answer = BoardAnswer.objects.filter(visit=visit).order_by("seq", "event_id").last()
    return "no pain" if answer and answer.no_pain else ""


def withdrawn(visit: Visit) -> set[str]:
    """The ids of the strokes that are out of the drawing now."""
    gone: set[str] = set()
    for row in Withdrawal.objects.filter(visit=visit).order_by("seq", "event_id"):
        if row.restores:
            gone.difference_update(row.strokes)
        else:
            gone.update(row.strokes)
    return gone


def as_stroke(row: StoredStroke) -> Stroke:
    return Stroke(
        id=str(row.event_id),
        seq=row.seq,
        view=row.view,
        kind=row.kind or None,
        mode=row.mode,
        nib_mm=row.nib_mm,
        points=tuple(Point(*point) for point in row.points),
    )


def hash_of_event(visit: Visit, event_id: uuid.UUID) -> str | None:
    """The hash of the body an event was kept with, or None when it is not known yet."""
    for table in TABLES:
        found = table.objects.filter(visit=visit, event_id=event_id).values_list("body_sha256", flat=True)
        if found:
            return found[0]
    return None


def size_of_drawing(visit: Visit) -> tuple[int, int]:
    """How many strokes and points are stored for a visit, withdrawn ones included."""
    rows = StoredStroke.objects.filter(visit=visit).values_list("points", flat=True)
    return len(rows), sum(len(points) for points in rows)


def last_seq(visit: Visit) -> int:
    """The highest sequence number on record, 0 when nothing was drawn."""
    tops = (
        table.objects.filter(visit=visit).order_by("-seq").values_list("seq", flat=True).first()
        for table in TABLES
    )
    return max((top or 0 for top in tops), default=0)

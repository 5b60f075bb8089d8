"""Every read of a drawing."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Subquery

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


@dataclass(frozen=True)
class Kept:
    """Every row that the board has sent for a visit, taken back or not, each in the order of drawing."""

    strokes: tuple[StoredStroke, ...]
    withdrawals: tuple[Withdrawal, ...]
    answer: BoardAnswer | None

    @property
    def last_seq(self) -> int:
        """The highest sequence number on record, 0 when nothing was drawn."""
        rows = (*self.strokes, *self.withdrawals, *((self.answer,) if self.answer else ()))
        return max((row.seq for row in rows), default=0)


def kept_of(visit: Visit) -> Kept:
    """Three queries."""
    return Kept(
        strokes=tuple(StoredStroke.objects.filter(visit=visit)),
        withdrawals=tuple(Withdrawal.objects.filter(visit=visit)),
        answer=BoardAnswer.objects.filter(visit=visit).last(),
    )


def drawing_of(visit: Visit) -> Drawing:
    """The drawing of a visit: strokes less those withdrawn, in the order of drawing."""
    return drawing_in(kept_of(visit))


def drawing_in(kept: Kept) -> Drawing:
    gone = withdrawn_by(kept.withdrawals)
    rows = [row for row in kept.strokes if str(row.event_id) not in gone]
    answer = kept.answer
    return Drawing(
        strokes=tuple(as_stroke(row) for row in rows),
        drawn_by=tuple(sorted({row.drawn_by for row in rows})),
        intensities=dict(answer.intensities) if answer else {},
        no_pain=bool(answer and answer.no_pain),
    )


def state_of_drawing(visit: Visit) -> str:
    """What there is in a word: "drawn", "no pain", or "" for nothing. Reads no points."""
    painted = StoredStroke.objects.filter(visit=OuterRef("pk")).exclude(mode="erase")
    answers = BoardAnswer.objects.filter(visit=OuterRef("pk")).order_by("-seq", "-event_id")
    found = Visit.objects.filter(pk=visit.pk).values(
        is_painted=Exists(painted),
        takes_back=Exists(Withdrawal.objects.filter(visit=OuterRef("pk"))),
        no_pain=Subquery(answers.values("no_pain")[:1]),
    )
    told = found.get()
    if told["is_painted"] and not (told["takes_back"] and _all_withdrawn(visit)):
        return "drawn"
    return "no pain" if told["no_pain"] else ""


def _all_withdrawn(visit: Visit) -> bool:
    painted = StoredStroke.objects.filter(visit=visit).exclude(mode="erase")
    ids = {str(event_id) for event_id in painted.values_list("event_id", flat=True)}
    return ids <= withdrawn_by(Withdrawal.objects.filter(visit=visit))


def withdrawn_by(withdrawals: Iterable[Withdrawal]) -> set[str]:
    """The ids of the strokes that are out of the drawing, after `withdrawals` in the order of drawing."""
    gone: set[str] = set()
    for row in withdrawals:
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

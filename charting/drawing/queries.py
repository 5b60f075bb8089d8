"""Every read of a drawing."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast

from django.db.models import Exists, OuterRef, Subquery
from django.http import Http404
from django.shortcuts import get_object_or_404

from bodymaps import describe, kinds, marks
from bodymaps.areas import Decision
from bodymaps.marks import Mark
from bodymaps.strokes import Point, Stroke
from charting.drawing import strikes, symptoms
from charting.drawing.models import (
    TABLES,
    AreaAnswer,
    BoardAnswer,
    BoardEvent,
    ClearedParts,
    EnteredInError,
    Grouping,
    PaperSheet,
    SentEvent,
    SentStroke,
    SentWithdrawal,
    StoredStroke,
    Withdrawal,
)
from charting.drawing.papers import drawn_on_paper
from charting.visits.models import Visit


@dataclass(frozen=True)
class Said:
    """What was said about the area that held these strokes."""

    strokes: tuple[str, ...]
    answers: symptoms.Answers


@dataclass(frozen=True)
class Drawing:
    """A drawing as it stands: the strokes that count, who drew them, and what was said beside them.

    `said` is in the order of saying; the last about an area counts. `cleared` are keys of bodymaps.parts.
    """

    strokes: tuple[Stroke, ...]
    drawn_by: tuple[str, ...]
    intensities: dict[str, int]
    no_pain: bool
    decisions: tuple[Decision, ...] = ()
    said: tuple[Said, ...] = ()
    cleared: tuple[str, ...] = ()
    sheets: tuple[PaperSheet, ...] = ()
    strikes: tuple[EnteredInError, ...] = ()

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The painted areas. Computed at each call (about 20 ms for a full drawing): ask once."""
        return marks.paint(self.strokes)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is drawn that the patient feels; findings and a lone worst spot do not count."""
        return not any(stroke.kind in kinds.IDS for stroke in self.strokes)


@dataclass(frozen=True)
class Kept:
    """Every row that the board has sent for a visit, taken back or not, each in the order of drawing.

    Rows struck as entered in error are not among them.
    """

    strokes: tuple[StoredStroke, ...]
    withdrawals: tuple[Withdrawal, ...]
    answer: BoardAnswer | None
    groupings: tuple[Grouping, ...]
    area_answers: tuple[AreaAnswer, ...]
    cleared: ClearedParts | None
    sheets: tuple[PaperSheet, ...]
    strikes: tuple[EnteredInError, ...]
    last_seq: int

    @property
    def ids(self) -> frozenset[uuid.UUID]:
        """The ids of all that counts, as far as it is kept here: of answers and lists the last one only."""
        last = [row for row in (self.answer, self.cleared) if row is not None]
        rows = (*self.strokes, *self.withdrawals, *self.groupings, *self.area_answers, *last)
        return frozenset(row.event_id for row in rows)


def kept_of(visit: Visit) -> Kept:
    """Seven queries, whatever was drawn; one more when some of it came from paper."""
    known = strikes.around(visit)
    struck = strikes.struck_in(visit, known)
    rows = {
        table: tuple(row for row in table._default_manager.filter(visit=visit) if row.event_id not in struck)
        for table in TABLES
    }
    return Kept(
        strokes=cast(tuple[StoredStroke, ...], rows[StoredStroke]),
        withdrawals=cast(tuple[Withdrawal, ...], rows[Withdrawal]),
        answer=cast(BoardAnswer | None, _last(rows[BoardAnswer])),
        groupings=cast(tuple[Grouping, ...], rows[Grouping]),
        area_answers=cast(tuple[AreaAnswer, ...], rows[AreaAnswer]),
        cleared=cast(ClearedParts | None, _last(rows[ClearedParts])),
        sheets=sheets_of(visit) if any(row.sheet_id for row in rows[StoredStroke]) else (),
        strikes=known,
        last_seq=max((row.seq for found in rows.values() for row in found), default=0),
    )


def sheets_of(visit: Visit) -> tuple[PaperSheet, ...]:
    """The papers entered for a visit, oldest first, those of a drawing that was struck too."""
    return tuple(PaperSheet.objects.filter(visit=visit).select_related("entered_by"))


def _last(rows: tuple[BoardEvent, ...]) -> BoardEvent | None:
    return rows[-1] if rows else None


def drawing_of(visit: Visit) -> Drawing:
    """The drawing of a visit: strokes less those withdrawn, in the order of drawing."""
    return drawing_in(kept_of(visit))


def drawing_in(kept: Kept) -> Drawing:
    gone = withdrawn_by(kept.withdrawals)
    rows = [row for row in kept.strokes if str(row.event_id) not in gone]
    answer = kept.answer
    used = {row.sheet_id for row in rows}
    return Drawing(
        strokes=tuple(as_stroke(row) for row in rows),
        drawn_by=tuple(sorted({row.drawn_by for row in rows})),
        intensities=dict(answer.intensities) if answer else {},
        no_pain=bool(answer and answer.no_pain),
        decisions=tuple(
            Decision(row.seq, str(row.event_id), tuple(row.strokes), row.together) for row in kept.groupings
        ),
        said=tuple(Said(tuple(row.strokes), symptoms.read(row.answers)) for row in kept.area_answers),
        cleared=tuple(kept.cleared.parts) if kept.cleared else (),
        sheets=tuple(sheet for sheet in kept.sheets if sheet.pk in used),
        strikes=kept.strikes,
    )


def sheet_of(visit: Visit, sheet_id: str) -> PaperSheet:
    """One paper drawing of this visit. Raises Http404 for any other, and once its drawing was struck."""
    try:
        sheet = get_object_or_404(PaperSheet, visit=visit, pk=uuid.UUID(sheet_id))
    except ValueError as problem:
        raise Http404("There is no such sheet.") from problem
    if is_struck(sheet):
        raise Http404("The drawing of this sheet was struck: it was entered in error.")
    return sheet


def is_struck(sheet: PaperSheet) -> bool:
    """Whether its drawing was struck after it was entered: nothing more is copied from it into this visit.

    A paper from which nothing had been copied at that moment counts as part of what was struck.
    """
    since = EnteredInError.objects.filter(visit=sheet.visit_id, struck_at__gt=sheet.entered_at)
    struck = {event_id for listed in since.values_list("events", flat=True) for event_id in listed}
    if not struck:
        return False
    copied = {
        str(event_id)
        for table in TABLES
        for event_id in table._default_manager.filter(sheet=sheet).values_list("event_id", flat=True)
    }
    return not copied or bool(copied & struck)


def description_of(visit: Visit) -> tuple[str, ...]:
    """The drawing of a visit in plain sentences, then the papers it was copied from; () for nothing."""
    drawing = drawing_of(visit)
    return (*describe.drawing(drawing.marks), *drawn_on_paper(drawing.sheets))


def state_of_drawing(visit: Visit) -> str:
    """What there is in a word: "drawn", "no pain", or "". Reads no points unless something was struck."""
    painted = StoredStroke.objects.filter(visit=OuterRef("pk"), kind__in=kinds.IDS)
    answers = BoardAnswer.objects.filter(visit=OuterRef("pk")).order_by("-seq", "-event_id")
    found = Visit.objects.filter(pk=visit.pk).values(
        is_painted=Exists(painted),
        takes_back=Exists(Withdrawal.objects.filter(visit=OuterRef("pk"))),
        no_pain=Subquery(answers.values("no_pain")[:1]),
        has_struck=Exists(EnteredInError.objects.filter(visit=OuterRef("pk"))),
    )
    told = found.get()
    if told["has_struck"]:
        standing = drawing_of(visit)
        return _in_a_word(not standing.is_empty, standing.no_pain)
    drawn = told["is_painted"] and not (told["takes_back"] and _all_withdrawn(visit))
    return _in_a_word(drawn, told["no_pain"])


def _in_a_word(is_drawn: bool, no_pain: bool | None) -> str:
    return "drawn" if is_drawn else "no pain" if no_pain else ""


def _all_withdrawn(visit: Visit) -> bool:
    painted = StoredStroke.objects.filter(visit=visit, kind__in=kinds.IDS)
    ids = {str(event_id) for event_id in painted.values_list("event_id", flat=True)}
    return ids <= withdrawn_by(Withdrawal.objects.filter(visit=visit))


def withdrawn_by(withdrawals: Iterable[SentWithdrawal]) -> set[str]:
    """The ids of the strokes that are out of the drawing, after `withdrawals` in the order of drawing."""
    gone: set[str] = set()
    for row in withdrawals:
        if row.restores:
            gone.difference_update(row.strokes)
        else:
            gone.update(row.strokes)
    return gone


def as_stroke(row: StoredStroke) -> Stroke:
    return stroke_on(row, row.drawn_by)


def stroke_on(row: SentStroke, layer: str) -> Stroke:
    """A stroke as it is painted; `layer`: whose drawing it is, "" where only one is kept."""
    return Stroke(
        id=str(row.event_id),
        seq=row.seq,
        view=row.view,
        kind=row.kind or None,
        mode=row.mode,
        nib_mm=row.nib_mm,
        points=tuple(Point(*point) for point in row.points),
        layer=layer,
        region=row.region,
    )


def hash_of_event(visit: Visit, event_id: uuid.UUID) -> str | None:
    """The hash of the body an event was kept with, or None when it is not known yet."""
    return hash_among(TABLES, visit=visit, event_id=event_id)


def hash_among(tables: Iterable[type[SentEvent]], **event: Any) -> str | None:
    """The hash of the first row that `event` names (by what was drawn on, and its id); None without any."""
    for table in tables:
        found = table._default_manager.filter(**event).values_list("body_sha256", flat=True).first()
        if found is not None:
            return str(found)
    return None


def size_of_drawing(visit: Visit) -> tuple[int, int]:
    """How many strokes and points a visit holds, withdrawn ones included; what was struck takes no room."""
    struck = strikes.struck_in(visit, EnteredInError.objects.filter(visit=visit))
    rows = StoredStroke.objects.filter(visit=visit).values_list("event_id", "points")
    sizes = [len(points) for event_id, points in rows if event_id not in struck]
    return len(sizes), sum(sizes)

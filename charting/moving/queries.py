"""What a move takes along, and where it can go."""

import uuid
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from bodymaps import marks
from bodymaps.marks import Mark
from charting.drawing import strikes
from charting.drawing.models import (
    TABLES,
    BoardEvent,
    DrawnBy,
    EnteredInError,
    PaperSheet,
    StoredStroke,
    Withdrawal,
)
from charting.drawing.queries import as_stroke, withdrawn_by
from charting.drawing.sources import TITLES
from charting.patients.queries import search
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import unsigned_visits, visits_of

# A page shows no more; who is not among the latest is looked for.
MOST = 12


@dataclass(frozen=True)
class Moving:
    """The rows of a drawing that go, in the order of drawing."""

    rows: tuple[BoardEvent, ...]

    @property
    def strokes(self) -> tuple[StoredStroke, ...]:
        return tuple(row for row in self.rows if isinstance(row, StoredStroke))

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The rows painted. Costs some 20 ms for a full drawing: ask once."""
        gone = withdrawn_by(row for row in self.rows if isinstance(row, Withdrawal))
        return marks.paint(as_stroke(row) for row in self.strokes if str(row.event_id) not in gone)

    def on(self, layers: Collection[str] | None) -> "Moving":
        """Those of some layers alone; None: of all."""
        return Moving(tuple(row for row in self.rows if layers is None or row.drawn_by in layers))

    @property
    def layers(self) -> tuple[DrawnBy, ...]:
        """Whose lines are among them: patient, helper, clinician."""
        found = {row.drawn_by for row in self.rows}
        return tuple(layer for layer in TITLES if layer in found)

    @property
    def sheets(self) -> tuple[PaperSheet, ...]:
        """The papers that the rows were copied from, each once."""
        return tuple({row.sheet_id: row.sheet for row in self.rows if row.sheet is not None}.values())


def what_moves(
    visit: Visit, only: EnteredInError | None = None, layers: Collection[str] | None = None
) -> Moving:
    """Everything drawn in a visit that still counts; with `only`, what was once moved here by that, and what
    was done to it since; with `layers`, what lies on those.
    """
    struck = strikes.struck_in(visit, strikes.around(visit))
    rows = [
        row
        for table in TABLES
        for row in table._default_manager.filter(visit=visit).select_related("sheet")
        if row.event_id not in struck
    ]
    if only is not None:
        rows = _of(rows, strikes.arrived_with(only))
    return Moving(tuple(sorted(rows, key=lambda row: (row.seq, row.event_id)))).on(layers)


def what_was_struck(strike: EnteredInError) -> Moving:
    """The rows that a strike struck, as they stand in its visit."""
    rows = [
        row
        for table in TABLES
        for row in table._default_manager.filter(visit=strike.visit_id).select_related("sheet")
        if str(row.event_id) in set(strike.events)
    ]
    return Moving(tuple(sorted(rows, key=lambda row: (row.seq, row.event_id))))


def struck_drawing(visit: Visit, strike_id: uuid.UUID) -> EnteredInError:
    """A drawing that was struck here and moved nowhere. Raises Http404."""
    known = EnteredInError.objects.select_related("visit__patient__practice")
    return get_object_or_404(known, pk=strike_id, visit=visit, moved_to=None)


def _of(rows: list[BoardEvent], came: frozenset[uuid.UUID]) -> list[BoardEvent]:
    return [row for row in rows if row.event_id in came or _is_about(row, came)]


def _is_about(row: BoardEvent, came: frozenset[uuid.UUID]) -> bool:
    about = strikes.acts_on(row)
    return bool(about) and about <= came


def ids_in(visit: Visit) -> frozenset[uuid.UUID]:
    """The ids of all events a visit has ever had, struck or not."""
    return frozenset(
        event_id
        for table in TABLES
        for event_id in table._default_manager.filter(visit=visit).values_list("event_id", flat=True)
    )


def targets(user: User, visit: Visit, text: str) -> tuple[Visit, ...]:
    """The open visits of this practice that a drawing of `visit` may be moved to, newest first, at most MOST.

    `text` looks for the person: a birth date, a record number, the beginnings of names.
    """
    others = _open_beside(user, visit)
    if text.strip():
        others = others.filter(patient__in=[person.pk for person in search(user, text).patients])
    return tuple(others[:MOST])


def target_of(user: User, visit: Visit, visit_id: uuid.UUID) -> Visit:
    """One of them. Raises Http404."""
    return get_object_or_404(_open_beside(user, visit), pk=visit_id)


def _open_beside(user: User, visit: Visit) -> QuerySet[Visit]:
    return unsigned_visits(user).filter(pk__in=visits_of(user)).exclude(pk=visit.pk)


def arrival(visit: Visit, strike_id: uuid.UUID) -> EnteredInError:
    """How a drawing came here from another chart. Raises Http404."""
    known = EnteredInError.objects.select_related("visit__patient")
    return get_object_or_404(known, pk=strike_id, moved_to=visit)

"""Where a drawing comes from: who drew, when, and from which paper it was copied."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min

from bodymaps import describe
from charting.drawing import strikes
from charting.drawing.areas import Told
from charting.drawing.models import BoardEvent, DrawnBy, StoredStroke
from charting.drawing.papers import with_helper
from charting.drawing.queries import Kept, withdrawn_by
from charting.visits.models import Visit

# What each layer is called on a page, in the order in which they are shown.
TITLES = {
    DrawnBy.PATIENT: "The patient",
    DrawnBy.HELPER: "Drawn for the patient",
    DrawnBy.CLINICIAN: "Findings of the clinician",
}


@dataclass(frozen=True)
class Layer:
    """Whose drawing it is: when and from what it was made, and what it shows in sentences."""

    id: str
    title: str
    sources: tuple[str, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Source:
    """One time somebody drew on a layer, in words: "25 November 2026, 14:05 to 14:12"."""

    layer: str
    words: str


def layers_of(visit: Visit, kept: Kept, told: Told) -> tuple[Layer, ...]:
    """Everybody who drew, with what they drew. Queries as `sources_of`."""
    found = sources_of(visit, kept)
    return tuple(
        Layer(
            id=str(layer),
            title=title,
            sources=tuple(source.words for source in found if source.layer == layer),
            sentences=(
                *describe.drawing([mark for mark in told.marks if mark.layer == layer]),
                *(describe.spot(spot) for spot in told.spots if spot.layer == layer),
            ),
        )
        for layer, title in TITLES.items()
        if any(source.layer == layer for source in found)
    )


def sources_of(visit: Visit, kept: Kept) -> tuple[Source, ...]:
    """All that still stands, by layer (patient, helper, clinician) and paper. One query more where some was
    moved here: the times are those of drawing, not of the move.
    """
    gone = withdrawn_by(kept.withdrawals)
    rows: list[BoardEvent] = [row for row in kept.strokes if str(row.event_id) not in gone]
    rows += [kept.answer] if kept.answer and kept.answer.no_pain else []
    first = _first_times(visit, kept)
    sheets = {sheet.pk: sheet for sheet in kept.sheets}
    groups = {(row.drawn_by, row.sheet_id): None for row in rows}
    return tuple(
        Source(layer, with_helper(sheets[sheet_id]) if sheet_id in sheets else _when(visit, times))
        for layer in TITLES
        for _, sheet_id in [group for group in groups if group[0] == layer]
        if (times := [first.get(row.event_id, row.received_at) for row in _of(rows, layer, sheet_id)])
    )


def _of(rows: Iterable[BoardEvent], layer: str, sheet_id: uuid.UUID | None) -> list[BoardEvent]:
    return [row for row in rows if (row.drawn_by, row.sheet_id) == (layer, sheet_id)]


def _when(visit: Visit, times: list[datetime]) -> str:
    first, last = strikes.moment(visit, min(times)), strikes.moment(visit, max(times))
    if first == last:
        return first
    same_day = first.rpartition(", ")[0] == last.rpartition(", ")[0]
    return f"{first} to {last.rpartition(', ')[2] if same_day else last}"


def _first_times(visit: Visit, kept: Kept) -> dict[uuid.UUID, datetime]:
    """When what was moved here arrived from the board, in the chart where it was drawn."""
    came = [strike for strike in kept.strikes if strike.moved_to_id == visit.pk]
    if not came:
        return {}
    ids = {event_id for strike in came for event_id in strike.events}
    known = StoredStroke.objects.filter(event_id__in=ids).values_list("event_id").annotate(Min("received_at"))
    first = dict(known)
    copies = {
        uuid.uuid5(strike.pk, event_id): first.get(uuid.UUID(event_id))
        for strike in came
        for event_id in strike.events
    }
    return first | {copy: at for copy, at in copies.items() if at is not None}

"""The drawings of many visits at once: four queries for one visit or a hundred.

What is painted of a signed visit is kept for the process: its drawing never changes again.
"""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from bodymaps import kinds, marks, surface
from bodymaps.marks import Mark
from charting.drawing.models import BoardAnswer, BoardEvent, EnteredInError, StoredStroke, Withdrawal
from charting.drawing.queries import as_stroke, withdrawn_by
from charting.visits.models import Visit

# As many signed drawings as are kept, the oldest forgotten first: some kilobytes each.
MOST_KEPT = 2000
Row = TypeVar("Row", bound=BoardEvent)
Ids = Mapping[uuid.UUID, frozenset[uuid.UUID]]


@dataclass(frozen=True)
class Painted:
    """A drawing as areas. `percent` of the body surface is in pain, findings not counted; `said_no_pain`:
    nothing is drawn because there was no pain.
    """

    marks: tuple[Mark, ...]
    percent: float
    said_no_pain: bool

    @property
    def is_told(self) -> bool:
        """Whether the visit says anything about where it hurts."""
        return self.said_no_pain or bool(marks.symptoms(self.marks))


_kept: dict[uuid.UUID, Painted] = {}


def painted_among(visits: Iterable[Visit]) -> Mapping[uuid.UUID, Painted]:
    """By the id of every visit given; one without a drawing has no marks. Visits given here came through the
    patients' door.
    """
    known = tuple(visits)
    read = _read([visit for visit in known if visit.pk not in _kept])
    _keep({visit.pk: read[visit.pk] for visit in known if visit.is_signed and visit.pk in read})
    return {visit.pk: read.get(visit.pk) or _kept[visit.pk] for visit in known}


def _keep(fresh: Mapping[uuid.UUID, Painted]) -> None:
    _kept.update(fresh)
    for visit in list(_kept)[: max(0, len(_kept) - MOST_KEPT)]:
        _kept.pop(visit, None)


def _read(visits: Iterable[Visit]) -> dict[uuid.UUID, Painted]:
    ids = [visit.pk for visit in visits]
    struck = _struck(ids)
    strokes = _by_visit(StoredStroke, ids, struck)
    withdrawals = _by_visit(Withdrawal, ids, struck)
    answers = _by_visit(BoardAnswer, ids, struck)
    return {visit: _painted(strokes[visit], withdrawals[visit], answers[visit][-1:]) for visit in ids}


def _struck(ids: Iterable[uuid.UUID]) -> Ids:
    found: dict[uuid.UUID, frozenset[uuid.UUID]] = defaultdict(frozenset)
    for visit, events in EnteredInError.objects.filter(visit__in=ids).values_list("visit", "events"):
        found[visit] |= {uuid.UUID(event_id) for event_id in events}
    return found


def _by_visit(table: type[Row], ids: Iterable[uuid.UUID], struck: Ids) -> dict[uuid.UUID, list[Row]]:
    """The rows that count, in the order of drawing. One query."""
    found: dict[uuid.UUID, list[Row]] = defaultdict(list)
    for row in table._default_manager.filter(visit__in=ids):
        if row.event_id not in struck[row.visit_id]:
            found[row.visit_id].append(row)
    return found


def _painted(
    strokes: Iterable[StoredStroke], withdrawals: Iterable[Withdrawal], answers: Iterable[BoardAnswer]
) -> Painted:
    gone = withdrawn_by(withdrawals)
    drawn = [as_stroke(row) for row in strokes if str(row.event_id) not in gone]
    found = marks.paint(drawn)
    is_empty = not any(stroke.kind in kinds.IDS for stroke in drawn)
    return Painted(found, surface.share(found), is_empty and any(row.no_pain for row in answers))

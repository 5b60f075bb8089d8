"""Everything that writes to a drawing: keep what the board sent."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from bodymaps import strokes
from charting.audit.services import Actor, record
from charting.drawing import events, queries
from charting.drawing.models import BoardEvent, DrawnBy, PaperSheet, StoredStroke
from charting.visits.models import Visit


@dataclass(frozen=True)
class Outcome:
    """What became of one request of the board: ids that are kept, and ids refused with a plain reason."""

    saved: tuple[str, ...]
    refused: tuple[tuple[str, str], ...]

    def as_json(self) -> dict[str, Any]:
        return {
            "saved": list(self.saved),
            "refused": [{"id": event_id, "why": why} for event_id, why in self.refused],
        }


@transaction.atomic
def save_events(
    *,
    who: Actor,
    visit: Visit,
    drawn_by: DrawnBy | str,
    sent: Iterable[Mapping[str, Any]],
    sheet: PaperSheet | None = None,
) -> Outcome:
    """Keep the board's events on one layer. Each is kept or refused by itself; a resend is harmless.

    `sheet` is the paper the events were copied from, if they were.
    """
    # One writer at a time per visit, so that the limits of a visit hold (a no-op on SQLite, which
    # has one writer for the whole file).
    locked = Visit.objects.select_for_update().get(pk=visit.pk)
    room = Room(*queries.size_of_drawing(locked))
    saved: list[str] = []
    refused: list[tuple[str, str]] = []
    for body in sent:
        try:
            _keep(locked, Source(str(drawn_by), sheet), body, room)
            saved.append(str(body["id"]))
        except events.Refused as problem:
            refused.append((_id_of(body), str(problem)))
    if saved:
        record(who=who, did="drew", what=visit, events=len(saved))
    return Outcome(tuple(saved), tuple(refused))


@dataclass(frozen=True)
class Source:
    """Whose layer an event goes to, and the paper it was copied from."""

    layer: str
    sheet: PaperSheet | None


@dataclass
class Room:
    """How full a drawing is: read once for a request, however many strokes it brings."""

    strokes: int
    points: int

    def take(self, row: StoredStroke) -> None:
        """Count one more stroke. Raises Refused past the limits of a visit."""
        try:
            strokes.check_room(self.strokes + 1, self.points + len(row.points))
        except strokes.StrokeError as problem:
            raise events.Refused(str(problem)) from problem
        self.strokes += 1
        self.points += len(row.points)


def _id_of(body: object) -> str:
    return str(body.get("id", "")) if isinstance(body, Mapping) else ""


def _keep(visit: Visit, source: Source, body: Mapping[str, Any], room: Room) -> None:
    event = events.parse(body)
    sha256 = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    known = queries.hash_of_event(visit, event.event_id)
    if known is not None:
        if known != sha256:
            raise events.Refused("this entry was saved before with another content")
        return
    if visit.is_signed:
        raise events.Refused("this visit is signed; its drawing can't change any more")
    row: BoardEvent = event.row(visit)
    row.drawn_by, row.sheet, row.body_sha256 = source.layer, source.sheet, sha256
    events.check_layer(row)
    if isinstance(row, StoredStroke):
        room.take(row)
    row.save(force_insert=True)

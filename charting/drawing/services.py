"""Everything that writes to a drawing: keep what the board sent, begin to copy one from paper."""

import hashlib
import json
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from bodymaps import strokes
from charting.audit.services import Actor, record
from charting.drawing import events, queries, strikes
from charting.drawing.models import BoardEvent, DrawnBy, EnteredInError, PaperSheet, StoredStroke
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.services import require_open


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
    shift: int = 0,
) -> Outcome:
    """Keep the board's events on one layer. Each is kept or refused by itself; a resend is harmless.

    `sheet` is the paper the events were copied from, if they were. `shift` is added to their numbers: they
    follow a drawing that was moved here (charting.drawing.strikes.home_of).
    """
    # One writer at a time per visit, so that the limits of a visit hold (a no-op on SQLite, which
    # has one writer for the whole file).
    locked = Visit.objects.select_for_update().get(pk=visit.pk)
    room = Room(*queries.size_of_drawing(locked))
    saved: list[str] = []
    refused: list[tuple[str, str]] = []
    for body in sent:
        try:
            _keep(locked, Source(str(drawn_by), sheet, shift), body, room)
            saved.append(str(body["id"]))
        except events.Refused as problem:
            refused.append((_id_of(body), str(problem)))
    if saved:
        record(who=who, did="drew", what=visit, events=len(saved))
    return Outcome(tuple(saved), tuple(refused))


@transaction.atomic
def strike_too(*, who: Actor, strike: EnteredInError, event_ids: Iterable[str]) -> None:
    """Strike what came late to a drawing that was struck without being moved. A resend changes nothing."""
    struck = strikes.struck_in(strike.visit, strikes.around(strike.visit))
    late = [each for each in event_ids if uuid.UUID(each) not in struck]
    if late:
        EnteredInError.objects.create(
            visit=strike.visit, events=late, reason=strike.reason, struck_by=strike.struck_by
        )
        record(who=who, did="struck drawing", what=strike.visit, events=len(late), with_=str(strike.pk))


@transaction.atomic
def enter_sheet(
    *,
    who: User,
    visit: Visit,
    id: uuid.UUID,  # noqa: A002 - the column
    drawn_by: str,
    helper: str,
    drawn_on: date,
) -> PaperSheet:
    """Begin to copy a drawing from paper. The same `id` again is the sheet made before.

    Raises PermissionDenied, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    told = {"visit": visit, "drawn_by": drawn_by, "helper": helper, "drawn_on": drawn_on, "entered_by": who}
    sheet, made = PaperSheet.objects.get_or_create(id=id, defaults=told)
    if sheet.visit_id != visit.pk:
        raise PermissionDenied("Open the drawing of this visit once more.")
    if made:
        record(who=who, did="entered sheet", what=visit, sheet=str(sheet.pk), layer=drawn_by)
    return sheet


@dataclass(frozen=True)
class Source:
    """Whose layer an event goes to, the paper it was copied from, and how far its number is shifted."""

    layer: str
    sheet: PaperSheet | None
    shift: int = 0


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
    row.seq += source.shift
    events.check_layer(row)
    if isinstance(row, StoredStroke):
        room.take(row)
    row.save(force_insert=True)

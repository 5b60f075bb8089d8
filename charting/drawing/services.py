"""Everything that writes to a drawing: keep what the board sent, hand the device over, take it back."""

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from bodymaps import strokes
from charting.audit.services import Actor, record
from charting.drawing import events, queries
from charting.drawing.access import digest
from charting.drawing.models import DrawnBy, HandOver, StoredStroke
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

# Long enough for a slow drawing, short enough that a forgotten tablet closes itself.
HAND_OVER_LASTS = timedelta(minutes=45)


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
    *, who: Actor, visit: Visit, drawn_by: DrawnBy | str, sent: Iterable[Mapping[str, Any]]
) -> Outcome:
    """Keep the board's events. Each is kept or refused by itself; a resend of a kept one is harmless."""
    # One writer at a time per visit, so that the limits of a visit hold (a no-op on SQLite, which
    # has one writer for the whole file).
    locked = Visit.objects.select_for_update().get(pk=visit.pk)
    room = Room(*queries.size_of_drawing(locked))
    saved: list[str] = []
    refused: list[tuple[str, str]] = []
    for body in sent:
        try:
            _keep(locked, str(drawn_by), body, room)
            saved.append(str(body["id"]))
        except events.Refused as problem:
            refused.append((_id_of(body), str(problem)))
    if saved:
        record(who=who, did="drew", what=visit, events=len(saved))
    return Outcome(tuple(saved), tuple(refused))


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


def _keep(visit: Visit, drawn_by: str, body: Mapping[str, Any], room: Room) -> None:
    event = events.parse(body)
    sha256 = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    known = queries.hash_of_event(visit, event.event_id)
    if known is not None:
        if known != sha256:
            raise events.Refused("this entry was saved before with another content")
        return
    if visit.is_signed:
        raise events.Refused("this visit is signed; its drawing can't change any more")
    row = event.row(visit)
    if isinstance(row, StoredStroke):
        room.take(row)
    row.drawn_by, row.body_sha256 = drawn_by, sha256
    row.save(force_insert=True)


@transaction.atomic
def hand_over(*, who: User, visit: Visit, drawn_by: str = DrawnBy.PATIENT) -> tuple[HandOver, str]:
    """Make a token for this visit's board. Returns the row and the token, which is stored nowhere."""
    require(who, "register")
    token = secrets.token_urlsafe(32)
    row = HandOver.objects.create(
        visit=visit,
        given_by=who,
        drawn_by=drawn_by,
        token_sha256=digest(token),
        expires_at=timezone.now() + HAND_OVER_LASTS,
    )
    record(who=who, did="handed over", what=visit, hand_over=str(row.pk))
    return row, token


@transaction.atomic
def take_back(*, who: User, token: str) -> None:
    """End the hand-over of this token; a token that is unknown or ended is no error."""
    row = HandOver.objects.filter(token_sha256=digest(token), ended_at=None).first()
    if row is None:
        return
    row.ended_at = timezone.now()
    row.save(update_fields=["ended_at"])
    record(who=who, did="took back", what=row.visit, hand_over=str(row.pk))

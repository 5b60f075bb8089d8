"""What the board sends, turned into clean values at the door."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bodymaps import kinds, strokes
from charting.drawing.models import BoardAnswer, BoardEvent, StoredStroke, Withdrawal
from charting.visits.models import Visit

MAX_SEQ = 1_000_000


class Refused(Exception):
    """One event that is not kept; the text tells the person at the board why."""


@dataclass(frozen=True)
class Event:
    """One parsed event: its id and number, and the table and columns it becomes."""

    event_id: uuid.UUID
    seq: int
    table: type[BoardEvent]
    columns: Mapping[str, Any]

    def row(self, visit: Visit) -> BoardEvent:
        return self.table(visit=visit, event_id=self.event_id, seq=self.seq, **self.columns)


def parse(body: Mapping[str, Any]) -> Event:
    """Raises Refused with a plain reason for anything that is not one of the board's three events."""
    if not isinstance(body, Mapping):
        raise Refused("an entry must be an object with a type")
    reader = {"stroke": _stroke, "withdraw": _withdrawal, "answer": _answer}.get(str(body.get("type")))
    if reader is None:
        raise Refused("an entry must be a stroke, a withdrawal or an answer")
    table, columns = reader(body)
    return Event(_id(body.get("id")), _seq(body.get("seq")), table, columns)


def _id(value: object) -> uuid.UUID:
    try:
        return uuid.UUID(str(value))
    except ValueError as problem:
        raise Refused("an entry needs an id made on the device (a UUID)") from problem


def _seq(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MAX_SEQ:
        raise Refused("an entry needs its number in the order of drawing")
    return value


def _stroke(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    try:
        stroke = strokes.parse({key: body[key] for key in body if key != "type"})
    except strokes.StrokeError as problem:
        raise Refused(str(problem)) from problem
    return StoredStroke, {
        "view": stroke.view,
        "kind": stroke.kind or "",
        "mode": stroke.mode,
        "nib_mm": stroke.nib_mm,
        "points": [[p.x, p.y, p.pressure, p.t_ms] for p in stroke.points],
    }


def _withdrawal(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    listed = body.get("strokes")
    if not isinstance(listed, list) or not listed:
        raise Refused("a withdrawal must name the strokes it takes back")
    if len(listed) > strokes.LIMITS.strokes_per_visit:
        raise Refused("a withdrawal names more strokes than a drawing can hold")
    restores = body.get("restores", False)
    if not isinstance(restores, bool):
        raise Refused("a withdrawal either takes back or restores")
    return Withdrawal, {"strokes": [str(_id(item)) for item in listed], "restores": restores}


def _answer(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    intensities = body.get("intensities", {})
    no_pain = body.get("no_pain", False)
    if not isinstance(intensities, dict) or not isinstance(no_pain, bool):
        raise Refused("an answer holds a number from 0 to 10 for each kind, and whether there is no pain")
    for kind, value in intensities.items():
        if kind not in kinds.IDS:
            raise Refused("an intensity names a kind of sensation that is not on the list")
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 10:
            raise Refused("an intensity is a whole number from 0 to 10")
    return BoardAnswer, {"intensities": intensities, "no_pain": no_pain}

"""What the board sends, turned into clean values at the door."""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from bodymaps import kinds, parts, strokes
from charting.drawing import symptoms
from charting.drawing.models import (
    AreaAnswer,
    BoardAnswer,
    BoardEvent,
    ClearedParts,
    DrawnBy,
    Grouping,
    StoredStroke,
    Withdrawal,
)
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


def parse(body: Mapping[str, Any], shown: tuple[str, ...] = kinds.ALL_IDS) -> Event:
    """Raises Refused with a plain reason for anything that is not one of the board's events. `shown` is what
    a stroke can show.
    """
    if not isinstance(body, Mapping):
        raise Refused("an entry must be an object with a type")
    reader = READERS.get(str(body.get("type")))
    if reader is None:
        raise Refused(f"an entry must be one of: {', '.join(READERS)}")
    table, columns = _stroke(body, shown) if reader is _stroke else reader(body)
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


def _stroke(
    body: Mapping[str, Any], shown: tuple[str, ...] = kinds.ALL_IDS
) -> tuple[type[BoardEvent], dict[str, Any]]:
    try:
        stroke = strokes.parse({key: body[key] for key in body if key != "type"}, shown)
    except strokes.StrokeError as problem:
        raise Refused(str(problem)) from problem
    return StoredStroke, {
        "view": stroke.view,
        "kind": stroke.kind or "",
        "mode": stroke.mode,
        "nib_mm": stroke.nib_mm,
        "points": [[p.x, p.y, p.pressure, p.t_ms] for p in stroke.points],
        "region": stroke.region,
    }


def _withdrawal(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    restores = body.get("restores", False)
    if not isinstance(restores, bool):
        raise Refused("a withdrawal either takes back or restores")
    return Withdrawal, {"strokes": _strokes_of(body), "restores": restores}


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


def _grouping(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    together = body.get("together")
    if not isinstance(together, bool):
        raise Refused("strokes are put together or apart")
    return Grouping, {"strokes": _strokes_of(body), "together": together}


def _area(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    try:
        answers = symptoms.read(body.get("answers"))
    except symptoms.SymptomError as problem:
        raise Refused(str(problem)) from problem
    return AreaAnswer, {"strokes": _strokes_of(body), "answers": answers.as_json()}


def _cleared(body: Mapping[str, Any]) -> tuple[type[BoardEvent], dict[str, Any]]:
    listed = body.get("parts")
    if not isinstance(listed, list) or not set(map(str, listed)) <= set(parts.KEYS):
        raise Refused("a part of the body where there is nothing must be one on the list")
    return ClearedParts, {"parts": [key for key in parts.KEYS if key in listed]}


def _strokes_of(body: Mapping[str, Any]) -> list[str]:
    listed = body.get("strokes")
    if not isinstance(listed, list) or not listed:
        raise Refused("an entry about strokes must name them")
    if len(listed) > strokes.LIMITS.strokes_per_visit:
        raise Refused("an entry names more strokes than a drawing can hold")
    return [str(_id(item)) for item in listed]


Reader = Callable[[Mapping[str, Any]], tuple[type[BoardEvent], dict[str, Any]]]
READERS: dict[str, Reader] = {
    "stroke": _stroke,
    "withdraw": _withdrawal,
    "answer": _answer,
    "group": _grouping,
    "area": _area,
    "cleared": _cleared,
}


def check_layer(row: BoardEvent) -> None:
    """Raise Refused when a stroke shows what its layer does not hold: symptoms or findings."""
    if not isinstance(row, StoredStroke) or not row.kind:
        return
    if (row.kind in kinds.FINDINGS) != (row.drawn_by == DrawnBy.CLINICIAN):
        raise Refused("findings belong on the clinician's layer, what the patient feels on the patient's")

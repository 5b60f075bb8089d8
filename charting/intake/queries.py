"""Every read of what the patient did alone beside story and drawing. A visit given here came through a
door.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from charting.handover.models import HandOver
from charting.intake.models import ConsentRead
from charting.intake.scoring import ScoreScreen, screens_of
from charting.outcomes.models import OutcomeScore
from charting.telling.models import Telling
from charting.visits.models import Visit


@dataclass(frozen=True)
class Reading:
    """One text as it was read on the device. `read_at`: when its end was reached, None while it was not;
    `upto`: how many parts were read when a question was last noted. `version`: that of the text.
    """

    text_id: str
    version: int
    read_at: datetime | None
    upto: int
    questions: tuple[str, ...]


def readings_of(visit: Visit) -> Mapping[str, Reading]:
    """By the id of the text; of several versions the one read last. One query."""
    found: dict[str, Reading] = {}
    for row in ConsentRead.objects.filter(visit=visit).order_by("read_at", "pk"):
        before = found.get(row.text_id)
        found[row.text_id] = _with(before if before and before.version == row.text_version else None, row)
    return found


def _with(before: Reading | None, row: ConsentRead) -> Reading:
    asked = (*(before.questions if before else ()), *([row.questions] if row.questions else []))
    through = row.read_at if row.upto is None else None
    return Reading(
        text_id=row.text_id,
        version=row.text_version,
        read_at=through or (before.read_at if before else None),
        upto=max(row.upto or 0, before.upto if before else 0),
        questions=tuple(dict.fromkeys(asked)),
    )


def answered_later(telling: Telling, key: str) -> bool:
    """Whether a device that went on from this one answered the same anew, or went on from there."""
    after = Telling.objects.filter(continues=telling).order_by("begun_at").first()
    return after is not None and (key in (after.own or ()) or answered_later(after, key))


def activities_of(
    telling: Telling | None, screen: ScoreScreen, row: OutcomeScore | None
) -> tuple[dict[str, Any], ...]:
    """{"name", "value"} of each activity: as recorded, else as typed so far, else as they were named
    before.
    """
    typed = (telling.typed or {}).get(screen.instrument, []) if telling else []
    named = row.answers.get("activities", []) if row else typed
    before = [{"name": name, "value": None} for name in screen.named_before]
    return tuple(named or before)


@dataclass(frozen=True)
class Answered:
    """One rating as it stands: None for no number, "" for no name."""

    value: int | None
    name: str


def answered_in(held: HandOver, telling: Telling | None, screen: ScoreScreen) -> Answered:
    """Two queries at most."""
    row = OutcomeScore.objects.filter(visit=held.visit_id, instrument=screen.instrument).first()
    if not screen.place:
        return Answered((row.answers if row else {}).get(screen.member or "value"), "")
    named = activities_of(telling, screen, row)
    one = named[screen.place - 1] if len(named) >= screen.place else {}
    return Answered(one.get("value"), str(one.get("name", "")))


def open_screens(held: HandOver, wanted: str = "") -> tuple[ScoreScreen, ...]:
    """The screens of this person, those for one more activity as far as they are used, or `wanted`."""
    screens = screens_of(held.visit)
    used = max((each.place for each in screens if each.id == wanted), default=0)
    if first := next((each for each in screens if each.more), None):
        row = OutcomeScore.objects.filter(visit=held.visit_id, instrument=first.instrument).first()
        telling = Telling.objects.filter(hand_over=held).first()
        used = max(used, len(activities_of(telling, first, row)))
    return tuple(each for each in screens if not each.more or each.place <= used)

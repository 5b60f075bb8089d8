"""Every write of what a patient answers and reads alone beside the story: saved as it is given, never
signed.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from charting.audit.services import Actor, record
from charting.consent.texts import ConsentText
from charting.handover.models import HandOver
from charting.intake.models import ConsentRead
from charting.intake.queries import activities_of, answered_later
from charting.intake.scoring import ScoreScreen
from charting.outcomes import services as outcomes
from charting.outcomes.models import OutcomeScore
from charting.staff.models import User
from charting.telling.models import Telling
from charting.telling.queries import LATE
from charting.telling.services import open_telling
from charting.versioning import Stale


@transaction.atomic
def save_score(*, held: HandOver, screen: ScoreScreen, value: int | None, name: str, at: str) -> Telling:
    """Keep one rating as it stands on the device, and which screen is open next (`at`). None takes it back.
    Raises telling.services.Closed, outcomes.services.WrongAnswers.
    """
    telling = open_telling(held)
    put_score(telling, held, screen, value, name)
    telling.at = at
    telling.save()
    return telling


def put_score(
    telling: Telling, who: User | HandOver, screen: ScoreScreen, value: int | None, name: str = ""
) -> None:
    """One rating into the scores of the visit, unless it was answered anew on a later device, or the
    clinician wrote this score down: then it is kept as having come late. The telling is saved by who calls.
    """
    key = f"scores/{screen.id}"
    if telling.continues_id:
        telling.own = sorted({*(telling.own or ()), key})
    is_older = answered_later(telling, key)
    if (is_older or not _put(telling, who, screen, value, name)) and value is not None:
        _keep_typed(telling, f"{LATE}{key}", {"name": name, "value": value})
        telling.late = sorted({*(telling.late or ()), key}) if is_older else telling.late


def _put(telling: Telling, who: User | HandOver, screen: ScoreScreen, value: int | None, name: str) -> bool:
    """False when it may not be put."""
    try:
        return _again(lambda: _save(telling, who, screen, value, name))
    except PermissionDenied:
        return False


def _again(act: Callable[[], bool]) -> bool:
    """Once more when somebody saved in between: what one screen holds is laid over what stands then."""
    try:
        with transaction.atomic():
            return act()
    except Stale:
        return act()


def _save(telling: Telling, who: User | HandOver, screen: ScoreScreen, value: int | None, name: str) -> bool:
    row = OutcomeScore.objects.filter(visit=telling.visit, instrument=screen.instrument).first()
    if row is not None and row.said_by != OutcomeScore.SaidBy.PATIENT:
        return False
    answers = _with(telling, screen, row, value, name)
    if screen.place:
        named = [] if outcomes.has_answer(answers) else answers["activities"]
        _keep_typed(telling, screen.instrument, named)
    outcomes.save_scores(
        who=who,
        visit=telling.visit,
        instrument=screen.instrument,
        answers=answers if outcomes.has_answer(answers) else {},
        version=row.version if row else 0,
        form=screen.form,
        said_by=OutcomeScore.SaidBy.PATIENT.value,
    )
    return True


def _with(
    telling: Telling, screen: ScoreScreen, row: OutcomeScore | None, value: int | None, name: str
) -> dict[str, Any]:
    known = dict(row.answers) if row else {}
    if not screen.place:
        return {**known, screen.member or "value": value}
    named = [dict(one) for one in activities_of(telling, screen, row)]
    here = screen.place - 1
    named[here : here + 1] = [{"name": name, "value": value}] if name else []
    return {"activities": named}


def _keep_typed(telling: Telling, key: str, what: Any) -> None:
    """What is no answer yet; nothing of it takes it out again."""
    left = {name: kept for name, kept in (telling.typed or {}).items() if name != key}
    telling.typed = {**left, key: what} if what else left or None


@transaction.atomic
def save_reading(
    *, held: HandOver, text: ConsentText, part: int, question: str, at: str, is_noted: bool
) -> Telling:
    """Keep what somebody is about to ask about this part (from 1); `is_noted`: they went on, and it stands.
    Raises telling.services.Closed.
    """
    telling = open_telling(held)
    _keep_typed(telling, place_of_part(text.id, part), "" if is_noted else question)
    if is_noted:
        note_question(telling, held, text, part, question)
    telling.at = at
    telling.save()
    return telling


def note_question(telling: Telling, who: Actor, text: ConsentText, part: int, question: str) -> None:
    """One row for each question, once."""
    words = " ".join(question.split())
    asked = {"visit": telling.visit, "text_id": text.id, "text_version": text.version, "questions": words}
    if not words or ConsentRead.objects.filter(**asked).exists():
        return
    ConsentRead.objects.create(hand_over=telling.hand_over, upto=part, **asked)
    record(who=who, did="asked about consent text", what=telling.visit, text=text.id, version=text.version)


@transaction.atomic
def read_through(*, held: HandOver, text: ConsentText, at: str) -> Telling:
    """The end of a text was reached. Reading signs nothing. Raises telling.services.Closed."""
    telling = open_telling(held)
    read = {"visit": telling.visit, "text_id": text.id, "text_version": text.version, "upto": None}
    if not ConsentRead.objects.filter(**{k: v for k, v in read.items() if k != "upto"}, upto=None).exists():
        ConsentRead.objects.create(hand_over=held, **read)
        record(who=held, did="read consent text", what=telling.visit, text=text.id, version=text.version)
    telling.at = at
    telling.save()
    return telling


def place_of_part(text_id: str, part: int) -> str:
    return f"reading/{text_id}/{part}"


def keep_late(telling: Telling, key: str, what: Mapping[str, Any]) -> None:
    """What came when it can't be put in its place any more: kept beside it, for the clinician to read."""
    if what:
        _keep_typed(telling, f"{LATE}{key}", dict(what))

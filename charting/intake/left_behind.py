"""What was answered on a device and arrives later: from the device itself, or sent by staff who found it
there.

An entry is one screen as it stood: {"id", "screen", "fields": [[name, value], ...]}. It never takes the
place of what was answered anew on a later device, nor of what a clinician has read: then it is kept as
having come late.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.http import QueryDict

from charting.audit.services import record
from charting.consent.queries import texts_in_use
from charting.handover.models import HandOver
from charting.intake import services
from charting.intake.forms import QuestionForm, ScoreForm
from charting.intake.scoring import screens_of
from charting.staff.models import User
from charting.staff.rights import require
from charting.telling import screens
from charting.telling.forms import AnswersForm
from charting.telling.models import Telling
from charting.telling.services import keep
from charting.visits.services import VisitSigned, require_open

UNKNOWN = "what was answered there is asked no more"
UNREADABLE = "it could not be read"
SIGNED = "this visit is signed; its answers can't change any more"
MOST_FIELDS = 200


class Refused(Exception):
    """One entry that is not kept; the text says why."""


@transaction.atomic
def take_late(*, held: HandOver, who: User | HandOver, sent: Iterable[Any]) -> dict[str, Any]:
    """Keep what arrives: {"saved": [ids], "refused": [{"id", "why"}]}. `who` sends: the device, or staff."""
    if isinstance(who, User):
        require(who, "register")
    saved: list[str] = []
    refused: list[dict[str, str]] = []
    telling = Telling.objects.select_for_update().filter(hand_over=held).first()
    telling = telling or Telling(visit=held.visit, hand_over=held)
    for entry in sent:
        name = str(entry.get("id", "")) if isinstance(entry, Mapping) else ""
        try:
            _take(telling, who, entry)
            saved.append(name)
        except Refused as problem:
            refused.append({"id": name, "why": str(problem)})
    if saved:
        telling.save()
        record(who=who, did="told late", what=held.visit, hand_over=str(held.pk), entries=len(saved))
    return {"saved": saved, "refused": refused}


def _take(telling: Telling, who: User | HandOver, entry: Any) -> None:
    try:
        require_open(telling.visit)
    except VisitSigned as problem:
        raise Refused(SIGNED) from problem
    if not isinstance(entry, Mapping) or not isinstance(entry.get("screen"), str):
        raise Refused(UNREADABLE)
    data = _data(entry.get("fields"))
    part, _, rest = entry["screen"].partition("/")
    if part == "scores":
        _take_score(telling, who, rest, data)
    elif part == "reading":
        _take_question(telling, who, rest, data)
    else:
        _take_answers(telling, who, part, data)


def _data(fields: Any) -> QueryDict:
    if not isinstance(fields, list) or len(fields) > MOST_FIELDS:
        raise Refused(UNREADABLE)
    data = QueryDict(mutable=True)
    for pair in fields:
        if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(one, str) for one in pair):
            raise Refused(UNREADABLE)
        data.appendlist(*pair)
    return data


def _take_answers(telling: Telling, who: User | HandOver, screen_id: str, data: QueryDict) -> None:
    screen = next((each for each in screens.load().screens if each.id == screen_id), None)
    if screen is None:
        raise Refused(UNKNOWN)
    form = AnswersForm(screen.items, data)
    form.is_valid()
    if telling.settled_at or telling.taken:
        services.keep_late(telling, screen_id, _new_in(telling, form.answers()))
    else:
        _saved(telling)
        keep(telling, who, screen, form.answers())


def _new_in(telling: Telling, answers: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in answers.items() if telling.answers.get(key) != value}


def _take_score(telling: Telling, who: User | HandOver, screen_id: str, data: QueryDict) -> None:
    screen = next((each for each in screens_of(telling.visit) if each.id == screen_id), None)
    if screen is None:
        services.keep_late(telling, f"scores/{screen_id}", data.dict())
        return
    form = ScoreForm(screen, data)
    if not form.is_valid():
        services.keep_late(telling, f"scores/{screen_id}", {k: v for k, v in data.items() if v})
        return
    _saved(telling)
    services.put_score(telling, who, screen, form.number, form.named)


def _take_question(telling: Telling, who: User | HandOver, rest: str, data: QueryDict) -> None:
    text_id, _, number = rest.partition("/")
    text = texts_in_use(telling.visit.patient.practice).get(text_id)
    if text is None or not number.isascii() or not number.isdigit():
        raise Refused(UNKNOWN)
    form = QuestionForm(data)
    form.is_valid()
    _saved(telling)
    services.note_question(telling, who, text, int(number[:4]), form.cleaned_data.get("question", ""))


def _saved(telling: Telling) -> None:
    """What is passed on to another telling asks for one that is stored."""
    if telling._state.adding:
        telling.save()

"""Every write of what a patient tells alone: saved as it is given, handed in, taken over or set aside."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.handover.models import HandOver
from charting.history import services as history
from charting.history.models import DangerAnswer, ToldBy
from charting.history.queries import screen_of
from charting.staff.models import User
from charting.staff.rights import require
from charting.telling.models import Telling
from charting.telling.queries import day_of
from charting.telling.screens import Screen, that_hold
from charting.versioning import Stale
from charting.visits.services import VisitSigned, require_open

OVER = "The time for answering is over. Please give the device back."
SIGNED = "The clinician has closed this visit. Please give the device back."
READ = "The clinician has read your answers already. Tell them what you want to change."


class Closed(Exception):
    """Nothing can be answered here any more; the text says why, in words for the patient."""


@transaction.atomic
def save(
    *, held: HandOver, screen: Screen, answers: Mapping[str, Any], at: str, handed_in: bool = False
) -> Telling:
    """Keep the answers of one screen as they stand on the device, in place of those kept of it before, and
    which screen is open next (`at`). `handed_in`: the patient is through and goes on to the drawing.

    One device has one pair of hands: the last answer counts. Another device tells apart (Telling.hand_over).
    Raises Closed.
    """
    telling = _open_telling(held)
    others = {item.key for item in screen.items}
    kept = {key: value for key, value in telling.answers.items() if key not in others}
    visit = telling.visit
    found = that_hold({**kept, **answers}, visit.patient, day_of(visit))
    if found != telling.answers:
        telling.answers, telling.version = found, telling.version + 1
        told = {"telling": str(telling.pk), "version": telling.version}
        record(who=held, did="told", what=visit, screen=screen.id, **told)
    if handed_in and telling.handed_in_at is None:
        telling.handed_in_at = timezone.now()
        record(who=held, did="handed in story", what=visit, telling=str(telling.pk), version=telling.version)
    telling.at = at
    telling.save()
    HandOver.objects.filter(pk=held.pk).update(heard_at=timezone.now())
    return telling


def _open_telling(held: HandOver) -> Telling:
    """The telling of this device, locked; a new one at the first answer. Raises Closed."""
    running = HandOver.objects.select_for_update().filter(
        pk=held.pk, ended_at=None, expires_at__gt=timezone.now(), tells=True
    )
    if not running.exists():
        raise Closed(OVER)
    try:
        require_open(held.visit)
    except VisitSigned as problem:
        raise Closed(SIGNED) from problem
    telling, _ = Telling.objects.select_for_update().get_or_create(
        hand_over=held, defaults={"visit": held.visit}
    )
    if telling.settled_at or telling.taken:
        raise Closed(READ)
    return telling


def story_draft(telling: Telling) -> str:
    return f"told:{telling.pk}"


def danger_draft(telling: Telling) -> str:
    return f"told-danger:{telling.pk}"


@transaction.atomic
def take(*, who: User, telling: Telling, version: int, story: int, answers: Mapping[str, Any]) -> Telling:
    """Take answers of the pages story and standing into the record, as told or as the clinician changed them.

    `version` and `story`: those of the telling and of the story that were read. What was told stays in the
    telling as it was told. Raises Stale (its `current` a Telling or a Story), VisitSigned.
    """
    row = _to_settle(who, telling, version)
    history.save_answers(
        who=who, visit=row.visit, version=story, answers=answers, told_by=ToldBy.PATIENT.value
    )
    _taken(row, who, answers)
    forget(who=who, key=story_draft(row))
    record(who=who, did="took told answers", what=row.visit, telling=str(row.pk), keys=sorted(answers))
    return row


@transaction.atomic
def take_danger(
    *,
    who: User,
    telling: Telling,
    version: int,
    state: str,
    answers: Mapping[str, tuple[str, str]],
) -> Telling:
    """Answer the whole danger screen, with what the patient said beside it: question id to (answer, remark).

    An empty remark says what the patient answered. Raises ValueError, Stale (also when somebody answered
    since `state`), VisitSigned.
    """
    row = _to_settle(who, telling, version)
    known = {each.question.id: (each.answer, each.remark) for each in screen_of(row.visit)}
    with_source = {
        key: (
            said,
            remark or _as_told(row.answers.get(key, "")) if known.get(key) != (said, remark) else remark,
        )
        for key, (said, remark) in answers.items()
    }
    history.answer_danger_screen(who=who, visit=row.visit, state=state, answers=with_source)
    _taken(row, who, {key: said for key, (said, _) in answers.items() if key in row.answers})
    forget(who=who, key=danger_draft(row))
    record(who=who, did="took told dangers", what=row.visit, telling=str(row.pk))
    return row


@transaction.atomic
def set_aside(*, who: User, telling: Telling, version: int) -> Telling:
    """Read, and no more of it taken over. What was told stays as it was told. Raises Stale, VisitSigned."""
    row = _to_settle(who, telling, version)
    row.settled_at, row.settled_by = timezone.now(), who
    row.save()
    left = sorted(set(row.answers) - set(row.taken))
    record(who=who, did="set told answers aside", what=row.visit, telling=str(row.pk), keys=left)
    return row


def _to_settle(who: User, telling: Telling, version: int) -> Telling:
    """The telling, locked, if it still is as it was read. Raises Stale, VisitSigned."""
    require(who, "treat")
    require_open(telling.visit)
    row = Telling.objects.select_for_update().select_related("visit__patient").get(pk=telling.pk)
    if row.settled_at or row.version != version:
        raise Stale(row)
    return row


def _taken(row: Telling, who: User, answers: Mapping[str, Any]) -> None:
    """Keep which keys were taken and which of them changed; settled when nothing of it is left."""
    changed = {key for key, value in answers.items() if value != row.answers.get(key)}
    row.taken = sorted({*row.taken, *answers})
    row.changed = sorted({*row.changed, *changed})
    if set(row.answers) <= set(row.taken):
        row.settled_at, row.settled_by = timezone.now(), who
    row.save()


def _as_told(answer: str) -> str:
    if not answer:
        return ""
    return f"The patient answered on the device: {DangerAnswer.Answer(answer).label.lower()}."

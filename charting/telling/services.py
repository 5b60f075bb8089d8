"""Every write of what a patient tells alone: saved as it is given, handed in, taken over or set aside."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.audit.services import Actor, record
from charting.drafts.services import forget
from charting.handover.models import HandOver
from charting.history import services as history
from charting.history.models import DangerAnswer, ToldBy
from charting.history.queries import screen_of
from charting.staff.models import User
from charting.staff.rights import require
from charting.telling.models import Telling
from charting.telling.queries import DONE, LATE, day_of, telling_behind, to_go_on_with
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
    which screen is open next (`at`). `handed_in`: the patient is through with the questions.

    One device has one pair of hands: the last answer counts. Of two devices the later counts, whenever what
    the earlier one holds arrives. Raises Closed.
    """
    telling = open_telling(held)
    keep(telling, held, screen, answers)
    if handed_in and telling.handed_in_at is None:
        telling.handed_in_at = timezone.now()
        record(
            who=held,
            did="handed in story",
            what=telling.visit,
            telling=str(telling.pk),
            version=telling.version,
        )
    telling.at = at
    telling.save()
    return telling


def keep(telling: Telling, who: Actor, screen: Screen, answers: Mapping[str, Any]) -> None:
    """What one screen holds, into the telling of its device, and on into that which goes on with it. The
    telling is locked and saved by who calls.
    """
    before = dict(telling.answers)
    mine = {item.key for item in screen.items}
    kept = {key: value for key, value in before.items() if key not in mine}
    found = that_hold({**kept, **answers}, telling.visit.patient, day_of(telling.visit))
    if telling.continues_id:
        telling.own = sorted({*(telling.own or ()), *(mine & {*before, *found})})
    if found != before:
        _change(telling, who, found, screen.id)
        pass_on(telling, {key: found.get(key) for key in mine if found.get(key) != before.get(key)}, who)


def _change(telling: Telling, who: Actor, answers: dict[str, Any], screen: str) -> None:
    telling.answers, telling.version = answers, telling.version + 1
    told = {"telling": str(telling.pk), "version": telling.version}
    record(who=who, did="told", what=telling.visit, screen=screen, **told)


def pass_on(telling: Telling, changed: Mapping[str, Any], who: Actor) -> None:
    """What arrives from a device that was gone on from: it counts where nothing was answered anew on the
    other device, and is kept as having come late where something was. None is an answer taken back.
    """
    after = Telling.objects.select_for_update().filter(continues=telling).order_by("begun_at").first()
    if after is None or not changed:
        return
    is_read = bool(after.settled_at or after.taken)
    anew = {key for key in changed if is_read or key in (after.own or ())}
    passed = {key: value for key, value in changed.items() if key not in anew}
    differs = {key for key in anew if changed[key] not in (None, after.answers.get(key))}
    if differs:
        telling.late = sorted({*(telling.late or ()), *differs})
    if passed:
        left = {key: value for key, value in after.answers.items() if key not in passed}
        said = {key: value for key, value in passed.items() if value is not None}
        _change(after, who, {**left, **said}, "")
        pass_on(after, passed, who)
        after.save()


def open_telling(held: HandOver) -> Telling:
    """The telling of this device, locked; a new one at the first answer, which goes on with what was begun on
    another device. Raises Closed.
    """
    running = HandOver.objects.select_for_update().filter(
        pk=held.pk, ended_at=None, expires_at__gt=timezone.now()
    )
    if not running.exists():
        raise Closed(OVER)
    try:
        require_open(held.visit)
    except VisitSigned as problem:
        raise Closed(SIGNED) from problem
    telling = Telling.objects.select_for_update().filter(hand_over=held).first() or _begin(held)
    if telling.settled_at or telling.taken:
        raise Closed(READ)
    running.update(heard_at=timezone.now())
    return telling


def _begin(held: HandOver) -> Telling:
    earlier = to_go_on_with(held)
    if earlier is None:
        return Telling.objects.create(visit=held.visit, hand_over=held)
    begun = Telling.objects.create(
        visit=held.visit,
        hand_over=held,
        continues=earlier,
        answers=dict(earlier.answers),
        typed={k: said for k, said in (earlier.typed or {}).items() if not k.startswith(LATE)} or None,
        at=earlier.at,
        handed_in_at=earlier.handed_in_at if earlier.at != DONE else None,
    )
    record(who=held, did="went on telling", what=held.visit, telling=str(begun.pk), after=str(earlier.pk))
    return begun


@transaction.atomic
def arrive(*, held: HandOver, at: str = "") -> Telling | None:
    """Note which screen is open on the device, without an answer; go on with what was begun on another one.
    None while nothing was begun. No error when nothing can be answered any more.
    """
    known = telling_behind(held)
    if known is None and not at and to_go_on_with(held) is None:
        return None
    if known is not None and at in ("", known.at):
        return known
    try:
        telling = open_telling(held)
    except Closed:
        return known
    if at:
        telling.at = at
        telling.save()
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
    _taken(row, who, {key: said for key, (said, _) in answers.items() if key in row.shown})
    forget(who=who, key=danger_draft(row))
    record(who=who, did="took told dangers", what=row.visit, telling=str(row.pk))
    return row


@transaction.atomic
def set_aside(*, who: User, telling: Telling, version: int) -> Telling:
    """Read, and no more of it taken over. What was told stays as it was told. Raises Stale, VisitSigned."""
    row = _to_settle(who, telling, version)
    row.settled_at, row.settled_by = timezone.now(), who
    row.save()
    left = sorted(set(row.shown) - set(row.taken))
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
    if set(row.shown) <= set(row.taken):
        row.settled_at, row.settled_by = timezone.now(), who
    row.save()


def _as_told(answer: str) -> str:
    if not answer:
        return ""
    return f"The patient answered on the device: {DangerAnswer.Answer(answer).label.lower()}."

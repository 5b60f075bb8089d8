"""Every write to the story and to the danger screen."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction

from bodymaps.reasoning import items
from bodymaps.reasoning.case import CaseError, Value, value_of
from charting.audit.services import record
from charting.drafts.services import forget
from charting.history import carrying, danger_screen
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer, ToldBy
from charting.history.queries import standing_in, state_of, story_of, told_in
from charting.history.standing import TAKEN_BACK
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open


def story_draft(visit: Visit) -> str:
    return f"story:{visit.pk}"


def danger_draft(visit: Visit) -> str:
    return f"danger:{visit.pk}"


# What each answer is to be, by key of the catalogue; None takes one out. What is not named stays.
Answers = Mapping[str, Value | None]
NONE_SAID = ("", ())


@transaction.atomic
def save_story(
    *,
    who: User,
    visit: Visit,
    version: int,
    complaint: str,
    history: str,
    height_cm: Decimal | None = None,
    weight_kg: Decimal | None = None,
    answers: Answers | None = None,
) -> Story:
    """Keep complaint, history, size, and the answers that are named.

    Raises CaseError for an answer that can't be, Stale when somebody saved since `version`, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    told = {"complaint": complaint, "history": history, "height_cm": height_cm, "weight_kg": weight_kg}
    row = _next_version(visit, version, told)
    changed = _keep_answers(who, visit, answers or {}, ToldBy.CLINICIAN)
    forget(who=who, key=story_draft(visit))
    record(who=who, did="wrote story", what=visit, version=row.version, changed=changed)
    return row


@transaction.atomic
def save_answers(*, who: User, visit: Visit, version: int, answers: Answers, told_by: str) -> Story:
    """Keep answers of the pages story and standing; the words of the story stay. `told_by` is one of ToldBy.

    Raises CaseError for an answer that can't be, Stale when somebody saved since `version` (0: no story
    yet), VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    row = _next_version(visit, version, {})
    changed = _keep_answers(who, visit, answers, ToldBy(told_by))
    record(who=who, did="kept answers", what=visit, version=row.version, told_by=told_by, changed=changed)
    return row


@transaction.atomic
def carry_forward(*, who: User, visit: Visit, version: int) -> Story:
    """Bring what seldom changes from the earlier visits of this complaint, marked with the visit that asked
    it. What is answered here stays. A second tap brings nothing.

    Raises Stale when somebody saved since `version`, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    brought = carrying.to_bring(visit)
    if not brought:
        return story_of(visit)
    row = _next_version(visit, version, {})
    StoryAnswer.objects.bulk_create(
        StoryAnswer(
            visit=visit,
            key=each.key,
            value=each.row.value,
            told_by=each.row.told_by,
            carried_from=each.asked_in,
        )
        for each in brought
    )
    changed = [each.key for each in brought]
    record(who=who, did="carried story forward", what=visit, version=row.version, changed=changed)
    return row


def _next_version(visit: Visit, version: int, told: Mapping[str, Any]) -> Story:
    row, made = Story.objects.get_or_create(visit=visit, defaults=dict(told))
    if not made:
        save_if_current(row, version=version, **told)
    elif version:
        raise Stale(row)
    return row


def _keep_answers(who: User, visit: Visit, answers: Answers, told_by: ToldBy) -> list[str]:
    """The keys that changed."""
    checked = {key: _stored(key, said) for key, said in answers.items()}
    standing = {key for key in checked if items.history().items[key].standing}
    told = {key: said for key, said in checked.items() if key not in standing}
    confirmed = {key: said for key, said in checked.items() if key in standing}
    return [*_keep_told(visit, told, told_by), *_confirm(who, visit, confirmed)]


def _stored(key: str, said: Value | None) -> Any:
    """An answer as it is stored, None for none. Raises CaseError."""
    pages = {group.id: group.page for group in items.history().groups}
    item = items.history().items.get(key)
    if item is None or pages[item.group] not in ("story", "standing"):
        raise CaseError(f"history.{key}", "no question of the story", key)
    if said is None or said in NONE_SAID:
        return None
    checked = value_of(items.history(), key, said, "history")
    if checked in NONE_SAID:
        return None
    return list(checked) if isinstance(checked, tuple) else checked


def _keep_told(visit: Visit, told: Mapping[str, Any], told_by: ToldBy) -> list[str]:
    known = told_in(visit)
    changed = [key for key, said in told.items() if said != (known[key].value if key in known else None)]
    StoryAnswer.objects.filter(visit=visit, key__in=changed).delete()
    StoryAnswer.objects.bulk_create(
        StoryAnswer(visit=visit, key=key, value=told[key], told_by=told_by)
        for key in changed
        if told[key] is not None
    )
    return changed


def _confirm(who: User, visit: Visit, facts: Mapping[str, Any]) -> list[str]:
    """One row for each fact that this visit has not confirmed as it is yet, or takes back. What it confirmed
    before two records were merged that disagree about it must be confirmed once more.
    """
    rows = StandingFact.objects.filter(visit=visit).order_by("confirmed_at", "pk")
    disputed = {key for key, row in standing_in(visit).items() if row.against}
    here = {row.key: row.value for row in rows if row.key not in disputed}
    stored = {key: TAKEN_BACK if said is None else said for key, said in facts.items()}
    changed = [key for key, said in stored.items() if here.get(key, TAKEN_BACK) != said]
    for key in changed:
        StandingFact.objects.create(
            patient=visit.patient, visit=visit, key=key, value=stored[key], confirmed_by=who
        )
    return changed


@transaction.atomic
def answer_danger_screen(
    *, who: User, visit: Visit, state: str, answers: Mapping[str, tuple[str, str]]
) -> None:
    """Keep the answers, by question id: (answer, remark).

    Raises ValueError for an answer missing or unknown, Stale when somebody answered since `state`,
    VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    _check(answers)
    if state_of(visit) != state:
        raise Stale(visit)
    changed = [question for question, said in answers.items() if _keep(visit, question, *said)]
    forget(who=who, key=danger_draft(visit))
    record(
        who=who,
        did="answered danger screen",
        what=visit,
        screen=danger_screen.load().version,
        changed=changed,
    )


def _check(answers: Mapping[str, tuple[str, str]]) -> None:
    asked = {question.id for question in danger_screen.load().questions}
    if set(answers) != asked:
        raise ValueError(f"every question needs its answer: {sorted(asked.symmetric_difference(answers))}")
    for question, (answer, _) in answers.items():
        if answer not in DangerAnswer.Answer.values:
            raise ValueError(f"{question}: {answer!r} is no answer")


def _keep(visit: Visit, question: str, answer: str, remark: str) -> bool:
    """Whether anything changed."""
    row = DangerAnswer.objects.filter(visit=visit, question=question).first()
    if row and (row.answer, row.remark) == (answer, remark):
        return False
    DangerAnswer.objects.update_or_create(
        visit=visit, question=question, defaults={"answer": answer, "remark": remark}
    )
    return True

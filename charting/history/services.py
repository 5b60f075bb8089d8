"""Every write to the story and to the danger screen."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.history import danger_screen
from charting.history.models import DangerAnswer, Story
from charting.history.queries import state_of
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open


def story_draft(visit: Visit) -> str:
    return f"story:{visit.pk}"


def danger_draft(visit: Visit) -> str:
    return f"danger:{visit.pk}"


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
) -> Story:
    """Keep complaint, history and size. Raises Stale when somebody saved since `version`, VisitSigned."""
    require(who, "treat")
    require_open(visit)
    told = {"complaint": complaint, "history": history, "height_cm": height_cm, "weight_kg": weight_kg}
    row, made = Story.objects.get_or_create(visit=visit, defaults=told)
    if not made:
        save_if_current(row, version=version, **told)
    elif version:
        raise Stale(row)
    forget(who=who, key=story_draft(visit))
    record(who=who, did="wrote story", what=visit, version=row.version)
    return row


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

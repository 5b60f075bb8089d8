"""Every write about danger: answers that were asked on, decisions and follow-ups (both append-only)."""

import uuid
from collections.abc import Mapping
from datetime import date, datetime

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.flags.models import Decision, FollowUp
from charting.flags.queries import asked_on, shown_of, standing_of, state_of_answers
from charting.history.models import DangerAnswer
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import require_open

# Outcomes with somebody at the other end of the line.
NEED_A_CALL = (Decision.Outcome.SENT_NOW, Decision.Outcome.SENT_TODAY, Decision.Outcome.SPOKEN)


class FollowedUp(PermissionDenied):
    """Somebody else closed this follow-up meanwhile."""

    def __init__(self, done: FollowUp) -> None:
        self.done = done
        super().__init__(f"{done.done_by} closed this already.")


def answers_draft(visit: Visit) -> str:
    return f"asked-on:{visit.pk}"


def decision_draft(visit: Visit, flag_id: str) -> str:
    return f"flag:{flag_id[:60]}:{visit.pk}"


def follow_up_draft(decision: Decision) -> str:
    return f"follow-up:{decision.pk}"


@transaction.atomic
def answer(*, who: User, visit: Visit, state: str, answers: Mapping[str, tuple[str, str]]) -> None:
    """Keep answers to questions that are asked on, by key: (answer, remark). What is not named stays.

    Raises ValueError for an unknown question or answer, Stale when somebody answered since `state`,
    VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    for key, (said, _) in answers.items():
        if key not in asked_on() or said not in DangerAnswer.Answer.values:
            raise ValueError(f"{key}: {said!r} is no answer to a question that is asked on")
    if state_of_answers(visit) != state:
        raise Stale(visit)
    changed = [key for key, said in answers.items() if _keep(visit, key, *said)]
    forget(who=who, key=answers_draft(visit))
    record(who=who, did="answered questions about danger", what=visit, changed=changed)


@transaction.atomic
def decide(
    *,
    who: User,
    visit: Visit,
    flag_id: str,
    state: str,
    id: uuid.UUID,  # noqa: A002 - the column
    outcome: str,
    why: str,
    advised: str,
    understood: bool,
    called: str = "",
    called_at: datetime | None = None,
    follow_up_on: date | None = None,
) -> Decision:
    """Write down what was decided about a raised flag, with the flag as it stands. The right to treat is
    enough: nothing is signed by it. Sending the same `id` again gives the decision made before.

    Raises Stale when the flag or its last decision is not what it was at `state`, or is raised no more;
    ValueError for a value missing; VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    before = Decision.objects.filter(pk=id, visit=visit, flag=flag_id).first()
    if before:
        return before
    _check(outcome, why, advised, called, called_at)
    standing = standing_of(visit, flag_id)
    if standing is None or not standing.must_decide or standing.state != state:
        raise Stale(visit)
    row = Decision.objects.create(
        id=id,
        visit=visit,
        flag=flag_id,
        shown=shown_of(standing.flag),
        outcome=outcome,
        why=why,
        called=called,
        called_at=called_at,
        advised=advised,
        understood=understood,
        follow_up_on=follow_up_on,
        decided_by=who,
    )
    forget(who=who, key=decision_draft(visit, flag_id))
    record(
        who=who,
        did="decided about danger",
        what=row,
        visit=str(visit.pk),
        flag=flag_id,
        level=standing.flag.level,
        outcome=outcome,
    )
    return row


@transaction.atomic
def follow_up(*, who: User, decision: Decision, words: str) -> FollowUp:
    """Close the follow-up of a decision, in words. Also after the visit is signed. A second tap adds nothing.

    Raises FollowedUp when somebody else closed it with other words, ValueError without words.
    """
    require(who, "treat")
    if not words.strip():
        raise ValueError("a follow-up is closed in words")
    try:
        with transaction.atomic():
            row = FollowUp.objects.create(decision=decision, words=words.strip(), done_by=who)
    except IntegrityError as problem:
        done = FollowUp.objects.select_related("done_by").get(decision=decision)
        if (done.done_by_id, done.words) == (who.pk, words.strip()):
            return done
        raise FollowedUp(done) from problem
    forget(who=who, key=follow_up_draft(decision))
    record(who=who, did="closed follow-up", what=decision, visit=str(decision.visit_id))
    return row


def _check(outcome: str, why: str, advised: str, called: str, called_at: datetime | None) -> None:
    if outcome not in Decision.Outcome.values:
        raise ValueError(f"{outcome!r} is no outcome")
    if not why.strip() or not advised.strip():
        raise ValueError("a decision needs its reason, and what was advised")
    if outcome in NEED_A_CALL and not (called.strip() and called_at):
        raise ValueError(f"{outcome}: needs whom you called, and when")


def _keep(visit: Visit, key: str, said: str, remark: str) -> bool:
    """Whether anything changed."""
    row = DangerAnswer.objects.filter(visit=visit, question=key).first()
    if row and (row.answer, row.remark) == (said, remark):
        return False
    DangerAnswer.objects.update_or_create(
        visit=visit, question=key, defaults={"answer": said, "remark": remark}
    )
    return True

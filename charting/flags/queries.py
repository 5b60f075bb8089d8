"""Every read of the raised flags and of what was decided about them. A visit given here came through the
patients' door. Flags are found anew at each read: there is no row of a flag, only of a decision.
"""

import hashlib
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import Exists, OuterRef, QuerySet
from django.shortcuts import get_object_or_404

from bodymaps import marks as painted
from bodymaps.marks import Mark
from bodymaps.reasoning import drawn, flags, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.flags import LEVELS, Flag, ToAsk
from bodymaps.reasoning.items import Item
from bodymaps.strokes import Stroke
from charting.drawing import strikes
from charting.drawing.models import StoredStroke, Withdrawal
from charting.drawing.queries import as_stroke, withdrawn_by
from charting.examination.queries import felt_of, findings_of
from charting.flags.models import Decision
from charting.history import danger_screen
from charting.history.models import DangerAnswer
from charting.history.queries import case_of
from charting.patients.access import charts_of
from charting.staff.models import User
from charting.visits.models import Visit


class FlagsOpen(PermissionDenied):
    """Something waits for a decision about a danger; the text names it and says where to decide."""

    def __init__(self, held: Sequence[Flag]) -> None:
        self.held = tuple(held)
        named = "; ".join(flag.title for flag in held)
        super().__init__(
            f"Decide about this first, on the page of danger signs: {named}. "
            "Treatment and consent to it wait until then."
        )


@dataclass(frozen=True)
class Standing:
    """One raised flag and what was decided about it in this visit, oldest first; the last decision counts."""

    flag: Flag
    decisions: tuple[Decision, ...]

    @property
    def last(self) -> Decision | None:
        return self.decisions[-1] if self.decisions else None

    @property
    def news(self) -> tuple[str, ...]:
        """What has come since the last decision, in words; () without one, or when it stands."""
        return news_since(self.last, self.flag) if self.last else ()

    @property
    def because(self) -> str:
        """Every reason in one line."""
        return "; ".join(reason.rstrip(".") for reason in self.flag.reasons)

    @property
    def must_decide(self) -> bool:
        """Whether it is of a level that asks for a decision."""
        return bool(flags.holds_back((self.flag,)))

    @property
    def is_open(self) -> bool:
        return self.must_decide and (self.last is None or bool(self.news))

    @property
    def state(self) -> str:
        """A short mark of the flag and its last decision: it changes when either does."""
        said = (*_shown_key(self.flag), str(self.last.pk) if self.last else "")
        return hashlib.sha256("|".join(said).encode()).hexdigest()[:16]


@dataclass(frozen=True)
class FlagState:
    """Everything a visit says of danger: what is raised, what remains to be asked, what was decided.

    `decisions` are all of the visit, oldest first, also of flags that are no longer raised. `is_screened`:
    every question of the danger screen is answered.
    """

    flags: tuple[Flag, ...]
    to_ask: tuple[ToAsk, ...]
    decisions: tuple[Decision, ...]
    is_screened: bool

    @cached_property
    def standing(self) -> tuple[Standing, ...]:
        """Every raised flag with its decisions, most urgent first."""
        return tuple(
            Standing(flag, tuple(each for each in self.decisions if each.flag == flag.id))
            for flag in self.flags
        )

    @property
    def open_flags(self) -> tuple[Flag, ...]:
        """The raised flags that wait for a decision, most urgent first."""
        return tuple(each.flag for each in self.standing if each.is_open)

    @property
    def holds_back(self) -> bool:
        """Whether muscles, and consent to treat them, are held back."""
        return bool(self.open_flags)

    @property
    def no_longer_raised(self) -> tuple[Decision, ...]:
        """What was decided about flags that the chart does not raise any more."""
        raised = {flag.id for flag in self.flags}
        return tuple(each for each in self.decisions if each.flag not in raised)


def state_of(visit: Visit, marks: Iterable[Mark] | None = None) -> FlagState:
    """What the chart says of danger now. A fixed number of queries, three fewer when `marks` (the painted
    drawing of this visit) are at hand.
    """
    return state_with(visit, facts_of(visit, marks))


def state_with(visit: Visit, facts: Facts) -> FlagState:
    """The same of facts that were read already. One query."""
    answered = facts.case.history
    return FlagState(
        flags=flags.raised(facts),
        to_ask=flags.to_ask(facts),
        decisions=decisions_of(visit),
        is_screened=all(question.id in answered for question in danger_screen.load().questions),
    )


def facts_of(visit: Visit, marks: Iterable[Mark] | None = None) -> Facts:
    """What rules may ask of a visit: its story, its findings and its drawing; age on the day of the visit."""
    patient = visit.patient
    held_on = visit.started_at.astimezone(patient.practice.zone).date()
    case = Case(
        age=patient.age_on(held_on),
        sex=patient.sex,
        history=case_of(visit),
        findings=findings_of(visit),
        felt=felt_of(visit),
    )
    return Facts(case, drawn.of(painted.paint(_strokes_of(visit)) if marks is None else marks))


def standing_of(visit: Visit, flag_id: str) -> Standing | None:
    """One raised flag of the visit with its decisions; None when it is not raised."""
    return next((each for each in state_of(visit).standing if each.flag.id == flag_id), None)


@cache
def asked_on() -> dict[str, Item]:
    """The questions that a drawing or an answer can call for, by key."""
    return {item.key: item for group in items.history().on_page("asked on") for item in group.items}


def answers_of(visit: Visit) -> dict[str, DangerAnswer]:
    """The answers on record to questions that were asked on, by key. One query."""
    rows = DangerAnswer.objects.filter(visit=visit, question__in=asked_on()).order_by("question")
    return {row.question: row for row in rows}


def state_of_answers(visit: Visit) -> str:
    return state_in(answers_of(visit))


def state_in(answers: dict[str, DangerAnswer]) -> str:
    """A short mark of the answers on record: it changes when anybody changes one of them."""
    said = "|".join(f"{key}={row.answer}:{row.remark}" for key, row in answers.items())
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def decisions_of(visit: Visit) -> tuple[Decision, ...]:
    """Every decision of the visit, oldest first. One query."""
    known = Decision.objects.select_related("decided_by", "followed_up__done_by")
    return tuple(known.filter(visit=visit))


def holding(visit: Visit) -> tuple[Flag, ...]:
    """The flags that hold treatment back in this visit, most urgent first; () when it may go on."""
    return state_of(visit).open_flags


def require_cleared(visit: Visit) -> None:
    """Raise FlagsOpen while a flag that asks for a decision has none. For every service that treats, or
    takes consent to it: call it inside the transaction of the write.
    """
    held = holding(visit)
    if held:
        raise FlagsOpen(held)


def news_since(decision: Decision, flag: Flag) -> tuple[str, ...]:
    """What the flag says now that it did not say when it was decided about: a higher level, new reasons."""
    shown: dict[str, Any] = decision.shown
    level = str(shown["level"])
    higher = level not in LEVELS or LEVELS.index(flag.level) < LEVELS.index(level)
    risen = (f"now: {flag.level_words}; before: {shown['level_words']}",) if higher else ()
    return (*risen, *(reason for reason in flag.reasons if reason not in shown["reasons"]))


def shown_of(flag: Flag) -> dict[str, Any]:
    """The flag as it stands, to be kept with a decision."""
    return {
        "title": flag.title,
        "level": flag.level,
        "level_words": flag.level_words,
        "reasons": list(flag.reasons),
        "action": flag.action,
    }


def open_follow_ups(user: User) -> QuerySet[Decision]:
    """What is still to be followed up in the charts that `user` may open, the longest due first.

    A later decision about the same flag takes a follow-up over only when it has a day of its own.
    """
    later = Decision.objects.filter(
        visit=OuterRef("visit"),
        flag=OuterRef("flag"),
        decided_at__gt=OuterRef("decided_at"),
        follow_up_on__isnull=False,
    )
    known = Decision.objects.select_related("visit__patient", "decided_by")
    waiting = known.filter(visit__patient__in=charts_of(user), follow_up_on__isnull=False, followed_up=None)
    return waiting.exclude(Exists(later)).order_by("follow_up_on", "decided_at")


def decision_in(visit: Visit, decision_id: uuid.UUID) -> Decision:
    """One decision of this visit that has a day to follow it up. Raises Http404 for any other."""
    known = Decision.objects.select_related("decided_by", "followed_up__done_by")
    return get_object_or_404(known, visit=visit, pk=decision_id, follow_up_on__isnull=False)


def _strokes_of(visit: Visit) -> tuple[Stroke, ...]:
    """The strokes that count, and nothing else of the drawing. Three queries."""
    struck = strikes.struck_in(visit, strikes.around(visit))
    kept = [row for row in StoredStroke.objects.filter(visit=visit) if row.event_id not in struck]
    taken_back = [row for row in Withdrawal.objects.filter(visit=visit) if row.event_id not in struck]
    gone = withdrawn_by(taken_back)
    return tuple(as_stroke(row) for row in kept if str(row.event_id) not in gone)


def _shown_key(flag: Flag) -> tuple[str, ...]:
    return (flag.id, flag.level, *sorted(flag.reasons))

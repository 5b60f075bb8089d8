"""What the page of danger signs, and that of a follow-up, may use."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from bodymaps.reasoning import items
from bodymaps.reasoning.flags import LEVELS, ToAsk
from bodymaps.reasoning.items import Group, Item
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import drafts_of
from charting.flags.forms import Asked, DecisionForm, FollowUpForm, QuestionsForm, remark_name
from charting.flags.models import Decision, FollowUp
from charting.flags.queries import FlagState, Standing, answers_of, asked_on, state_in, state_of
from charting.flags.services import answers_draft, decision_draft, follow_up_draft
from charting.history.models import DangerAnswer
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit
from charting.visits.queries import may_write

# Where what is found is entered, by the page of its group in the catalogue.
MEASURED_ON = {"vital": "vitals", "neuro": "neuro-screen"}
# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Card:
    """One raised flag, its decisions, and the form to decide: none for who may not, or where none is due."""

    standing: Standing
    form: DecisionForm | None
    draft_key: str
    draft: Draft | None

    @property
    def is_unfolded(self) -> bool:
        """Whether the form is shown at once: open, typed into, or wrong."""
        return self.standing.is_open or self.draft is not None or bool(self.form and self.form.is_bound)


@dataclass(frozen=True)
class Level:
    """The cards of one level; `id` is one of LEVELS and stands for its shape."""

    id: str
    words: str
    cards: tuple[Card, ...]


@dataclass(frozen=True)
class AskedGroup:
    """Questions that belong together, with what calls for them; () for what was only answered before."""

    group: Group
    because: tuple[str, ...]
    asked: tuple[Asked, ...]


@dataclass(frozen=True)
class ToMeasure:
    """What is to be measured or looked at, with what calls for it: entered on another page, `url`."""

    url: str
    title: str
    because: tuple[str, ...]
    labels: str


@dataclass(frozen=True)
class FlagsPage:
    state: FlagState
    levels: tuple[Level, ...]
    form: QuestionsForm
    questions: tuple[AskedGroup, ...]
    to_measure: tuple[ToMeasure, ...]
    earlier: tuple[Decision, ...]
    is_screened: bool
    may_write: bool
    draft_key: str
    draft: Draft | None
    clashes: Clashes
    # The form that was sent and could not be kept.
    wrong: QuestionsForm | DecisionForm | None = None


@dataclass(frozen=True)
class FollowUpPage:
    decision: Decision
    done: FollowUp | None
    form: FollowUpForm
    may_write: bool
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class Sent:
    """What was posted and could not be kept: shown again as it was typed. `flag_id` for a decision."""

    questions: QuestionsForm | None = None
    decision: DecisionForm | None = None
    flag_id: str = ""
    clashes: Clashes = ()


def flags_page(visit: Visit, user: User, sent: Sent | None = None) -> FlagsPage:
    sent = sent or Sent()
    state, answers = state_of(visit), answers_of(visit)
    writes = may_write(user, visit)
    keys = [answers_draft(visit), *(decision_draft(visit, flag.id) for flag in state.flags)]
    drafts = drafts_of(user, keys) if writes else {}
    form = sent.questions or _questions(visit, state.to_ask, answers, drafts.get(answers_draft(visit)))
    return FlagsPage(
        state=state,
        levels=_levels(visit, state, drafts, sent, writes),
        form=form,
        questions=_grouped(form, state.to_ask),
        to_measure=_to_measure(state.to_ask),
        earlier=state.no_longer_raised,
        is_screened=state.is_screened,
        may_write=writes,
        draft_key=answers_draft(visit),
        draft=None if sent.questions else drafts.get(answers_draft(visit)),
        clashes=sent.clashes,
        wrong=sent.questions or sent.decision,
    )


def follow_up_page(
    decision: Decision, user: User, form: FollowUpForm, draft: Draft | None = None
) -> FollowUpPage:
    done = getattr(decision, "followed_up", None)
    return FollowUpPage(
        decision=decision,
        done=done,
        form=form,
        may_write=may(user, "treat") and done is None,
        draft_key=follow_up_draft(decision),
        draft=draft,
    )


def questions_for(to_ask: tuple[ToAsk, ...], *known: Mapping[str, Any]) -> tuple[Item, ...]:
    """The questions to show, in the order of the catalogue: those called for, and those that `known` names
    (answered before, or just sent), so that nothing answered or typed goes out of sight.
    """
    wanted = {item.key for group in to_ask for item in group.items}
    wanted |= {key.removesuffix("_remark") for each in known for key in each}
    return tuple(item for key, item in asked_on().items() if key in wanted)


def clashes_of(form: QuestionsForm, current: Mapping[str, DangerAnswer]) -> Clashes:
    """Where what is on record now differs from what was sent."""
    return tuple(
        (asked_on()[key].label, _said(row.answer, row.remark), _said(*form.answers()[key]))
        for key, row in current.items()
        if key in form.answers() and form.answers()[key] != (row.answer, row.remark)
    )


def decision_form(visit: Visit, standing: Standing, draft: Draft | None = None) -> DecisionForm:
    """An empty form for the flag as it stands; the day of a call is today. What was typed comes back."""
    practice = visit.patient.practice
    blank = DecisionForm(prefix=standing.flag.id, practice=practice)
    usual = {"called_on": timezone.localdate(timezone=practice.zone)}
    fresh = {"id": uuid.uuid4(), "state": standing.state}
    typed = {**usual, **typed_into(blank, draft), **fresh}
    return DecisionForm(prefix=standing.flag.id, practice=practice, initial=typed)


def _levels(
    visit: Visit, state: FlagState, drafts: Mapping[str, Draft], sent: Sent, writes: bool
) -> tuple[Level, ...]:
    cards = [_card(visit, standing, drafts, sent, writes) for standing in state.standing]
    found = ((level, [card for card in cards if card.standing.flag.level == level]) for level in LEVELS)
    return tuple(
        Level(level, of_level[0].standing.flag.level_words, tuple(of_level))
        for level, of_level in found
        if of_level
    )


def _card(visit: Visit, standing: Standing, drafts: Mapping[str, Draft], sent: Sent, writes: bool) -> Card:
    key = decision_draft(visit, standing.flag.id)
    if not writes or not standing.must_decide:
        return Card(standing, None, key, None)
    if sent.decision and sent.flag_id == standing.flag.id:
        return Card(standing, sent.decision, key, None)
    draft = drafts.get(key)
    return Card(standing, decision_form(visit, standing, draft), key, draft)


def _questions(
    visit: Visit, to_ask: tuple[ToAsk, ...], answers: Mapping[str, DangerAnswer], draft: Draft | None
) -> QuestionsForm:
    shown = questions_for(to_ask, answers, draft.data if draft else {})
    values = {key: row.answer for key, row in answers.items()}
    values |= {remark_name(key): row.remark for key, row in answers.items()}
    typed = {**values, **typed_into(QuestionsForm(items=shown), draft), "state": state_in(dict(answers))}
    return QuestionsForm(items=shown, initial=typed)


def _grouped(form: QuestionsForm, to_ask: tuple[ToAsk, ...]) -> tuple[AskedGroup, ...]:
    because = {each.group.id: each.because for each in to_ask}
    known = {group.id: group for group in items.history().on_page("asked on")}
    asked = form.asked()
    return tuple(
        AskedGroup(group, because.get(name, ()), tuple(each for each in asked if each.item.group == name))
        for name, group in known.items()
        if any(each.item.group == name for each in asked)
    )


def _to_measure(to_ask: tuple[ToAsk, ...]) -> tuple[ToMeasure, ...]:
    """What is called for and is no question of this page."""
    found = ((each, [item.label for item in each.items if item.key not in asked_on()]) for each in to_ask)
    return tuple(
        ToMeasure(MEASURED_ON[each.group.page], each.group.title, each.because, "; ".join(labels))
        for each, labels in found
        if labels
    )


def _said(answer: str, remark: str) -> str:
    label = DangerAnswer.Answer(answer).label
    return f"{label}: {remark}" if remark else label

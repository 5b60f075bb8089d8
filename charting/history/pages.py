"""What the pages of the story and of the danger screen may use."""

from dataclasses import dataclass

from bodymaps.reasoning import items
from bodymaps.reasoning.items import Item
from charting.drafts.models import Draft
from charting.history import before as earlier
from charting.history import carrying
from charting.history.asking import Section, name_of, section
from charting.history.danger_screen import DangerScreen, load
from charting.history.forms import DangerForm, StoryForm
from charting.history.models import DangerAnswer, Story
from charting.history.queries import (
    Alarm,
    Answered,
    Answering,
    GroupSaid,
    alarms_among,
    all_answered,
    answering_in,
    answers_of,
    plain,
)
from charting.history.standing import Fact
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class StoryPage:
    """`first` are the sections that come before the complaint. `said` is what is on record, in words; `facts`
    what stood with the person before this visit; `offer` what can be brought forward.
    """

    form: StoryForm
    story: Story
    first: tuple[Section, ...]
    sections: tuple[Section, ...]
    answering: Answering
    facts: tuple[Fact, ...]
    said: tuple[GroupSaid, ...]
    may_write: bool
    offer: carrying.Offer | None
    draft_key: str
    draft: Draft | None
    clashes: Clashes


@dataclass(frozen=True)
class DangerPage:
    """The danger screen: the form for who may answer, the answers for who may read; what was answered the
    visit before.
    """

    form: DangerForm
    screen: DangerScreen
    answered: tuple[Answered, ...]
    alarms: tuple[Alarm, ...]
    is_complete: bool
    may_write: bool
    before: earlier.Before | None
    draft_key: str
    draft: Draft | None
    clashes: Clashes


def story_page(
    visit: Visit,
    user: User,
    story: Story,
    form: StoryForm,
    key: str,
    *,
    draft: Draft | None = None,
    clashes: Clashes = (),
) -> StoryPage:
    who, writes = answering_in(visit, form.questions.told), may_write(user, visit)
    sections = _sections(form)
    return StoryPage(
        form=form,
        story=story,
        first=tuple(each for each in sections if who.another and each.id == "answering"),
        sections=tuple(each for each in sections if not who.another or each.id != "answering"),
        answering=who,
        facts=tuple(fact for fact in form.questions.facts if fact.visit_id != visit.pk),
        # Whoever writes has what stands with the person in the form.
        said=tuple(group for group in answers_of(visit) if not writes or group.id != "standing"),
        may_write=writes,
        offer=carrying.offer(visit) if writes else None,
        draft_key=key,
        draft=draft,
        clashes=clashes,
    )


def _sections(form: StoryForm) -> tuple[Section, ...]:
    """What stands with the person, then the story."""
    groups = (*items.history().on_page("standing"), *items.history().on_page("story"))
    return tuple(section(group, form.questions.items, form) for group in groups)


def danger_page(
    visit: Visit,
    user: User,
    answered: tuple[Answered, ...],
    form: DangerForm,
    key: str,
    *,
    draft: Draft | None = None,
    clashes: Clashes = (),
) -> DangerPage:
    return DangerPage(
        form=form,
        screen=load(),
        answered=answered,
        alarms=alarms_among(answered),
        is_complete=all_answered(answered),
        may_write=may_write(user, visit),
        before=None if visit.is_signed else earlier.before(visit),
        draft_key=key,
        draft=draft,
        clashes=clashes,
    )


def clashes_of_story(form: StoryForm, current: Story) -> Clashes:
    words = (("Complaint", "complaint"), ("History", "history"))
    sizes = (("Height in cm", "height_cm"), ("Weight in kg", "weight_kg"))
    found = [(label, getattr(current, name), form.cleaned_data[name]) for label, name in words]
    found += [(label, plain(getattr(current, name)), plain(form.cleaned_data[name])) for label, name in sizes]
    found += [_told_twice(item, form) for item in form.questions.items.values() if _is_clash(item, form)]
    return tuple(each for each in found if each[1] != each[2])


def _is_clash(item: Item, form: StoryForm) -> bool:
    """What stands with the person is confirmed, not typed over: left alone, it clashes with nothing."""
    return not item.standing or (
        form.cleaned_data[name_of(item)] is not None and item.key in form.questions.here
    )


def _told_twice(item: Item, form: StoryForm) -> tuple[str, str, str]:
    theirs, yours = form.questions.value_of(item), form.cleaned_data[name_of(item)]
    return (
        item.label,
        "" if theirs is None else item.words_for(theirs),
        "" if yours is None else item.words_for(yours),
    )


def clashes_of_screen(form: DangerForm, current: tuple[Answered, ...]) -> Clashes:
    typed = form.answers()
    return tuple(
        (each.question.topic, _said(each.answer, each.remark), _said(*typed[each.question.id]))
        for each in current
        if (each.answer, each.remark) != typed[each.question.id]
    )


def _said(answer: str, remark: str) -> str:
    label = DangerAnswer.Answer(answer).label if answer else ""
    return f"{label}: {remark}" if remark else label

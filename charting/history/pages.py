"""What the pages of the story and of the danger screen may use."""

from dataclasses import dataclass

from charting.drafts.models import Draft
from charting.history.danger_screen import DangerScreen, load
from charting.history.forms import DangerForm, StoryForm
from charting.history.models import DangerAnswer, Story
from charting.history.queries import Alarm, Answered, alarms_among, all_answered, plain
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class StoryPage:
    form: StoryForm
    story: Story
    may_write: bool
    draft_key: str
    draft: Draft | None
    clashes: Clashes


@dataclass(frozen=True)
class DangerPage:
    """The danger screen: the form for who may answer, the answers for who may read."""

    form: DangerForm
    screen: DangerScreen
    answered: tuple[Answered, ...]
    alarms: tuple[Alarm, ...]
    is_complete: bool
    may_write: bool
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
    return StoryPage(form, story, may_write(user, visit), key, draft, clashes)


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
        draft_key=key,
        draft=draft,
        clashes=clashes,
    )


def clashes_of_story(form: StoryForm, current: Story) -> Clashes:
    words = (("Complaint", "complaint"), ("History", "history"))
    sizes = (("Height in cm", "height_cm"), ("Weight in kg", "weight_kg"))
    found = [(label, getattr(current, name), form.cleaned_data[name]) for label, name in words]
    found += [(label, plain(getattr(current, name)), plain(form.cleaned_data[name])) for label, name in sizes]
    return tuple(each for each in found if each[1] != each[2])


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

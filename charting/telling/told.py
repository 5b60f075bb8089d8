"""What the page /visits/<id>/told/ may use: what patients told beside what is on record."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from bodymaps.reasoning import items
from bodymaps.reasoning.outcomes import instruments
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.drawing.models import DrawnBy
from charting.handover.models import HandOver
from charting.history.forms import DangerForm
from charting.history.models import DangerAnswer
from charting.history.queries import Answered, case_of, screen_of, state_in, story_of
from charting.staff.models import User
from charting.telling import services
from charting.telling.forms import TakeForm, initial_of, stored
from charting.telling.models import Telling
from charting.telling.pages import Question, questions_of
from charting.telling.queries import LATE, tellings_of
from charting.visits.models import Visit
from charting.visits.queries import may_write

Clashes = tuple[tuple[str, str, str], ...]
UNSETTLING = (DangerAnswer.Answer.YES, DangerAnswer.Answer.UNSURE)


@dataclass(frozen=True)
class Row:
    """One answer: as told and as on record, in words. `change`: the control to change it before taking."""

    key: str
    label: str
    told: str
    on_record: str
    is_taken: bool
    is_changed: bool
    is_ticked: bool
    change: Question | None

    @property
    def is_same(self) -> bool:
        return self.told == self.on_record


@dataclass(frozen=True)
class Part:
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class DangerRow:
    """One question of the danger screen; `told` "" where the patient left it out. `asked`: its controls."""

    topic: str
    question: str
    told: str
    on_record: str
    is_raised: bool
    asked: Any


@dataclass(frozen=True)
class Told:
    """One telling. `by`: who held the device. `is_going_on`: the patient may still be answering."""

    telling: Telling
    by: str
    is_going_on: bool
    story: TakeForm | None
    parts: tuple[Part, ...]
    dangers: tuple[DangerRow, ...]
    danger: DangerForm | None
    is_danger_read: bool
    late: tuple[tuple[str, str], ...] = ()
    clashes: Clashes = ()

    @property
    def is_settled(self) -> bool:
        return self.telling.settled_at is not None

    @property
    def left(self) -> int:
        """How many answers of the story were not taken yet."""
        return sum(not row.is_taken for part in self.parts for row in part.rows)


@dataclass(frozen=True)
class Sent:
    """What a form of the page sent and is shown again: of which telling, and what it clashes with."""

    telling: Telling
    story: TakeForm | None = None
    danger: DangerForm | None = None
    clashes: Clashes = ()


@dataclass(frozen=True)
class ToldPage:
    unread: tuple[Told, ...]
    read: tuple[Told, ...]
    may_write: bool
    errors: tuple[Any, ...] = field(default=())


def told_page(visit: Visit, user: User, sent: Sent | None = None) -> ToldPage:
    writes, known, screen = may_write(user, visit), case_of(visit), screen_of(visit)
    told = [_told(visit, user, telling, known, screen, sent, writes) for telling in tellings_of(visit)]
    return ToldPage(
        unread=tuple(each for each in told if not each.is_settled),
        read=tuple(each for each in told if each.is_settled),
        may_write=writes,
        errors=tuple(form for form in (sent.story, sent.danger) if form and form.errors) if sent else (),
    )


def story_form(telling: Telling, data: Any = None, initial: Mapping[str, Any] | None = None) -> TakeForm:
    asked = [item for group in _groups() for item in group.items if item.key in telling.shown]
    known = {**initial_of(telling.shown), **(initial or {})}
    return TakeForm(asked, data, initial=known, prefix=f"t{telling.pk}")


def danger_form(telling: Telling, data: Any = None, initial: Mapping[str, Any] | None = None) -> DangerForm:
    return DangerForm(data, initial=dict(initial or {}), prefix=f"d{telling.pk}")


def danger_keys() -> frozenset[str]:
    return frozenset(item.key for group in items.history().on_page("danger") for item in group.items)


def clashes_of(form: TakeForm, known: Mapping[str, Any], keys: Any) -> Clashes:
    """(where, on record now, to be taken) of what somebody else put on record meanwhile."""
    catalogue, said = items.history().items, form.answers()
    both = [(catalogue[key], stored(known[key]), said[key]) for key in keys if key in known and key in said]
    return tuple(
        (item.label, item.words_for(theirs), item.words_for(yours))
        for item, theirs, yours in both
        if theirs != yours
    )


def _groups() -> tuple[items.Group, ...]:
    return (*items.history().on_page("standing"), *items.history().on_page("story"))


def _told(
    visit: Visit,
    user: User,
    telling: Telling,
    known: Mapping[str, Any],
    screen: tuple[Answered, ...],
    sent: Sent | None,
    writes: bool,
) -> Told:
    mine = sent if sent and sent.telling.pk == telling.pk else None
    open_ = writes and telling.settled_at is None
    story = (mine and mine.story) or _fresh_story(visit, user, telling)
    danger = (mine and mine.danger) or _fresh_danger(user, telling, screen)
    dangers = danger_keys() & set(telling.shown)
    now = timezone.now()
    held = telling.hand_over
    return Told(
        telling=telling,
        by=_held_by(held),
        is_going_on=telling.handed_in_at is None and held.ended_at is None and held.expires_at > now,
        story=story if open_ else None,
        parts=_parts(telling, known, story, open_),
        dangers=tuple(_danger_row(telling, each, danger) for each in screen) if dangers else (),
        danger=danger if open_ and dangers - set(telling.taken) else None,
        is_danger_read=bool(dangers) and dangers <= set(telling.taken),
        late=_late(telling),
        clashes=mine.clashes if mine else (),
    )


def _late(telling: Telling) -> tuple[tuple[str, str], ...]:
    """(what, in which words) of what arrived when it could not be put in its place any more."""
    late = {k.removeprefix(LATE): said for k, said in (telling.typed or {}).items() if k.startswith(LATE)}
    catalogue = items.history().items
    return tuple(
        (catalogue[key].label, catalogue[key].words_for(value))
        if key in catalogue
        else score_words(screen, said)
        for screen, said in late.items()
        for key, value in (said if not screen.startswith("scores/") else {"": None}).items()
    )


def score_words(screen: str, said: Mapping[str, Any]) -> tuple[str, str]:
    """("Pain, now", "9") of the screen "scores/nprs-now"; an activity by the name it was given."""
    name, _, rest = screen.removeprefix("scores/").partition("-")
    instrument = instruments().get(name)
    member = next((each.title for each in instrument.members if each.id == rest), "") if instrument else ""
    what = ", ".join(
        part for part in (instrument.name if instrument else name, member, said.get("name", "")) if part
    )
    return what, str(said.get("value", ""))


def _held_by(held: HandOver) -> str:
    if held.drawn_by == DrawnBy.HELPER:
        return f"with somebody who helps ({held.helper})"
    return "alone"


def _fresh_story(visit: Visit, user: User, telling: Telling) -> TakeForm:
    draft = draft_of(user, services.story_draft(telling))
    shown = {"version": telling.version, "story": story_of(visit).version}
    return story_form(telling, initial={**typed_into(story_form(telling), draft), **shown})


def _fresh_danger(user: User, telling: Telling, screen: tuple[Answered, ...]) -> DangerForm:
    """What is on record, and what the patient said where that is more: a yes or not sure, or an answer to
    what nobody answered yet. It counts when the clinician saves it.
    """
    values = DangerForm.values_of(screen)
    for each in screen:
        said = telling.shown.get(each.question.id, "")
        if said in UNSETTLING or (said and not each.answer):
            values[each.question.id] = said
    draft = draft_of(user, services.danger_draft(telling))
    typed = typed_into(danger_form(telling), draft)
    return danger_form(telling, initial={**values, **typed, "state": state_in(screen)})


def _parts(telling: Telling, known: Mapping[str, Any], form: TakeForm, open_: bool) -> tuple[Part, ...]:
    changes = {question.item.key: question for question in _flat(questions_of(form.asked, form))}
    ticked = form["take"].value() or []
    found = []
    for group in _groups():
        rows = tuple(
            _row(telling, item, known, ticked, changes[item.key] if open_ else None)
            for item in group.items
            if item.key in telling.shown
        )
        if rows:
            found.append(Part(group.title, rows))
    return tuple(found)


def _flat(questions: tuple[Question, ...]) -> list[Question]:
    return [each for question in questions for each in (question, *_flat(question.follow))]


def _row(
    telling: Telling, item: items.Item, known: Mapping[str, Any], ticked: Any, change: Question | None
) -> Row:
    is_taken = item.key in telling.taken
    return Row(
        key=item.key,
        label=item.label,
        told=item.words_for(telling.answers[item.key]),
        on_record=item.words_for(known[item.key]) if item.key in known else "",
        is_taken=is_taken,
        is_changed=item.key in telling.changed,
        is_ticked=item.key in ticked,
        change=None if is_taken else change,
    )


def _danger_row(telling: Telling, each: Answered, form: DangerForm) -> DangerRow:
    said = telling.shown.get(each.question.id, "")
    return DangerRow(
        topic=each.question.topic,
        question=each.question.question,
        told=DangerAnswer.Answer(said).label if said else "",
        on_record=each.answer_words if each.answer else "",
        is_raised=said in UNSETTLING,
        asked=next(one for one in form.asked() if one.question.id == each.question.id),
    )

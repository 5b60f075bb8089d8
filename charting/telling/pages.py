"""What the pages of a telling may use."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bodymaps.reasoning.items import Item
from charting.drawing.models import DrawnBy
from charting.handover.models import HandOver
from charting.handover.parts import Place, place_of
from charting.telling.forms import AnswersForm, is_long
from charting.telling.screens import Screen, load, opened_by

# Who answers, when it is not the person with the pain (choices of who_answers in history.toml).
FOR_ANOTHER = ("parent", "guardian", "carer")


@dataclass(frozen=True)
class Option:
    """One chip. `opens`: whether choosing it shows the question that follows."""

    id: str
    value: str
    words: str
    is_chosen: bool
    opens: bool


@dataclass(frozen=True)
class Head:
    """A heading of a long list with its chips; open where one of them is chosen."""

    words: str
    options: tuple[Option, ...]

    @property
    def is_open(self) -> bool:
        return any(option.is_chosen for option in self.options)


@dataclass(frozen=True)
class Question:
    """One question as it stands on a screen, with those that only an answer to it opens. `heads`: its options
    under headings, () where they stand in one list.
    """

    item: Item
    id: str
    name: str
    value: Any
    errors: Sequence[str]
    options: tuple[Option, ...]
    follow: tuple["Question", ...]
    is_long: bool
    heads: tuple[Head, ...] = ()

    @property
    def kind(self) -> str:
        """ "checkbox" or "radio" for chips, else "number" or "text"."""
        by_type = {"choices": "checkbox", "choice": "radio", "yes_no": "radio"}
        return by_type.get(self.item.type, self.item.type)

    @property
    def is_answered(self) -> bool:
        return any(option.is_chosen for option in self.options)


@dataclass(frozen=True)
class ScreenPage:
    """One screen of the device. `closed` says why nothing can be answered any more, "" while it can."""

    screen: Screen
    place: Place
    questions: tuple[Question, ...]
    form: AnswersForm
    for_another: bool
    closed: str
    is_last: bool

    @property
    def is_first(self) -> bool:
        return self.place.screen == 1

    @property
    def goes_on(self) -> bool:
        """Whether a tap on an answer is all there is to do: one question with one answer."""
        return len(self.questions) == 1 and self.questions[0].kind == "radio"


def screen_page(
    screens: Sequence[Screen],
    every: Sequence[Screen],
    here: Screen,
    form: AnswersForm,
    held: HandOver,
    who: str,
    closed: str = "",
) -> ScreenPage:
    """`every`: with the screens that an answer rules out, so that the count stays the same. `who`: what was
    answered to who_answers, "" for nothing.
    """
    return ScreenPage(
        screen=here,
        place=place_of(held, "story", [each.id for each in every].index(here.id) + 1, len(every)),
        questions=questions_of(here.items, form),
        form=form,
        for_another=held.drawn_by == DrawnBy.HELPER or who in FOR_ANOTHER,
        closed=closed,
        is_last=here.id == screens[-1].id,
    )


def questions_of(asked: Sequence[Item], form: AnswersForm) -> tuple[Question, ...]:
    """In their order, each that hangs on the answer to another below that other."""
    keys = {item.key for item in asked}
    top = [item for item in asked if opened_by(item)[0] not in keys]
    return tuple(_question(item, asked, form) for item in top)


def _question(item: Item, asked: Sequence[Item], form: AnswersForm) -> Question:
    bound = form[item.key]
    follow = [each for each in asked if opened_by(each)[0] == item.key]
    opening = {value for each in follow for value in opened_by(each)[1]}
    value = bound.value()
    chosen = value if isinstance(value, list | tuple) else [value]
    options = tuple(
        Option(f"{bound.auto_id}_{one.id}", one.id, one.words, one.id in chosen, one.id in opening)
        for one in item.choices
    )
    return Question(
        item=item,
        id=str(bound.auto_id),
        name=bound.html_name,
        value="" if value is None else value,
        errors=tuple(str(error) for error in bound.errors),
        options=options,
        follow=tuple(_question(each, asked, form) for each in follow),
        is_long=is_long(item),
        heads=_heads(item, options),
    )


def _heads(item: Item, options: tuple[Option, ...]) -> tuple[Head, ...]:
    by_value = {option.value: option for option in options}
    heads = load().heads.get(item.key, {})
    return tuple(Head(words, tuple(by_value[value] for value in values)) for words, values in heads.items())

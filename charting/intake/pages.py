"""What the pages of the intake may use."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from charting.consent.texts import ConsentText, Part
from charting.handover.models import HandOver
from charting.handover.parts import Place, place_of
from charting.intake.forms import QuestionForm, ScoreForm
from charting.intake.queries import Reading
from charting.intake.scoring import ScoreScreen


@dataclass(frozen=True)
class Number:
    """One number to be tapped; `words` are empty where it stands alone in a row."""

    id: str
    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True)
class ScorePage:
    """One rating. `more`: whether another activity can be added. `closed` says why nothing can be answered
    any more.
    """

    screen: ScoreScreen
    place: Place
    form: ScoreForm
    numbers: tuple[Number, ...]
    name: str
    more: bool
    closed: str

    @property
    def goes_on(self) -> bool:
        """Whether a tap on a number is all there is to do."""
        return not self.screen.names

    @property
    def errors(self) -> tuple[str, ...]:
        return tuple(str(error) for errors in self.form.errors.values() for error in errors)


def score_page(
    screens: Sequence[ScoreScreen], here: ScoreScreen, form: ScoreForm, held: HandOver, closed: str = ""
) -> ScorePage:
    at = [each.id for each in screens].index(here.id)
    is_last = at + 1 == len(screens)
    chosen = str(form["value"].value() or "") if form["value"].value() is not None else ""
    is_last_activity = here.place > 0 and (is_last or screens[at + 1].place == 0)
    return ScorePage(
        screen=here,
        place=place_of(held, "scores", at + 1, len(screens)),
        form=form,
        numbers=tuple(
            Number(f"number-{number}", str(number), words, str(number) == chosen)
            for number, words in here.choices
        ),
        name=str(form["name"].value() or "") if here.names else here.name,
        more=is_last_activity and here.place < here.most,
        closed=closed,
    )


@dataclass(frozen=True)
class ReadPage:
    """One part of a text. `number` of `of` within the text; `noted`: what was asked about it so far."""

    text: ConsentText
    part: Part
    number: int
    of: int
    place: Place
    form: QuestionForm
    noted: tuple[str, ...]
    closed: str


@dataclass(frozen=True)
class ReadEndPage:
    """After the last part: nothing is signed here. `questions`: what the clinician will be shown."""

    place: Place
    questions: tuple[str, ...]
    titles: tuple[str, ...]


def read_end_page(held: HandOver, texts: Sequence[ConsentText], readings: Any) -> ReadEndPage:
    mine: list[Reading] = [readings[text.id] for text in texts if text.id in readings]
    steps = sum(len(text.parts) for text in texts) + 1
    return ReadEndPage(
        place=place_of(held, "reading", steps, steps),
        questions=tuple(words for each in mine for words in each.questions),
        titles=tuple(text.title for text in texts),
    )

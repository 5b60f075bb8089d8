"""Every read of the story and of the danger screen. A visit given here came through the patients' door."""

import hashlib
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef

from charting.history import danger_screen
from charting.history.danger_screen import Question
from charting.history.models import DangerAnswer, Story
from charting.visits.models import Visit

Answer = DangerAnswer.Answer


@dataclass(frozen=True)
class Answered:
    """One question with the answer on record; `answer` is "" when it was not answered yet."""

    question: Question
    answer: str
    remark: str

    @property
    def answer_words(self) -> str:
        return Answer(self.answer).label if self.answer else "not answered"


@dataclass(frozen=True)
class Alarm:
    """A "yes" or "not sure", with what to do. It stands above every ranking and in the note."""

    id: str
    topic: str
    question: str
    answer: str
    answer_words: str
    remark: str
    why: str
    what_to_do: str
    urgency: str
    urgency_words: str
    sources: tuple[str, ...]


def story_of(visit: Visit) -> Story:
    """The story as saved; an unsaved row with version 0 when nothing was saved yet."""
    return Story.objects.filter(visit=visit).first() or Story(visit=visit, version=0)


def plain(size: Decimal | None) -> str:
    """A size as one writes it: "172", "72.5", "" for none."""
    return "" if size is None else f"{size:f}".removesuffix(".0")


def has_story() -> Exists:
    """To annotate visits with: whether complaint or history hold anything."""
    return Exists(Story.objects.filter(visit=OuterRef("pk")).exclude(complaint="", history=""))


def screen_of(visit: Visit) -> tuple[Answered, ...]:
    """Every question of the danger screen in its order, with the answer on record. One query."""
    rows = {row.question: row for row in DangerAnswer.objects.filter(visit=visit)}
    return tuple(_answered(question, rows.get(question.id)) for question in danger_screen.load().questions)


def is_complete(visit: Visit) -> bool:
    return all_answered(screen_of(visit))


def all_answered(screen: tuple[Answered, ...]) -> bool:
    """Whether every question is answered. No muscle is suggested before."""
    return all(each.answer for each in screen)


def alarms(visit: Visit) -> tuple[Alarm, ...]:
    """Every "yes" and "not sure" of the danger screen, most urgent first."""
    return alarms_among(screen_of(visit))


def alarms_among(screen: tuple[Answered, ...]) -> tuple[Alarm, ...]:
    raised = [_alarm(each) for each in screen if each.answer in (Answer.YES, Answer.UNSURE)]
    order = {"now": 0, "today": 1, "soon": 2}
    return tuple(sorted(raised, key=lambda alarm: order.get(alarm.urgency, 3)))


def state_of(visit: Visit) -> str:
    return state_in(screen_of(visit))


def state_in(screen: tuple[Answered, ...]) -> str:
    """A short mark of the answers on record: it changes when anybody changes one of them."""
    said = "|".join(f"{each.question.id}={each.answer}:{each.remark}" for each in screen)
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def _answered(question: Question, row: DangerAnswer | None) -> Answered:
    return Answered(question, row.answer if row else "", row.remark if row else "")


def _alarm(each: Answered) -> Alarm:
    asked = each.question
    unsure = f" {danger_screen.load().unsure}" if each.answer == Answer.UNSURE else ""
    return Alarm(
        id=asked.id,
        topic=asked.topic,
        question=asked.question,
        answer=each.answer,
        answer_words=each.answer_words,
        remark=each.remark,
        why=asked.why,
        what_to_do=asked.on_yes + unsure,
        urgency=asked.urgency,
        urgency_words=asked.urgency_words,
        sources=asked.sources,
    )

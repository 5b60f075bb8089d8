"""Every read of the story and of the danger screen. A visit given here came through the patients' door."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.case import Case, Value
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.flags import LEVELS
from bodymaps.reasoning.items import Item
from charting.history import danger_screen, merged, standing
from charting.history.danger_screen import Question
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer, ToldBy
from charting.history.standing import Fact
from charting.patients.models import Patient
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


@dataclass(frozen=True)
class Said:
    """One answer of the story in words. `told_by` is one of ToldBy, "" for what stands with the person;
    `carried`: the day of the visit that asked it, "" where this one did.
    """

    key: str
    label: str
    words: str
    told_by: str
    carried: str = ""

    @property
    def is_patients(self) -> bool:
        return self.told_by == ToldBy.PATIENT


@dataclass(frozen=True)
class GroupSaid:
    """The answers of one group of the catalogue; never empty."""

    id: str
    title: str
    answers: tuple[Said, ...]


@dataclass(frozen=True)
class Answering:
    """Whether somebody must answer with or for the person (`why`, in words), and whether it is said who."""

    why: str
    is_said: bool

    @property
    def another(self) -> bool:
        return bool(self.why)


@dataclass(frozen=True)
class Questions:
    """What the story of one visit asks, and what is on record for it.

    `items`: by key, those that apply to this person. `told`: the answers of the story. `standing`: what
    stands with the person, `here` the keys of it that this visit has confirmed, `mark` changes with every
    further confirmation.
    """

    items: Mapping[str, Item]
    told: Mapping[str, StoryAnswer]
    standing: Mapping[str, StandingFact]
    here: frozenset[str]
    mark: str

    @property
    def before(self) -> dict[str, Value]:
        return {key: value(row.value) for key, row in self.standing.items()}

    @property
    def facts(self) -> tuple[Fact, ...]:
        return standing.facts_in(self.standing)

    @property
    def disputed(self) -> frozenset[str]:
        """The facts about which two records of the person disagree: each must be asked anew."""
        return frozenset(key for key, row in self.standing.items() if row.against)

    def value_of(self, item: Item) -> Value | None:
        """What the form begins with. Of an earlier visit only words are brought: which blood thinner."""
        if not item.standing:
            return value(self.told[item.key].value) if item.key in self.told else None
        if item.key in self.here or item.type == "text":
            return self.before.get(item.key)
        return None


def story_of(visit: Visit) -> Story:
    """The story as saved; an unsaved row with version 0 when nothing was saved yet."""
    return Story.objects.filter(visit=visit).first() or Story(visit=visit, version=0)


def plain(size: Decimal | None) -> str:
    """A size as one writes it: "172", "72.5", "" for none."""
    return "" if size is None else f"{size:f}".removesuffix(".0")


def has_story() -> Q:
    """To annotate visits with: whether complaint, history or an answer given by a tap holds anything."""
    written = Story.objects.filter(visit=OuterRef("pk")).exclude(complaint="", history="")
    return Q(Exists(written)) | Q(Exists(StoryAnswer.objects.filter(visit=OuterRef("pk"))))


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
    return tuple(sorted(raised, key=lambda alarm: LEVELS.index(alarm.urgency)))


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


def told_in(visit: Visit) -> dict[str, StoryAnswer]:
    """The answers of the story on record, by key. One query."""
    rows = StoryAnswer.objects.filter(visit=visit).select_related("carried_from")
    return {row.key: row for row in rows}


def questions_of(visit: Visit) -> Questions:
    """Two queries."""
    person, last = visit.patient, standing_in(visit)
    age = person.age_on(timezone.localdate(visit.started_at))
    groups = (*items.history().on_page("story"), *items.history().on_page("standing"))
    asked = (item for group in groups for item in group.items)
    return Questions(
        items={item.key: item for item in asked if standing.applies(item, age=age, sex=person.sex)},
        told=told_in(visit),
        standing=last,
        here=frozenset(key for key, row in last.items() if row.visit_id == visit.pk and not row.against),
        mark=state_of_standing(last),
    )


def answering_in(visit: Visit, told: Mapping[str, StoryAnswer]) -> Answering:
    """Who must answer, by the age on the day of the visit and by what is on record."""
    age = visit.patient.age_on(timezone.localdate(visit.started_at))
    said = {key: told[key].value for key in ("who_answers", "decides_self") if key in told}
    why = ""
    if age < standing.rules().of_age:
        why = f"{visit.patient.given_names} is {age} years old."
    elif said.get("decides_self") in ("no", "unsure"):
        why = f"{visit.patient.given_names} may not be able to follow the questions and decide."
    return Answering(why, said.get("who_answers") in ("parent", "guardian", "carer"))


def case_of(visit: Visit) -> dict[str, Value]:
    """Everything answered, for Case.history: story, what stands with the person as confirmed until the visit
    was signed, and the questions about danger. What was not asked is absent. Three queries.
    """
    known = items.history().items
    stored = {key: row.value for key, row in told_in(visit).items()}
    stored |= {key: row.value for key, row in standing_in(visit).items()}
    told = {key: value(each) for key, each in stored.items() if key in known}
    asked = DangerAnswer.objects.filter(visit=visit).values_list("question", "answer")
    return told | {key: answer for key, answer in asked if key in known}


def answers_of(visit: Visit) -> tuple[GroupSaid, ...]:
    """Story and standing facts in words, for pages and the note, in the order of the catalogue. An answer
    whose question no longer applies is left out. Two queries.
    """
    told = told_in(visit)
    values = {key: value(row.value) for key, row in told.items()}
    facts = Facts(Case(history=values, sex=visit.patient.sex), Drawn())
    groups = [
        GroupSaid(
            group.id,
            group.title,
            tuple(_said(item, told[item.key]) for item in group.items if _is_told(item, told, facts)),
        )
        for group in items.history().on_page("story")
    ]
    groups.append(_standing_said(standing.facts_in(standing_in(visit))))
    return tuple(group for group in groups if group.answers)


def value(stored: Any) -> Value:
    """A value as rules read it: the lists of the database are tuples there."""
    return tuple(stored) if isinstance(stored, list) else stored


def _is_told(item: Item, told: Mapping[str, StoryAnswer], facts: Facts) -> bool:
    return item.key in told and (not item.only_if or conditions.read(item.only_if).holds(facts))


def _said(item: Item, row: StoryAnswer) -> Said:
    asked_in = row.carried_from
    carried = f"{timezone.localtime(asked_in.started_at):%-d %B %Y}" if asked_in else ""
    return Said(item.key, item.label, item.words_for(value(row.value)), row.told_by, carried)


def _standing_said(facts: tuple[Fact, ...]) -> GroupSaid:
    """Each with the day it was last confirmed."""
    group = items.history().on_page("standing")[0]
    said = (
        Said(
            fact.subject.item.key,
            fact.subject.words,
            f"{fact.words} (confirmed {timezone.localtime(fact.confirmed_at):%-d %B %Y})",
            "",
        )
        for fact in facts
    )
    return GroupSaid(group.id, group.title, tuple(said))


def standing_in(visit: Visit) -> dict[str, StandingFact]:
    """What stands with the person, by key, as confirmed until the visit was signed. One query."""
    return standing.counting(merged.known_in(visit))


def standing_of(patient: Patient) -> tuple[Fact, ...]:
    """What stands with the person today. One query."""
    return standing.facts_in(standing.counting(merged.rows_of(patient)))


def state_of_standing(last: Mapping[str, StandingFact]) -> str:
    """A short mark of the confirmations that count: it changes with every further one."""
    said = ",".join(str(last[key].pk) for key in sorted(last))
    return hashlib.sha256(said.encode()).hexdigest()[:16]

"""What was told: the story in words with who told it, and what stands with the person. Plain data."""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from bodymaps.reasoning import items
from charting.drawing.models import DrawnBy
from charting.history import queries as history
from charting.history import standing
from charting.history.queries import GroupSaid, Said
from charting.history.standing import Fact, Subject
from charting.report.papers import clock, day, stopped
from charting.telling.models import Telling
from charting.telling.queries import tellings_of
from charting.visits.models import Visit

OF_PATIENT = "Given by the patient on a device and confirmed by the clinician"


def story(visit: Visit) -> dict[str, Any]:
    """Complaint and history as written, the answers in words by group, and who gave them."""
    written = history.story_of(visit)
    groups = [group for group in history.answers_of(visit) if group.id != "standing"]
    return {
        "complaint": written.complaint.strip(),
        "history": written.history.strip(),
        "height_cm": history.plain(written.height_cm),
        "weight_kg": history.plain(written.weight_kg),
        "groups": [_group(group) for group in groups],
        "of_patient": of_patient(groups),
        "told": [_telling(telling, visit) for telling in tellings_of(visit)],
    }


def of_patient(groups: Iterable[GroupSaid]) -> str:
    """Which answers are the patient's own, in a sentence; "" when the clinician asked them all."""
    every = [answer for group in groups for answer in group.answers]
    own = [answer for answer in every if answer.is_patients]
    if not own:
        return ""
    if len(own) == len(every):
        return f"{OF_PATIENT}: every answer."
    fewer, beginning = (own, "") if len(own) <= len(every) / 2 else (_others(every), "every answer but ")
    return f"{OF_PATIENT}: {beginning}{', '.join(answer.label.lower() for answer in fewer)}."


def standing_facts(visit: Visit) -> dict[str, Any]:
    """What stands with the person, in sentences with the day of the last confirmation. What was not asked is
    said to be so, never taken for a no.
    """
    person, zone = visit.patient, visit.patient.practice.zone
    facts = standing.facts_in(history.standing_in(visit))
    asked = {fact.subject.item.key for fact in facts}
    age = person.age_on(visit.started_at.astimezone(zone).date())
    applying = [
        one for one in standing.rules().subjects if standing.applies(one.item, age=age, sex=person.sex)
    ]
    noes = [fact for fact in facts if fact.value == "no"]
    by_day = groupby(noes, key=lambda fact: day(fact.confirmed_at.astimezone(zone)))
    return {
        "known": [
            {
                "key": fact.subject.item.key,
                "words": _known(fact),
                "confirmed": day(fact.confirmed_at.astimezone(zone)),
            }
            for fact in facts
            if fact.value != "no"
        ],
        "none_known": [
            {"words": [_topic(fact.subject) for fact in found], "confirmed": on} for on, found in by_day
        ],
        "not_asked": [_topic(one) for one in applying if one.item.key not in asked],
    }


def _others(every: Iterable[Said]) -> list[Said]:
    return [answer for answer in every if not answer.is_patients]


def _group(group: GroupSaid) -> dict[str, Any]:
    return {"id": group.id, "title": group.title, "answers": [_answer(one) for one in group.answers]}


def _answer(one: Said) -> dict[str, Any]:
    """`words`: the sentence; `said`: the answer alone; `carried`: the day it is from, not asked again."""
    carried = f" (from {one.carried}, not asked again)" if one.carried else ""
    said = one.words.strip().removesuffix(".") if carried else one.words
    return {
        "key": one.key,
        "told_by": one.told_by,
        "words": stopped(f"{one.label}: {said}{carried}"),
        "label": one.label,
        "said": one.words,
        "carried": one.carried or "",
    }


def _known(fact: Fact) -> str:
    """ "Blood thinner or bleeding disorder: warfarin", "Allergy: not sure, latex" """
    said = fact.words.removeprefix("yes, ") if fact.which is not None else fact.words
    return f"{fact.subject.item.label}: {said}"


def _topic(subject: Subject) -> str:
    """What is known or not: the label as a noun."""
    label = subject.item.label[:1].lower() + subject.item.label[1:]
    return label if subject.topic in label else subject.topic


def _telling(telling: Telling, visit: Visit) -> dict[str, Any]:
    """What the patient told on one device: who held it, and what became of it."""
    zone = visit.patient.practice.time_zone
    held = telling.hand_over
    helped = held.drawn_by == DrawnBy.HELPER
    settled_at = telling.settled_at
    return {
        "by": f"the patient with {held.helper}" if helped else "the patient alone",
        "when": clock(telling.begun_at, zone),
        "is_read": settled_at is not None,
        "read_by": str(telling.settled_by or ""),
        "read_at": clock(settled_at, zone) if settled_at else "",
        "told": len(telling.answers),
        "taken": len(telling.taken),
        "changed": _labels(telling.changed),
        "left": _labels(key for key in telling.answers if key not in telling.taken),
    }


def _labels(keys: Iterable[str]) -> list[str]:
    known = items.history().items
    return [known[key].label.lower() if key in known else key for key in keys]

"""{% standing_facts patient %}: what stands with a person, in the strip above every page of the chart."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import template
from django.utils import timezone

from charting.history.queries import standing_of
from charting.history.standing import Fact, applies, rules
from charting.patients.models import Patient
from charting.staff.rights import may

register = template.Library()


@dataclass(frozen=True)
class Chip:
    """One fact to mind. `is_sure` is false for a "not sure"; `is_old`: to be confirmed again;
    `against`: what another record of the person said, since merged.
    """

    words: str
    is_sure: bool
    confirmed_at: datetime
    is_old: bool
    against: tuple[str, ...] = ()


@dataclass(frozen=True)
class Strip:
    """`noes`: the topics answered no, `since` the longest ago that one of them was confirmed; `unasked`: the
    topics never asked.
    """

    chips: tuple[Chip, ...]
    noes: tuple[str, ...]
    since: datetime | None
    is_old: bool
    unasked: tuple[str, ...]


@register.inclusion_tag("patients/_standing.html", takes_context=True)
def standing_facts(context: dict[str, Any], patient: Patient) -> dict[str, Strip | None]:
    """One query; none for staff who may not open charts."""
    if not may(context["request"].user, "open chart"):
        return {"strip": None}
    return {"strip": strip_of(patient, standing_of(patient))}


@register.filter
def age(patient: Patient) -> int:
    """{{ patient|age }}: whole years today."""
    return patient.age_on(timezone.localdate())


def strip_of(patient: Patient, facts: tuple[Fact, ...]) -> Strip:
    now = timezone.now()
    age = patient.age_on(timezone.localdate(now))
    known = {fact.subject.item.key for fact in facts}
    noes = [fact for fact in facts if fact.value == "no"]
    return Strip(
        chips=tuple(_chip(fact, now) for fact in facts if fact.value != "no"),
        noes=tuple(fact.subject.topic for fact in noes),
        since=min((fact.confirmed_at for fact in noes), default=None),
        is_old=any(fact.is_old(now) for fact in noes),
        unasked=tuple(
            each.topic
            for each in rules().subjects
            if each.item.key not in known and applies(each.item, age=age, sex=patient.sex)
        ),
    )


def _chip(fact: Fact, now: datetime) -> Chip:
    which = "" if fact.which is None else str(fact.which)
    words = fact.subject.words + (fact.subject.then.format(which=which) if which else "")
    return Chip(words, fact.value == "yes", fact.confirmed_at, fact.is_old(now), fact.against)

"""How people fared: by instrument, from the first score of an episode to the last one in the period, beside
the change that was published as important. Counts of people; nobody is named.

A person counts once for an instrument, with the episode scored last. The first score may lie before the
period.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcome_instruments import IMPORTANT, Rule
from bodymaps.reasoning.outcomes import Change, Instrument
from bodymaps.reasoning.outcomes_change import BETTER, NO_CHANGE, WORSE
from bodymaps.reasoning.outcomes_words import size_of
from charting.outcomes.models import OutcomeScore
from charting.patients.access import in_charts_of
from charting.review.chosen import Chosen
from charting.review.numbers import load
from charting.review.queries import Selected, raw
from charting.review.shown import Shown
from charting.staff.models import User

DIRECTIONS = {BETTER: "Better", NO_CHANGE: "As before", WORSE: "Worse"}


class Score(NamedTuple):
    """One score of a signed visit."""

    visit: str
    episode: UUID
    at: datetime
    instrument: str
    form: str
    answers: dict[str, Any]


@dataclass(frozen=True)
class Fared:
    """One person from first to last score of an instrument."""

    person: int
    change: Change


@dataclass(frozen=True)
class Group:
    label: str
    people: Shown


@dataclass(frozen=True)
class Reached:
    """One published important change: of how many people it speaks, and how many of them got better by it."""

    words: str
    source: str
    people: Shown
    of: Shown


@dataclass(frozen=True)
class Part:
    """One part of the scale, and how many people's first and last score lies in it."""

    label: str
    first: Shown
    last: Shown


@dataclass(frozen=True)
class InstrumentRow:
    """`direction`: which end of the scale is good, in words; `scale` is () for a judgement of change."""

    name: str
    direction: str
    people: Shown
    groups: tuple[Group, ...]
    reached: tuple[Reached, ...]
    scale: tuple[Part, ...]

    @property
    def most(self) -> int:
        """The longest bar of its scale, in people."""
        return max((one.least for part in self.scale for one in (part.first, part.last)), default=0) or 1


def outcome_rows(user: User, chosen: Chosen, among: Selected) -> tuple[InstrumentRow, ...]:
    """Those with enough people to be shown, in the order of the instruments. One query."""
    fared = _fared(_scores(user, chosen), among)
    known = outcomes.instruments()
    rows = (_row(of, fared[name], among) for name, of in known.items() if name in fared)
    return tuple(row for row in rows if not row.people.is_blank)


def _scores(user: User, chosen: Chosen) -> Iterable[Score]:
    """In order of time, up to the end of the period."""
    rows = OutcomeScore.objects.filter(
        in_charts_of(user, "visit__patient"),
        visit__signed_at__isnull=False,
        visit__started_at__lt=chosen.end,
        visit__episode__isnull=False,
    ).order_by("visit__started_at")
    told = ("visit__episode_id", "visit__started_at", "instrument", "form", "answers")
    return (Score(*row) for row in rows.values_list(raw("visit_id"), *told).iterator())


def _fared(scores: Iterable[Score], among: Selected) -> Mapping[str, list[Fared]]:
    """By instrument, one for each person whose last visit with a score is among the selected."""
    courses: dict[tuple[str, UUID], list[Score]] = defaultdict(list)
    for score in scores:
        if outcomes.instruments().get(score.instrument):
            courses[score.instrument, score.episode].append(score)
    latest: dict[tuple[str, int], tuple[datetime, list[Score]]] = {}
    for (instrument, _), course in courses.items():
        chosen = [score for score in course if score.visit in among.person]
        if chosen:
            key = instrument, among.person[chosen[-1].visit]
            latest[key] = max(latest.get(key, (chosen[-1].at, [])), (chosen[-1].at, course), key=_when)
    found: dict[str, list[Fared]] = defaultdict(list)
    for (instrument, person), (until, course) in latest.items():
        change = _change(outcomes.instruments()[instrument], course, until, among)
        if change is not None:
            found[instrument].append(Fared(person, change))
    return found


def _when(one: tuple[datetime, list[Score]]) -> tuple[datetime, int]:
    return one[0], len(one[1])


def _change(of: Instrument, course: Sequence[Score], until: datetime, among: Selected) -> Change | None:
    """None where there are not two that can be held against each other."""
    told = [score for score in course if score.at <= until]
    told = [score for score in told if outcomes.score(of, score.answers, score.form).value is not None]
    if not told or (of.way != "choice" and len(told) == 1):
        return None
    first, last = told[0], told[-1]
    where = {key.split()[0] for one in (first, last) for key in among.parts_of(one.visit)}
    change = outcomes.change(of, first.answers, last.answers, last.form, parts=where)
    return change if change.direction else None


def _row(of: Instrument, fared: Sequence[Fared], among: Selected) -> InstrumentRow:
    return InstrumentRow(
        name=of.name,
        direction={"lower": "less is better", "higher": "more is better"}.get(of.better, ""),
        people=among.shown(one.person for one in fared),
        groups=tuple(
            Group(label, among.shown(one.person for one in fared if one.change.direction == direction))
            for direction, label in DIRECTIONS.items()
        ),
        reached=tuple(_reached(rule, fared, among) for rule in of.of_kind(IMPORTANT)),
        scale=() if of.way == "choice" else _scale(of, fared, among),
    )


def _reached(rule: Rule, fared: Sequence[Fared], among: Selected) -> Reached:
    judged = [
        (one.person, one.change.direction == BETTER and each.met is True)
        for one in fared
        for each in one.change.judged
        if each.rule == rule and each.fits and each.met is not None
    ]
    label = f"{rule.label}, " if rule.label else ""
    return Reached(
        words=f"{label}{size_of(rule)}",
        source="; ".join(filter(None, (rule.source, rule.population, rule.status))),
        people=among.shown(person for person, met in judged if met),
        of=among.shown(person for person, _ in judged),
    )


def _scale(of: Instrument, fared: Sequence[Fared], among: Selected) -> tuple[Part, ...]:
    parts, width = load().scale_parts, (of.high - of.low) / load().scale_parts
    firsts: dict[int, list[int]] = defaultdict(list)
    lasts: dict[int, list[int]] = defaultdict(list)
    for one in fared:
        for found, value in ((firsts, one.change.before), (lasts, one.change.after)):
            if value is not None:
                found[min(int((value - of.low) / width), parts - 1)].append(one.person)
    return tuple(
        Part(_between(of, number, width, parts), among.shown(firsts[number]), among.shown(lasts[number]))
        for number in range(parts)
    )


def _between(of: Instrument, number: int, width: float, parts: int) -> str:
    """ "0 to under 2", and for the last "8 to 10"."""
    low, high = of.low + number * width, of.low + (number + 1) * width
    return f"{low:g} to {'' if number + 1 == parts else 'under '}{high:g}"

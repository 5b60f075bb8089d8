"""How an episode went, as plain data: shown on the page, and frozen at discharge. No verdict but the
published ones, and no word of a cause.

A discharge prints this data alone. A member that changes its meaning raises FORMAT, and the template keeps
the words of the format before.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bodymaps.reasoning import outcomes
from charting.progress.course import Course
from charting.progress.events import Happened
from charting.progress.measures import Measure, Value
from charting.progress.plots import day
from charting.progress.treated import TreatedPlace
from charting.treatment import home
from charting.treatment.models import HomeProgramme

FORMAT = 1
DAYS_OF_A_WEEK = 7


def summary_of(course: Course) -> dict[str, Any]:
    """Plain data, fit for JSON. Deterministic: the same record gives the same."""
    return {
        "format": FORMAT,
        "rules": outcomes.load().version,
        "complaint": course.episode.title,
        "span": span_words(course),
        "visits": len(course.visits),
        "measures": [_measure(one, course) for one in course.measures],
        "treated": [
            {"where": one.name, "visits": one.count.removeprefix("at "), "done": _done(one)}
            for one in course.places
        ],
        "treated_visits": len(course.treatments),
        "reactions": [_happened(one, course) for one in course.reactions],
        "missed": [_happened(one, course) for one in course.missed],
        "programme": _programme(course.recorded.programme),
    }


def fingerprint(summary: dict[str, Any]) -> str:
    """What the page to discharge sends along, so that nothing is frozen that nobody has seen."""
    return hashlib.sha256(json.dumps(summary, sort_keys=True).encode()).hexdigest()


def span_words(course: Course) -> str:
    """ "12 visits in 9 weeks, from 4 May to ...": how much of a course there is."""
    visits = course.visits
    if not visits:
        return "No visit yet."
    first, last = visits[0].started_at, visits[-1].started_at
    if len(visits) == 1:
        return f"1 visit, on {day(first, course.zone)}."
    days = (last.astimezone(course.zone).date() - first.astimezone(course.zone).date()).days
    if not days:
        return f"{len(visits)} visits on {day(first, course.zone)}."
    weeks = round(days / DAYS_OF_A_WEEK)
    long = _count(weeks, "week") if days >= DAYS_OF_A_WEEK else _count(days, "day")
    ends = f"from {day(first, course.zone)} to {day(last, course.zone)}"
    return f"{len(visits)} visits in {long}, {ends}."


def sentences(course: Course, measures: Sequence[Measure]) -> tuple[tuple[str, str], ...]:
    """(measure, what became of it) for each that has a course."""
    return tuple((one.title, one.change) for one in measures if one.is_course and one.change)


def _measure(one: Measure, course: Course) -> dict[str, Any]:
    return {
        "key": one.key,
        "title": one.title,
        "direction": one.direction,
        "count": len(one.values),
        "first": _value(one.first, course),
        "last": _value(one.last, course) if one.is_course else None,
        "change": one.change,
        "judged": [{"rule": each.rule, "met": each.met, "words": each.words} for each in one.judged],
        "remark": one.remark,
    }


def _value(value: Value, course: Course) -> dict[str, Any]:
    return {"on": day(value.at, course.zone), "number": value.number, "words": value.words}


def _done(place: TreatedPlace) -> str:
    """ "dry needling 4 times, stretch once" """
    times = Counter(done for time in place.times for done in time.done.split(", "))
    named = {1: "once", 2: "twice"}
    return ", ".join(f"{done} {named.get(count, f'{count} times')}" for done, count in times.most_common())


def _happened(one: Happened, course: Course) -> dict[str, str]:
    return {"on": day(one.at, course.zone), "words": one.words}


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _programme(row: HomeProgramme | None) -> dict[str, Any] | None:
    """The last one of the episode; None where the patient has none."""
    programme = home.programme_of(row)
    if programme.is_empty:
        return None
    return {"items": [asdict(item) for item in programme.items], "words": programme.words}

"""The tables of a progress report as plain data: measures, treatments, numbers of the insurer, codes."""

import re
from collections.abc import Container
from typing import Any

from charting.letters.gathered import Gathered
from charting.progress.measures import Measure
from charting.report.insured import groups
from charting.report.sources import Sources
from charting.treatment import techniques, where

MET = {True: "reached", False: "not reached", None: "open"}
DETECTABLE = re.compile(r" \(detectable change [^()]*?(?:; (found for [^()]* only))?\)")


def measures(found: Gathered, left_out: Container[str], cited: Sources) -> list[dict[str, Any]]:
    """First and last value, what changed, and each published rule it was held against with the number of its
    source. `left_out`: keys of measures that do not stand in the letter.
    """
    return [_measure(one, found, cited) for one in found.course.measures if one.key not in left_out]


def _measure(one: Measure, found: Gathered, cited: Sources) -> dict[str, Any]:
    return {
        "key": one.key,
        "title": one.title,
        "direction": one.direction,
        "first": {"on": found.day(one.first.at), "words": one.first.words},
        "last": {"on": found.day(one.last.at), "words": one.last.words} if one.is_course else None,
        "change": _change(one.change),
        "judged": _judged(one, cited),
    }


def _judged(one: Measure, cited: Sources) -> list[dict[str, Any]]:
    """Rules of one kind that came out alike stand together: `said` ("Important change reached")."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for each in one.judged:
        rule = {"size": each.size, "number": cited.number(each.source)}
        groups.setdefault(f"{each.kind} {MET[each.met]}", []).append(rule)
    return [{"said": said, "rules": rules} for said, rules in groups.items()]


def _change(words: str) -> str:
    """Without the sizes of detectable changes, which stand below it one by one."""
    return DETECTABLE.sub(lambda found: f" ({found[1]})" if found[1] else "", words)


def treatments(found: Gathered) -> list[dict[str, Any]]:
    """A row for each technique: where, on which days, how many minutes in all (0 where none are recorded)."""
    rows: dict[str, dict[str, Any]] = {}
    for visit in found.visits:
        for entry in found.course.recorded.entries.get(visit.pk, ()):
            row = rows.setdefault(entry.technique, {"where": {}, "days": {}, "minutes": 0})
            row["where"][where.words_of(where.of(entry).spot, found.course.known)] = True
            row["days"][found.day(visit.started_at)] = True
            row["minutes"] += entry.minutes or 0
    return [
        {
            "technique": techniques.label_of(name),
            "where": list(row["where"]),
            "days": list(row["days"]),
            "minutes": row["minutes"],
        }
        for name, row in rows.items()
    ]


def codes(found: Gathered) -> list[dict[str, str]]:
    return [{"code": row.code, "title": row.title, "release": row.release} for row in found.codes]


def insurer(found: Gathered) -> list[dict[str, Any]]:
    """Everything on record for who pays, on the day of the last visit (charting.report.insured.groups)."""
    if found.cover is None or not found.visits:
        return []
    on = found.visits[-1].started_at.astimezone(found.course.zone).date()
    return [
        {**group, "rows": [[what, words.rstrip(".")] for what, words in group["rows"]]}
        for group in groups(found.cover, on)
    ]

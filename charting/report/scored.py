"""The scores of a visit with what changed since the first and since the last, as the note keeps them."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from charting.outcomes.rows import outcome_rows
from charting.report.papers import day
from charting.report.sources import Sources
from charting.visits.models import Visit

KINDS = (("important", "Important change"), ("detectable", "Least change beyond error"))


def scored(visit: Visit, parts: Collection[str], cited: Sources) -> list[dict[str, Any]]:
    """A row for each instrument (charting.outcomes.rows); in each change, `said` is its verdict in plain
    words and `rules` are those found for this part of the body, by kind, each with the number of its source.
    Two queries.
    """
    return [_row(row, visit, cited) for row in outcome_rows(visit, parts)]


def _row(row: dict[str, Any], visit: Visit, cited: Sources) -> dict[str, Any]:
    names = ("instrument", "name", "form_title", "version", "said_by", "value", "score", "band", "why_not")
    kept = {name: row[name] for name in (*names, "detail", "lines")}
    return {**kept, "changes": [_change(one, visit, cited) for one in row["changes"]]}


def _change(one: dict[str, Any], visit: Visit, cited: Sources) -> dict[str, Any]:
    names = ("since", "before", "points", "percent_shown", "direction", "within_error", "words", "left_out")
    here = [rule for rule in one["rules"] if rule["fits"]]
    return {
        **{name: one[name] for name in names},
        "day": day(datetime.fromisoformat(one["when"]).astimezone(visit.patient.practice.zone)),
        "said": _said(one),
        "parts": [{"title": part["title"], "words": _part(part)} for part in one["parts"]],
        "rules": [rules for kind in KINDS if (rules := _rules(kind, here, cited))],
        "elsewhere": [_elsewhere(rule) for rule in one["rules"] if not rule["fits"]],
    }


def _said(one: dict[str, Any]) -> str:
    """The verdict: beyond the error of measurement or not, before any other word."""
    if one["within_error"]:
        return "within measurement error"
    if one["within_error"] is False:
        return str(one["direction"])
    return "may be measurement error" if one["verdict"] == "unsure" else "measurement error not known"


def _part(part: dict[str, Any]) -> str:
    meaning = f" ({part['meaning']})" if part["meaning"] else ""
    return f"{part['before']} to {part['after']}{meaning}"


def _rules(kind: tuple[str, str], here: list[dict[str, Any]], cited: Sources) -> dict[str, Any] | None:
    """What is said of the change, each once, with the sizes that it is said of."""
    id_, title = kind
    groups: dict[str, list[dict[str, Any]]] = {}
    for rule in here:
        if rule["kind"] == id_:
            size, _, said = rule["words"].rpartition(": ")
            number = cited.number(rule["source"], rule["status"])
            groups.setdefault(said, []).append({"words": f"{size}{_level(rule)}", "number": number})
    found = [{"said": said, "of": told} for said, told in groups.items()]
    return {"title": title, "groups": found} if found else None


def _level(rule: dict[str, Any]) -> str:
    """ " (level 90 %)", " (level not stated)", "" """
    return f" (level {rule['confidence']})" if rule["confidence"] else ""


def _elsewhere(rule: dict[str, Any]) -> str:
    """A rule found for another part of the body, with who was asked and who says so: on the page alone."""
    source, status = rule["source"], rule["status"]
    known = source if status in source else f"{source} ({status})"
    return f"{rule['words']}{_level(rule)}; {rule['population']}. {known}"

"""What was done, what it did, what went wrong and what is done at home. Plain data for the note."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from bodymaps.atlas import Atlas
from charting.report.papers import clock, day, stopped
from charting.treatment import adverse, counts, gates, home, incidents, queries, techniques, told
from charting.treatment.adverse_queries import Listed, events_of
from charting.treatment.models import (
    AdverseFollowUp,
    GateOverride,
    HomeProgramme,
    LateAdvice,
    NeedleIncident,
    TreatmentEntry,
)
from charting.treatment.where import Where, words_of
from charting.visits.models import Visit


def treated(visit: Visit, known: Atlas) -> dict[str, Any]:
    """Entries in words, minutes, needles, and what was recorded beside them. Four queries."""
    rows, zone = queries.entries_of(visit), visit.patient.practice.time_zone
    return {
        "entries": [told.as_data(row, known) for row in rows],
        "minutes": _minutes(rows),
        "needles": _needles(rows),
        "incidents": [_incident(row, zone) for row in incidents.incidents_of(visit)],
        "overrides": [_override(row, known, zone) for row in gates.overrides_of(visit)],
        "late_advice": [_advice(row, zone) for row in gates.late_advice_of(visit)],
    }


def programme(visit: Visit) -> dict[str, Any]:
    """What the patient does at home: items ({title, how, dose, stop}, each as a sentence) and words."""
    found = home.programme_of(HomeProgramme.objects.filter(visit=visit).first())
    items = [{name: stopped(said) for name, said in asdict(item).items()} for item in found.items]
    return {"items": items, "words": found.words}


def reactions(visit: Visit) -> list[dict[str, Any]]:
    """Adverse events of this visit's treatment, and whatever was recorded or followed up since the last note
    of the person, the oldest first. One that a later line corrects is left out. Four queries.
    """
    since, zone = _since(visit), visit.patient.practice.time_zone
    found = (one for one in reversed(events_of(visit.patient)) if not one.corrected)
    return [_reaction(one, zone) for one in found if _belongs(one, visit, since)]


def _minutes(rows: Iterable[TreatmentEntry]) -> dict[str, Any]:
    spent = queries.minutes_in(rows)
    by = [{"technique": techniques.label_of(name), "minutes": spent[name]} for name in spent]
    return {"by_technique": by, "in_all": sum(spent.values())}


def _needles(rows: Sequence[TreatmentEntry]) -> dict[str, Any] | None:
    """None where no needle went in."""
    found = counts.needles_in(rows)
    if not found.is_any:
        return None
    return {"count_in": found.count_in, "count_out": found.count_out, "is_settled": found.is_settled}


def _incident(row: NeedleIncident, zone: str) -> dict[str, Any]:
    return {
        "shown": [incidents.said(one) for one in row.shown],
        "words": stopped(row.words),
        "done": stopped(row.done),
        "told_patient": row.told_patient,
        "by": str(row.recorded_by),
        "when": clock(row.recorded_at, zone),
    }


def _override(row: GateOverride, known: Atlas, zone: str) -> dict[str, Any]:
    """The gate as it was shown, who decided to go past it, and why."""
    return {
        "gate": row.gate,
        "where": words_of(Where(row.muscle, row.side), known) if row.muscle else "",
        "title": row.shown.get("title", row.gate),
        "words": row.shown.get("words", ""),
        "because": row.shown.get("because", ""),
        "source": row.shown.get("source", ""),
        "status": row.shown.get("status", ""),
        "reason": stopped(row.reason),
        "by": str(row.decided_by),
        "when": clock(row.decided_at, zone),
    }


def _advice(row: LateAdvice, zone: str) -> dict[str, Any]:
    return {
        "words": stopped(row.words),
        "call": row.call.strip(),
        "understood": row.understood,
        "by": str(row.given_by),
        "when": clock(row.given_at, zone),
    }


def _since(visit: Visit) -> datetime:
    """From when on nothing stands in a note before this one."""
    earlier = Visit.objects.filter(patient=visit.patient_id, started_at__lt=visit.started_at)
    last = earlier.order_by("-started_at").first()
    if last is None:
        return visit.started_at
    return min(last.signed_at or last.started_at, visit.started_at)


def _belongs(one: Listed, visit: Visit, since: datetime) -> bool:
    followed = any(each.done_at >= since for each in one.follow_ups)
    return one.event.visit_id == visit.pk or one.event.recorded_at >= since or followed


def _reaction(one: Listed, zone: str) -> dict[str, Any]:
    row = one.event
    severity = adverse.load().severities[row.severity]
    return {
        "what": adverse.label_of(row.what),
        "severity": severity.label,
        "when": clock(row.happened_at, zone),
        "treated": row.treated,
        "words": stopped(row.words),
        "done": stopped(row.done),
        "by_patient": row.reported_by_patient,
        "by": str(row.recorded_by),
        "recorded": clock(row.recorded_at, zone),
        "is_open": one.is_open,
        "due": _due(one),
        "follow_ups": [_follow_up(each, zone) for each in one.follow_ups],
    }


def _due(one: Listed) -> str:
    """When somebody is to look at it next: a day, "" for none."""
    due = one.follow_ups[-1].next_on if one.follow_ups else one.event.follow_up_on
    return _day(due) if one.is_open else ""


def _follow_up(row: AdverseFollowUp, zone: str) -> dict[str, Any]:
    return {
        "words": stopped(row.words),
        "settles": row.settles,
        "next_on": _day(row.next_on),
        "by": str(row.done_by),
        "when": clock(row.done_at, zone),
    }


def _day(value: date | None) -> str:
    return day(value) if value else ""

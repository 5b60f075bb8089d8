"""Needles whose count in and out differs: what is open, and what was recorded about it."""

import hashlib
import json
from collections.abc import Iterable
from typing import Any

from bodymaps.atlas import Atlas
from charting.treatment import counts
from charting.treatment.models import NeedleIncident, TreatmentEntry
from charting.treatment.where import Where, words_of
from charting.visits.models import Visit

Shown = list[dict[str, Any]]
COMPARED = ("entry", "count_in", "count_out")


def incidents_of(visit: Visit) -> tuple[NeedleIncident, ...]:
    """What was recorded, oldest first."""
    return tuple(NeedleIncident.objects.filter(visit=visit).select_related("recorded_by"))


def shown_in(rows: Iterable[TreatmentEntry], known: Atlas) -> Shown:
    """The entries whose counts differ, as they stand: what an incident keeps."""
    return [
        {
            "entry": row.pk,
            "where": words_of(Where(row.muscle, row.side, row.site), known),
            "count_in": row.needles["count_in"],
            "count_out": row.needles["count_out"],
        }
        for row in counts.needles_in(rows).unequal
    ]


def open_in(shown: Shown, recorded: Iterable[NeedleIncident]) -> Shown:
    """Those of `shown` that no incident tells of with just these counts: a later change opens it again."""
    told = {_key(one) for row in recorded for one in row.shown}
    return [one for one in shown if _key(one) not in told]


def state_of(shown: Shown) -> str:
    """A short mark of the counts: it changes when anybody counts anew."""
    return hashlib.sha256(json.dumps([_key(one) for one in shown]).encode()).hexdigest()[:16]


def stops_in(visit: Visit, rows: Iterable[TreatmentEntry], known: Atlas) -> tuple[str, ...]:
    """What of the needles holds a signature back. At most one query."""
    rows = tuple(rows)
    found = []
    if to_count := counts.needles_in(rows).to_count:
        named = "; ".join(words_of(Where(row.muscle, row.side), known) for row in to_count)
        found.append(f"Needles are not counted out yet: {named}.")
    shown = shown_in(rows, known)
    if shown and (open_ := open_in(shown, NeedleIncident.objects.filter(visit=visit))):
        named = "; ".join(said(one) for one in open_)
        found.append(f"Needles in and out differ ({named}): record what became of them.")
    return tuple(found)


def said(one: dict[str, Any]) -> str:
    """ "Infraspinatus, right: 3 in, 2 out" """
    return f"{one['where']}: {one['count_in']} in, {one['count_out']} out"


def _key(one: dict[str, Any]) -> tuple[Any, ...]:
    return tuple(one[name] for name in COMPARED)

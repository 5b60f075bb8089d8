"""Drawings entered in error: what no longer counts, where what comes late belongs, what the chart says."""

import uuid
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.db.models import Q

from charting.drawing.models import TABLES, BoardEvent, EnteredInError, StoredStroke
from charting.visits.models import Visit


@dataclass(frozen=True)
class Trace:
    """One line of the chart about a drawing that was "struck" here, "moved here" or "brought back"."""

    what: str
    words: str
    entries: int
    when: str
    by: str
    reason: str


@dataclass(frozen=True)
class Home:
    """Where an event belongs that was drawn for `visit`, or for one whose drawing was moved there.

    `shift` is added to its number; `strike` is set when the drawing was struck without being moved anywhere.
    """

    visit: Visit
    shift: int = 0
    strike: EnteredInError | None = None


def around(visit: Visit) -> tuple[EnteredInError, ...]:
    """What was struck in this visit and what was moved here, oldest first. One query."""
    known = EnteredInError.objects.select_related("struck_by", "visit", "moved_to")
    return tuple(known.filter(Q(visit=visit) | Q(moved_to=visit)))


def struck_in(visit: Visit, strikes: Iterable[EnteredInError]) -> frozenset[uuid.UUID]:
    """The ids of the events that do not count here: they belong to another chart."""
    lists = (strike.events for strike in strikes if strike.visit_id == visit.pk)
    return frozenset(uuid.UUID(event_id) for listed in lists for event_id in listed)


def id_there(strike: EnteredInError, event_id: uuid.UUID, taken: Iterable[uuid.UUID]) -> uuid.UUID:
    """The id of the copy: the same, unless the other visit has had an event of that id before."""
    return uuid.uuid5(strike.pk, str(event_id)) if event_id in taken else event_id


def arrived_with(strike: EnteredInError) -> frozenset[uuid.UUID]:
    """Every id that an event moved with `strike` may have where it went."""
    ids = [uuid.UUID(event_id) for event_id in strike.events]
    return frozenset(ids) | {uuid.uuid5(strike.pk, str(event_id)) for event_id in ids}


def home_of(visit: Visit, *, since: datetime, layer: str) -> Home:
    """Where something drawn on `layer` of `visit`, on a device that was handed over at `since`, belongs now.

    It follows the drawing that it is a part of: one that was struck here after that moment, its own strokes
    among them (and not only what had been moved here from elsewhere).
    """
    strike = _strike_of_own(visit, since, layer)
    home = Home(visit)
    while strike is not None:
        went = strike if strike.moved_to else brought_back(strike)
        if went is None or went.moved_to is None:
            return Home(home.visit, home.shift, strike)
        home = Home(went.moved_to, home.shift + _shift(went))
        strike = _strike_of_moved(went)
    return home


def brought_back(strike: EnteredInError) -> EnteredInError | None:
    """How a drawing that was struck and moved nowhere was brought back, or None."""
    again = EnteredInError.objects.filter(visit=strike.visit_id, moved_to=strike.visit_id)
    found = again.filter(struck_at__gt=strike.struck_at).select_related("visit", "moved_to")
    return next((each for each in found if _share(each, strike)), None)


def _share(one: EnteredInError, other: EnteredInError) -> bool:
    return not set(one.events).isdisjoint(other.events)


def _strike_of_own(visit: Visit, since: datetime, layer: str) -> EnteredInError | None:
    struck = EnteredInError.objects.filter(visit=visit, struck_at__gt=since).exclude(moved_to=visit)
    later = tuple(struck.select_related("visit", "moved_to"))
    if not later:
        return None
    arrivals = EnteredInError.objects.filter(moved_to=visit).exclude(visit=visit)
    came = frozenset().union(*(arrived_with(each) for each in arrivals))
    own = _ids_on(visit, layer) - came
    for strike in later:
        if any(uuid.UUID(event_id) in own for event_id in strike.events):
            return strike
    return None


def _ids_on(visit: Visit, layer: str) -> frozenset[uuid.UUID]:
    rows = (table._default_manager.filter(visit=visit, drawn_by=layer) for table in TABLES)
    return frozenset(event_id for each in rows for event_id in each.values_list("event_id", flat=True))


def _strike_of_moved(moved: EnteredInError) -> EnteredInError | None:
    """Where what came with `moved` was struck again, or None."""
    came = arrived_with(moved)
    later = EnteredInError.objects.filter(visit=moved.moved_to, struck_at__gt=moved.struck_at)
    for strike in later.select_related("visit", "moved_to"):
        if any(uuid.UUID(event_id) in came for event_id in strike.events):
            return strike
    return None


def _shift(strike: EnteredInError) -> int:
    """How much further on the numbers run where it went. Every copy was shifted by the same."""
    for event_id in strike.events:
        before = StoredStroke.objects.filter(visit=strike.visit_id, event_id=event_id).first()
        if before is None:
            continue
        mapped = uuid.uuid5(strike.pk, event_id)
        there = StoredStroke.objects.filter(visit=strike.moved_to_id)
        after = there.filter(event_id=mapped).first() or there.filter(event_id=event_id).first()
        if after is not None:
            return after.seq - before.seq
    return 0


def traces(visit: Visit, strikes: Iterable[EnteredInError]) -> tuple[Trace, ...]:
    """What the chart says about them, oldest first. Nothing of it names the other person."""
    return tuple(_trace(visit, strike) for strike in strikes)


def _trace(visit: Visit, strike: EnteredInError) -> Trace:
    count = len(strike.events)
    drawing = f"A drawing ({count} {'entry' if count == 1 else 'entries'})"
    when, by = moment(visit, strike.struck_at), str(strike.struck_by)
    if strike.visit_id == visit.pk:
        reason = strike.reason if strike.reason.endswith((".", "!", "?")) else f"{strike.reason}."
        if strike.moved_to_id == visit.pk:
            words = f"{drawing} that had been struck was brought back on {when} by {by}: {reason}"
            return Trace("brought back", words, count, when, by, strike.reason)
        words = f"{drawing} was entered in error; struck on {when} by {by}: {reason}"
        return Trace("struck", words, count, when, by, strike.reason)
    same = strike.visit.patient_id == visit.patient_id
    origin = "another visit of the same person" if same else "another chart"
    words = f"{drawing} was moved here from {origin} on {when} by {by}."
    return Trace("moved here", words, count, when, by, "")


def moment(visit: Visit, at: datetime) -> str:
    """25 November 2026, 14:05: in the clock of the practice, English whatever the language setting."""
    local = at.astimezone(visit.patient.practice.zone)
    return f"{local.day} {local:%B} {local.year}, {local:%H:%M}"


def struck_and_moved(visit: Visit) -> list[dict[str, Any]]:
    """The traces of a visit as plain data, for its note. One query."""
    return as_data(visit, around(visit))


def as_data(visit: Visit, strikes: Iterable[EnteredInError]) -> list[dict[str, Any]]:
    """The same of strikes that were read already."""
    return [asdict(trace) for trace in traces(visit, strikes)]


def acts_on(row: BoardEvent) -> frozenset[uuid.UUID]:
    """The strokes that a row is about, empty for a row that is not about strokes."""
    return frozenset(uuid.UUID(each) for each in getattr(row, "strokes", ()))

"""What happened besides: treatments, reactions, visits that were missed. Each with its words."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from bodymaps.atlas import Atlas
from bodymaps.words import listed, sentence_case
from charting.contacts.models import Contact
from charting.progress.queries import Recorded
from charting.treatment import adverse, techniques, where
from charting.treatment.models import AdverseEvent


@dataclass(frozen=True)
class Happened:
    """Something at a time, in words."""

    at: datetime
    words: str


def treatments(recorded: Recorded, known: Atlas) -> tuple[Happened, ...]:
    """One for each visit with any treatment."""
    found = []
    for visit in recorded.visits:
        rows = recorded.entries.get(visit.pk, ())
        if rows:
            names = dict.fromkeys(where.words_of(where.of(row).spot, known) for row in rows)
            done = dict.fromkeys(techniques.label_of(row.technique).lower() for row in rows)
            found.append(Happened(visit.started_at, f"{'; '.join(names)}: {listed(list(done))}"))
    return tuple(found)


def reactions(recorded: Recorded) -> tuple[Happened, ...]:
    """Adverse events, and reactions of the contact log, in order of time."""
    found = [Happened(event.happened_at, adverse_words(event)) for event in recorded.adverse]
    found += [
        Happened(line.happened_at, f"Reported: {line.words}")
        for line in recorded.contacts
        if line.way == Contact.Way.REACTION
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def adverse_words(event: AdverseEvent) -> str:
    """ "Bruise (mild), after infraspinatus, right: a coin's width." """
    what = sentence_case(adverse.label_of(event.what).replace("_", " "))
    after = f", after {event.treated}" if event.treated else ""
    return f"{what} ({event.severity}){after}: {event.words}"


def missed(recorded: Recorded, zone: ZoneInfo) -> tuple[Happened, ...]:
    """Appointments nobody came to, and visits logged as missed; one for each day."""
    found = [Happened(row.starts_at, row.ended_why or "Visit missed") for row in recorded.missed]
    found += [
        Happened(line.happened_at, line.words) for line in recorded.contacts if line.way == Contact.Way.MISSED
    ]
    by_day = {one.at.astimezone(zone).date(): one for one in reversed(found)}
    return tuple(sorted(by_day.values(), key=lambda one: one.at))

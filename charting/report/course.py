"""Of which episode a visit is, which visit of it, and what changed since the last drawing. Plain data."""

from typing import Any

from charting.progress.since_last import since_last
from charting.report.papers import day
from charting.report.sources import Sources
from charting.visits.models import Visit


def episode(visit: Visit) -> dict[str, Any] | None:
    """Its title, which visit of it this is (from 1), and since when. Two queries."""
    found = visit.episode
    if found is None:
        return None
    earlier = Visit.objects.filter(episode=found, started_at__lt=visit.started_at).count()
    zone = visit.patient.practice.zone
    return {
        "id": str(found.pk),
        "title": found.title.strip(),
        "number": earlier + 1,
        "since": day(found.opened_at.astimezone(zone)),
    }


def compared(visit: Visit, cited: Sources) -> dict[str, Any] | None:
    """This drawing over the last one (charting.progress.since_last) with the number of the source of the
    spread; None where one of the two is missing.
    """
    found = since_last(visit)
    if found is None:
        return None
    spread = found["spread"]
    return {**found, "number": cited.number(spread["source"], spread["status"])}

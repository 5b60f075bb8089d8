"""Every read of scores. A visit given here came through the patients' door."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Exists, OuterRef

from charting.outcomes.models import OutcomeScore
from charting.visits.models import Visit


def scores_of(visit: Visit) -> tuple[OutcomeScore, ...]:
    return tuple(OutcomeScore.objects.filter(visit=visit))


def scores_among(visits: Iterable[Visit]) -> Mapping[UUID, tuple[OutcomeScore, ...]]:
    """By the id of the visit, those without any left out. One query."""
    found: dict[UUID, tuple[OutcomeScore, ...]] = {}
    for row in OutcomeScore.objects.filter(visit__in=[visit.pk for visit in visits]):
        found[row.visit_id] = (*found.get(row.visit_id, ()), row)
    return found


def has_scores() -> Exists:
    """For a query of visits."""
    return Exists(OutcomeScore.objects.filter(visit=OuterRef("pk")))

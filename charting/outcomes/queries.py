"""Every read of scores. A visit given here came through the patients' door."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Exists, OuterRef

from bodymaps import parts
from charting.drawing.queries import drawing_of
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


def earlier_scores(visit: Visit) -> tuple[OutcomeScore, ...]:
    """Those of earlier visits of the same complaint, with their visit, earliest first. One query."""
    earlier = OutcomeScore.objects.filter(
        visit__patient=visit.patient_id,
        visit__episode=visit.episode_id,
        visit__started_at__lt=visit.started_at,
    )
    return tuple(earlier.select_related("visit").order_by("visit__started_at", "instrument"))


def parts_of(visit: Visit) -> frozenset[str]:
    """Where the pain is drawn, as parts of the body without side: published changes are chosen by it."""
    return frozenset(key.split()[0] for key in parts.parts_drawn(drawing_of(visit).marks))

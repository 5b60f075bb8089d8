"""Every read of two drawings that are laid over each other. A patient came through the patients' door."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from charting.drawing.among import Painted, painted_among
from charting.history.models import Story
from charting.patients.models import Patient
from charting.visits.models import Visit


@dataclass(frozen=True)
class DrawnVisits:
    """The visits that say where it hurts, or that nothing does, oldest first; what is drawn by visit."""

    visits: tuple[Visit, ...]
    painted: Mapping[UUID, Painted]

    def one(self, visit_id: str) -> Visit | None:
        """The visit of this id; None for any other text."""
        return next((visit for visit in self.visits if str(visit.pk) == visit_id.strip().lower()), None)


def drawn_visits(patient: Patient) -> DrawnVisits:
    """Five queries, for one visit or a hundred; fewer when all that was signed is known already."""
    visits = tuple(patient.visits.order_by("started_at", "pk"))
    for visit in visits:
        visit.patient = patient
    painted = painted_among(visits)
    return DrawnVisits(tuple(visit for visit in visits if painted[visit.pk].is_told), painted)


def last_drawn_before(visit: Visit) -> tuple[Visit, Painted] | None:
    """The latest visit before this one that says where it hurts. At most nine queries: most often the very
    last one does, and older ones are only painted when it does not.
    """
    earlier = tuple(
        Visit.objects.filter(patient=visit.patient_id, started_at__lt=visit.started_at).order_by(
            "-started_at"
        )
    )
    for group in (earlier[:1], earlier[1:]):
        painted = painted_among(group) if group else {}
        for one in group:
            if painted[one.pk].is_told:
                return one, painted[one.pk]
    return None


def sizes_of(*visits: Visit) -> tuple[float | None, float | None]:
    """Height (cm) and weight (kg) from the first of these visits whose story holds both. One query."""
    rows = Story.objects.filter(
        visit__in=[visit.pk for visit in visits], height_cm__isnull=False, weight_kg__isnull=False
    )
    known = {story.visit_id: (float(story.height_cm or 0), float(story.weight_kg or 0)) for story in rows}
    return next((known[visit.pk] for visit in visits if visit.pk in known), (None, None))

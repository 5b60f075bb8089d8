"""What was answered at the visit before: shown beside the questions, which are asked anew each time."""

from dataclasses import dataclass

from charting.history.models import DangerAnswer
from charting.history.queries import Alarm, alarms_among, screen_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class Before:
    """The last visit before this one whose danger screen was begun, and its "yes" and "not sure"."""

    visit: Visit
    alarms: tuple[Alarm, ...]


def before(visit: Visit) -> Before | None:
    """Two queries. A visit given here came through the patients' door, and so did the person's others."""
    asked = DangerAnswer.objects.filter(
        visit__patient=visit.patient_id, visit__started_at__lt=visit.started_at
    )
    last = asked.select_related("visit").order_by("-visit__started_at").first()
    return Before(last.visit, alarms_among(screen_of(last.visit))) if last else None

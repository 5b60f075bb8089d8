"""Every read of an episode. A patient or visit given here came through the patients' door."""

from charting.episodes.models import Episode
from charting.patients.models import Patient


def open_episode(patient: Patient) -> Episode | None:
    """The episode that is open now, the newest where there are several."""
    return Episode.objects.filter(patient=patient, closed_at=None).first()

"""Every write to an episode."""

from django.utils import timezone

from charting.episodes.models import Episode
from charting.episodes.queries import open_episode
from charting.patients.models import Patient
from charting.staff.models import User


def open_or_begin(*, who: User, patient: Patient) -> Episode:
    """The open episode of this person, or a new one. Called inside the transaction that begins a visit."""
    return open_episode(patient) or Episode.objects.create(
        patient=patient, opened_at=timezone.now(), opened_by=who
    )

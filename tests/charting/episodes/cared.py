"""Episodes to begin tests with."""

from django.utils import timezone

from charting.episodes.models import Episode
from charting.episodes.services import discharge
from charting.visits.models import Visit


def an_episode(patient, clinician, *, title="Right shoulder"):
    """Open, with one signed visit."""
    now = timezone.now()
    episode = Episode.objects.create(patient=patient, opened_at=now, opened_by=clinician, title=title)
    Visit.objects.create(patient=patient, clinician=clinician, episode=episode, signed_at=now)
    return episode


def a_discharged_one(patient, clinician, *, title="Right shoulder"):
    episode = an_episode(patient, clinician, title=title)
    discharge(who=clinician, episode=episode, reason="goals", words="Well again.", summary={})
    return episode

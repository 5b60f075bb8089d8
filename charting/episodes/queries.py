"""Every read of an episode. A patient given here came through the patients' door."""

import uuid
from typing import Any

from django.db.models import F, Prefetch, QuerySet
from django.shortcuts import get_object_or_404

from charting.episodes.models import Episode, EpisodeEvent
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User


def open_episode(patient: Patient) -> Episode | None:
    """The episode that is open now, the newest where there are several."""
    return Episode.objects.filter(patient=patient, closed_at=None).first()


def episodes_of(patient: Patient) -> tuple[Episode, ...]:
    """All of one person: the open ones first, then those discharged last. Their events are read along
    (`episode.events.all()`, oldest first). Two queries.
    """
    events = Prefetch("events", EpisodeEvent.objects.select_related("done_by"))
    known = Episode.objects.filter(patient=patient).prefetch_related(events)
    return tuple(known.order_by(F("closed_at").desc(nulls_first=True), "-opened_at"))


def episode_of(user: User, episode_id: uuid.UUID) -> Episode:
    """One episode of a chart that this member of staff may open. Raises Http404."""
    known = Episode.objects.select_related("patient__practice")
    return get_object_or_404(known, pk=episode_id, patient__in=charts_of(user))


def visits_in(episode: Episode) -> QuerySet[Any]:
    """The visits (charting.visits.models.Visit) of an episode, newest first, each with its clinician."""
    visits: QuerySet[Any] = episode.visits.select_related("clinician")
    return visits


def last_discharge(episode: Episode) -> EpisodeEvent | None:
    """The discharge that stands; None while the episode is open. No query where events were read along."""
    events = tuple(episode.events.all())
    last = events[-1] if events else None
    return last if last and last.what == EpisodeEvent.What.DISCHARGED else None

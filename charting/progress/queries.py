"""Every read of the course of an episode. A patient given here came through the patients' door.

As many queries for a hundred visits as for one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from charting.appointments.models import Appointment
from charting.contacts.models import Contact
from charting.contacts.queries import log_of
from charting.episodes.models import Episode
from charting.episodes.queries import visits_in
from charting.examination.models import MuscleFinding, RangeReading
from charting.staff.models import User
from charting.treatment.models import AdverseEvent, HomeProgramme, TreatmentEntry
from charting.treatment.queries import entries_among, reactions_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class Recorded:
    """What is on record of one episode, oldest first. `contacts`: reactions that were reported and visits
    that were missed; `adverse`: reactions to treatment.
    """

    episode: Episode
    visits: tuple[Visit, ...]
    entries: Mapping[UUID, tuple[TreatmentEntry, ...]]
    adverse: tuple[AdverseEvent, ...]
    contacts: tuple[Contact, ...]
    missed: tuple[Appointment, ...]
    pressed: tuple[MuscleFinding, ...]
    moved: tuple[RangeReading, ...]
    programme: HomeProgramme | None

    @property
    def when(self) -> Mapping[UUID, datetime]:
        return {visit.pk: visit.started_at for visit in self.visits}

    @property
    def unsigned(self) -> tuple[Visit, ...]:
        return tuple(visit for visit in self.visits if not visit.is_signed)


def recorded_of(user: User, episode: Episode, *, signed_only: bool = False) -> Recorded:
    """Everything that stands of an episode. `episode.patient` came through the patients' door.
    `signed_only`: without what visits hold that nobody has signed; reactions to treatment are told all.
    """
    patient = episode.patient
    every = tuple(reversed(visits_in(episode).order_by("-started_at")))
    visits = tuple(visit for visit in every if visit.is_signed) if signed_only else every
    for visit in visits:
        visit.patient = patient
    ids = [visit.pk for visit in visits]
    treated_in = {visit.pk for visit in every}
    start, end = _span(episode, visits)
    during = {"starts_at__gte": start, "starts_at__lte": end}
    missed = Appointment.objects.filter(patient=patient, state=Appointment.State.NOSHOW, **during)
    ways = (Contact.Way.REACTION, Contact.Way.MISSED)
    lines = (line for line in log_of(user, patient) if not line.corrected_by)
    return Recorded(
        episode=episode,
        visits=visits,
        entries=entries_among(visits),
        adverse=tuple(
            sorted(
                (one for one in reactions_of(patient) if _belongs(one, treated_in, start, end)),
                key=lambda one: one.happened_at,
            )
        ),
        contacts=tuple(
            line.contact
            for line in reversed(list(lines))
            if line.contact.way in ways and start <= line.contact.happened_at <= end
        ),
        missed=tuple(missed),
        pressed=tuple(MuscleFinding.objects.filter(visit__in=ids).exclude(pressure={})),
        moved=tuple(RangeReading.objects.filter(visit__in=ids)),
        programme=HomeProgramme.objects.filter(visit__in=ids).order_by("-visit__started_at").first(),
    )


def _span(episode: Episode, visits: tuple[Visit, ...]) -> tuple[datetime, datetime]:
    """From the opening, or a visit before it, to the discharge or to now."""
    start = min([episode.opened_at, *(visit.started_at for visit in visits[:1])])
    return start, episode.closed_at or timezone.now()


def _belongs(event: AdverseEvent, visits: set[UUID], start: datetime, end: datetime) -> bool:
    """By the visit it is thought to come from; without one, by its time."""
    return event.visit_id in visits if event.visit_id else start <= event.happened_at <= end

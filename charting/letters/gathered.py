"""All that the record holds of an episode for a letter: signed visits alone, and what stands beside them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from charting.appointments.models import Appointment
from charting.appointments.queries import coming
from charting.assessment.queries import rows_of, written_in
from charting.assessment.written import Source
from charting.coding.models import DiagnosisCode
from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import last_discharge
from charting.insurance.queries import Cover, cover_of
from charting.notes.models import SignedNote
from charting.patients.models import Patient
from charting.progress.course import Course, course_of
from charting.report.papers import day
from charting.staff.models import Practice, User
from charting.visits.models import Visit


@dataclass(frozen=True)
class Gathered:
    """`course`: of the signed visits. `notes`: what was frozen of them, by visit. `sources`: what the
    clinician named at the last signed visit that names any. `codes`: of the last signed visit with codes.
    `unsigned`: visits of which nothing stands in a letter. `booked`: the next appointment.
    """

    course: Course
    notes: Mapping[UUID, SignedNote]
    sources: tuple[Source, ...]
    codes: tuple[DiagnosisCode, ...]
    cover: Cover | None
    discharge: EpisodeEvent | None
    unsigned: tuple[Visit, ...]
    booked: Appointment | None

    @property
    def episode(self) -> Episode:
        return self.course.episode

    @property
    def patient(self) -> Patient:
        return self.episode.patient

    @property
    def practice(self) -> Practice:
        return self.patient.practice

    @property
    def visits(self) -> tuple[Visit, ...]:
        return self.course.visits

    @property
    def in_order(self) -> tuple[SignedNote, ...]:
        """The notes of the visits, the oldest first."""
        return tuple(self.notes[visit.pk] for visit in self.visits if visit.pk in self.notes)

    def day(self, at: datetime) -> str:
        """By the clock of the practice."""
        return day(at.astimezone(self.course.zone))

    def last_with(self, member: str) -> tuple[str, Any] | None:
        """(day of the visit, value) of the last signed note in which a member is not empty."""
        for note in reversed(self.in_order):
            if found := note.content.get(member):
                return str(note.content["visit"]["day"]), found
        return None


def gather(user: User, episode: Episode) -> Gathered:
    """Reads some twenty queries, however many visits. `episode` came through the patients' door."""
    course = course_of(user, episode, signed_only=True)
    ids = [visit.pk for visit in course.visits]
    notes = SignedNote.objects.filter(visit__in=ids).prefetch_related("addenda")
    return Gathered(
        course=course,
        notes={note.visit_id: note for note in notes},
        sources=_sources(course),
        codes=_codes(course),
        cover=cover_of(episode, until=course.visits[-1]) if course.visits else cover_of(episode),
        discharge=last_discharge(episode),
        unsigned=tuple(Visit.objects.filter(episode=episode, signed_at=None).order_by("started_at")),
        booked=next(iter(coming(user, episode.patient, timezone.now())), None),
    )


def _sources(course: Course) -> tuple[Source, ...]:
    """In the order of the areas; each once. One query a visit that names none, from the last."""
    for visit in reversed(course.visits):
        found = [source for row in rows_of(visit) if not row.left_out for source in written_in(row).sources]
        if found:
            return tuple(dict.fromkeys(found))
    return ()


def _codes(course: Course) -> tuple[DiagnosisCode, ...]:
    rows = DiagnosisCode.objects.filter(visit__in=[visit.pk for visit in course.visits])
    held = tuple(rows.order_by("-visit__started_at", "position"))
    return tuple(row for row in held if row.visit_id == held[0].visit_id)

"""Every read about adverse events. A patient given here came through the patients' door."""

import uuid
from dataclasses import dataclass
from typing import Any

from django.http import Http404

from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit
from charting.patterns.queries import atlas_for
from charting.treatment import told
from charting.treatment.models import AdverseEvent, AdverseFollowUp, TreatmentEntry

# So many entries are offered as what it followed, the newest first.
MOST_CHOICES = 40


@dataclass(frozen=True)
class Choice:
    """An entry that an event is thought to follow, in words with its day."""

    row: TreatmentEntry
    words: str

    @property
    def key(self) -> str:
        return str(self.row.pk)

    @property
    def about(self) -> dict[str, Any]:
        """What the event keeps of it."""
        names = ("technique", "muscle", "side")
        return {
            "visit": self.row.visit,
            "treated": self.words[:300],
            **{n: getattr(self.row, n) for n in names},
        }

    def is_of(self, event: AdverseEvent) -> bool:
        return event.visit_id == self.row.visit_id and event.treated == self.words[:300]


@dataclass(frozen=True)
class Listed:
    """One event with how it went on; `corrected`: a later row stands in its place."""

    event: AdverseEvent
    follow_ups: tuple[AdverseFollowUp, ...]
    corrected: bool

    @property
    def is_open(self) -> bool:
        """Somebody is still to look at it."""
        if self.corrected:
            return False
        return not self.follow_ups[-1].settles if self.follow_ups else self.event.follow_up_on is not None


def events_of(patient: Patient) -> tuple[Listed, ...]:
    """Every row, newest first, those that were corrected too. Two queries."""
    known = AdverseEvent.objects.filter(of_person_or_visit(patient))
    rows = known.select_related("recorded_by", "visit")
    rows = rows.prefetch_related("follow_ups__done_by")
    found = tuple(rows)
    replaced = {row.corrects_id for row in found}
    return tuple(Listed(row, tuple(row.follow_ups.all()), row.pk in replaced) for row in found)


def event_of(patient: Patient, event_id: uuid.UUID) -> Listed:
    """One that stands. Raises Http404."""
    found = next((one for one in events_of(patient) if one.event.pk == event_id), None)
    if found is None:
        raise Http404("no such event")
    found.event.patient = patient
    return found


def choices_of(patient: Patient) -> tuple[Choice, ...]:
    """What was done last, newest first. Two queries."""
    rows = TreatmentEntry.objects.filter(visit__patient=patient).select_related("visit")
    known, zone = atlas_for(patient.practice), patient.practice.zone
    return tuple(
        Choice(row, f"{row.visit.started_at.astimezone(zone):%-d %b %Y}: {_words(row, known)}")
        for row in rows.order_by("-visit__started_at", "position")[:MOST_CHOICES]
    )


def _words(row: TreatmentEntry, known: Any) -> str:
    said = told.told(row, known)
    return f"{said.where}: {said.technique.lower()}"

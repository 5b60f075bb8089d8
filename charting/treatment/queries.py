"""Every read of what was done. A visit or patient given here came through the patients' door."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Exists, OuterRef

from charting.patients.models import Patient
from charting.treatment.models import AdverseEvent, TreatmentEntry
from charting.visits.models import Visit


def entries_of(visit: Visit) -> tuple[TreatmentEntry, ...]:
    return tuple(TreatmentEntry.objects.filter(visit=visit).select_related("entered_by"))


def entries_among(visits: Iterable[Visit]) -> Mapping[UUID, tuple[TreatmentEntry, ...]]:
    """By the id of the visit, those without any left out. One query."""
    found: dict[UUID, tuple[TreatmentEntry, ...]] = {}
    for row in TreatmentEntry.objects.filter(visit__in=[visit.pk for visit in visits]):
        found[row.visit_id] = (*found.get(row.visit_id, ()), row)
    return found


def reactions_of(patient: Patient) -> tuple[AdverseEvent, ...]:
    """The adverse events that stand, newest first: one that a later line corrects is left out."""
    return tuple(AdverseEvent.objects.filter(patient=patient, corrected_by=None))


def has_treatment() -> Exists:
    """For a query of visits."""
    return Exists(TreatmentEntry.objects.filter(visit=OuterRef("pk")))

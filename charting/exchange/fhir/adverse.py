"""AdverseEvent: what treatment did that nobody wanted. A line that a later one corrects is left out."""

from charting.exchange.fhir import practitioner
from charting.exchange.fhir.parts import Resource, coding, concept, moment, reference, resource
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit
from charting.treatment import adverse
from charting.treatment.models import AdverseEvent


def rows_of(person: Patient) -> tuple[AdverseEvent, ...]:
    known = AdverseEvent.objects.filter(of_person_or_visit(person), corrected_by=None)
    return tuple(known.select_related("recorded_by", "patient__practice").order_by("happened_at"))


def resource_of(row: AdverseEvent, patient: Patient) -> Resource:
    """Its severity has three steps of our own, which are not those of FHIR: they stand as seriousness."""
    zone, label = patient.practice.time_zone, adverse.label_of(row.what)
    return resource(
        "AdverseEvent",
        row.pk,
        actuality="actual",
        event=concept(f"{label}: {row.words}", coding("adverse_event", row.what, label)),
        subject=reference("Patient", patient.pk),
        encounter=reference("Encounter", row.visit_id) if row.visit_id else None,
        date=moment(row.happened_at, zone),
        recordedDate=moment(row.recorded_at, zone),
        seriousness=concept(row.get_severity_display(), coding("adverse_event", row.severity)),
        recorder=practitioner.named(row.recorded_by),
    )

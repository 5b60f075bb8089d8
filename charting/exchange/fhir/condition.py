"""Condition: the diagnosis codes of a visit. How sure they are is not on record, so it is not said."""

from typing import Any

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import (
    Resource,
    coding,
    concept,
    known,
    moment,
    notes,
    reference,
    resource,
)
from charting.exchange.fhir.reading import KeptVisit
from charting.report.coded import coded

# The word of HL7 FHIR R4 (value set condition-category, from memory) for a code given in one visit. It stands
# in no data file, for nobody is ever shown it.
OF_THE_VISIT = coding("condition_category", "encounter-diagnosis", "Encounter Diagnosis")


def resources_of(one: KeptVisit) -> list[Resource]:
    return [_condition(one, code) for code in _codes(one)]


def _codes(one: KeptVisit) -> list[dict[str, Any]]:
    """Notes before visit-note-6 keep none; their rows cannot change once the visit is signed."""
    kept: list[dict[str, Any]] | None = one.content.get("codes")
    return coded(one.visit) if kept is None else kept


def _condition(one: KeptVisit, code: dict[str, Any]) -> Resource:
    title = code.get("title", "")
    return resource(
        "Condition",
        ids.beneath(one.id, f"code:{code['code']}"),
        clinicalStatus=known("active"),
        category=[concept("", OF_THE_VISIT)],
        code=concept(title, coding("icd_10_cm", code["code"], title, code.get("release", ""))),
        subject=reference("Patient", one.visit.patient_id),
        encounter=encounter.named(one),
        recordedDate=moment(one.visit.started_at, one.zone),
        recorder=practitioner.named(one.visit.clinician),
        note=notes(code.get("reason", "")),
    )

"""What every Observation shares: who, when, how final; and why a value is missing, where it is."""

from typing import Any

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, concept, known, moment, reference, resource
from charting.exchange.fhir.reading import KeptVisit

NOT_TESTED = "NT"


def observation(
    one: KeptVisit, name: str, *, category: str, code: dict, by_patient: bool = False, **members: Any
) -> Resource:
    """`name`: which of the visit it is, never renamed. `members` hold the value, or why there is none."""
    patient = reference("Patient", one.visit.patient_id)
    return resource(
        "Observation",
        ids.beneath(one.id, f"observation:{name}"),
        status=one.status,
        category=[known(category)],
        code=code,
        subject=patient,
        encounter=encounter.named(one),
        effectiveDateTime=moment(one.visit.started_at, one.zone),
        issued=moment(one.note.signed_at, one.zone) if one.note else None,
        performer=[patient if by_patient else practitioner.named(one.visit.clinician)],
        **members,
    )


def absent(name: str, words: str = "") -> dict[str, Any]:
    """Why there is no value. What nobody asked or tested is sent as that, never as normal."""
    return {"dataAbsentReason": known(name, words)}


def answered(answer: str, words: str, *codings: dict) -> dict[str, Any]:
    """One answer in words; "NT" is not tested."""
    if answer == NOT_TESTED:
        return absent("not_performed", words)
    return {"valueCodeableConcept": concept(words or answer, *codings)}

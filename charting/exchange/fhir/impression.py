"""ClinicalImpression: what the clinician concluded about each symptom area, as sure as it was put."""

from typing import Any

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, coding, concept, moment, notes, reference, resource
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> list[Resource]:
    rows = one.content.get("conclusions") or []
    return [_impression(one, place, row) for place, row in enumerate(rows)]


def _impression(one: KeptVisit, place: int, row: dict[str, Any]) -> Resource:
    said = [f"{group['heading']}: {' '.join(group['sentences'])}" for group in row.get("groups") or []]
    gone = "The area is not in the drawing any more." if row.get("is_gone") else ""
    return resource(
        "ClinicalImpression",
        ids.beneath(one.id, f"conclusion:{place}"),
        status="completed" if one.note else "in-progress",
        description=row.get("where") or (f"Area {row['number']}" if row.get("number") else ""),
        subject=reference("Patient", one.visit.patient_id),
        encounter=encounter.named(one),
        effectiveDateTime=moment(one.visit.started_at, one.zone),
        assessor=practitioner.named(one.visit.clinician),
        summary="\n".join(said),
        finding=[{"itemCodeableConcept": _source(source)} for source in row.get("sources") or []],
        note=notes(gone),
    )


def _source(source: dict[str, Any]) -> dict[str, Any]:
    """ "Infraspinatus, right: likely": the certainty is part of the words and not to be lost."""
    named = ":".join(str(source[part]) for part in ("layer", "id", "side") if source.get(part))
    code = coding("candidate", named, source.get("name", "")) if source.get("id") else {}
    return concept(source.get("words") or source.get("name", ""), code)

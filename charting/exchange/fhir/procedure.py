"""Procedure: each technique as it was done."""

from typing import Any

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, coding, concept, moment, notes, reference, resource
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> list[Resource]:
    rows = (one.content.get("treatment") or {}).get("entries") or []
    return [_procedure(one, place, row) for place, row in enumerate(rows, 1)]


def _procedure(one: KeptVisit, place: int, row: dict[str, Any]) -> Resource:
    """What is recorded was done; that the note of an open visit may still change, its status says."""
    site = f" ({row['site']})" if row.get("site") else ""
    return resource(
        "Procedure",
        ids.beneath(one.id, f"procedure:{place}"),
        status="completed",
        code=concept(row["technique"], coding("technique", row["technique_id"], row["technique"])),
        subject=reference("Patient", one.visit.patient_id),
        encounter=encounter.named(one),
        performedDateTime=moment(one.visit.started_at, one.zone),
        performer=[{"actor": practitioner.named(one.visit.clinician)}],
        bodySite=[concept(f"{row['where']}{site}")] if row.get("where") else [],
        note=notes(row["sentence"], row.get("remark") or ""),
    )

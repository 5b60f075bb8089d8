"""Flag: signs of danger that were raised, with what was decided about each."""

from typing import Any

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, coding, concept, moment, period, reference, resource
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> list[Resource]:
    """Active: nobody said that the danger is over. What was decided stands in the words."""
    raised = (one.content.get("danger") or {}).get("flags") or []
    return [_flag(one, row) for row in raised]


def _flag(one: KeptVisit, row: dict[str, Any]) -> Resource:
    started = moment(one.visit.started_at, one.zone)
    return resource(
        "Flag",
        ids.beneath(one.id, f"flag:{row['id']}"),
        status="active",
        code=concept(in_words(row), coding("flag", row["id"], row["title"])),
        subject=reference("Patient", one.visit.patient_id),
        period=period(started),
        encounter=encounter.named(one),
        author=practitioner.named(one.visit.clinician),
    )


def in_words(row: dict[str, Any]) -> str:
    """ "Title. Level. Raised by: ... Decided: ..." """
    because = row.get("because") or "; ".join(row.get("reasons") or [])
    said = [f"{row['title']}. {row['level_words']}. Raised by: {because}"]
    said += [f"Decided: {one['outcome']}. {one['why']}" for one in row.get("decisions") or []]
    if row.get("is_open"):
        said.append("Not decided when this was written.")
    return " ".join(said)

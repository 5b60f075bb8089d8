"""QuestionnaireResponse: the questions about danger, in our own words. Without an answer: not asked."""

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, made, moment, reference, resource
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> list[Resource]:
    screen = one.content.get("danger") or {}
    rows = screen.get("answers") or []
    if not rows:
        return []
    return [
        resource(
            "QuestionnaireResponse",
            ids.beneath(one.id, "danger"),
            status="completed" if screen.get("is_complete") else "in-progress",
            subject=reference("Patient", one.visit.patient_id),
            encounter=encounter.named(one),
            authored=moment(one.visit.started_at, one.zone),
            author=practitioner.named(one.visit.clinician),
            item=[_item(number, row) for number, row in enumerate(rows, 1)],
        )
    ]


def _item(number: int, row: dict) -> dict:
    """`answer` is in words ("Yes", "No", "Not sure"); "" was not answered and has no answer here either."""
    remark = f" ({row['remark']})" if row.get("remark") else ""
    said = [{"valueString": f"{row['answer']}{remark}"}] if row.get("answer") else []
    return made(linkId=f"danger-{number}", text=row.get("question") or row.get("topic"), answer=said)

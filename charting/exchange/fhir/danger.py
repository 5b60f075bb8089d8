"""QuestionnaireResponse: the questions about danger, in our own words. Without an answer: not asked."""

from collections.abc import Iterator

from charting.exchange.fhir import encounter, ids, practitioner
from charting.exchange.fhir.parts import Resource, made, moment, reference, resource
from charting.exchange.fhir.reading import KeptVisit
from charting.history.models import DangerAnswer

ANSWERS = frozenset(str(label) for label in DangerAnswer.Answer.labels)


def resources_of(one: KeptVisit) -> list[Resource]:
    screen = one.content.get("danger") or {}
    if not screen.get("answers"):
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
            item=list(_items(screen)),
        )
    ]


def _items(screen: dict) -> Iterator[dict]:
    """The questions of the danger screen, then what drawing and answers called for."""
    for number, row in enumerate(screen["answers"], 1):
        yield _item(f"danger-{number}", row.get("question") or row.get("topic", ""), row)
    asked = [
        {"answer": group["answer"], **one} for group in screen.get("asked_on") or [] for one in group["asked"]
    ]
    for number, row in enumerate(asked, 1):
        yield _item(f"asked-{number}", row["label"], row)


def _item(id_: str, text: str, row: dict) -> dict:
    """An answer is yes, no or not sure, in words; a question without one has no answer here either."""
    remark = f" ({row['remark']})" if row.get("remark") else ""
    is_answered = row.get("answer") in ANSWERS
    said = [{"valueString": f"{row['answer']}{remark}"}] if is_answered else []
    return made(linkId=id_, text=text, answer=said)

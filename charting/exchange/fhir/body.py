"""BodyStructure: the drawing of a visit, and each symptom area of it.

The pictures are made from the frozen content, so that they show what was signed. Strokes are the raw record.
"""

import json
from typing import Any

from charting.drawing.queries import drawing_of
from charting.exchange.fhir import ids, picture
from charting.exchange.fhir.parts import Resource, attachment, concept, reference, resource
from charting.exchange.fhir.reading import KeptVisit

EXTENSION = "http://hl7.org/fhir/StructureDefinition/bodySite"


def resources_of(one: KeptVisit) -> list[Resource]:
    """Nothing for a visit in which nothing was drawn."""
    drawing = one.content.get("drawing") or {}
    if drawing.get("is_empty", True):
        return []
    return [_drawing(one, drawing), *(_area(one, area) for area in drawing.get("areas") or [])]


def site_of(one: KeptVisit, area: dict[str, Any]) -> dict[str, Any]:
    """Where an observation belongs: in words, and by the area."""
    link = {"url": EXTENSION, "valueReference": reference("BodyStructure", _id_of_area(one, area))}
    return {"extension": [link], "text": area["words"]}


def _id_of_area(one: KeptVisit, area: dict[str, Any]):
    return ids.beneath(one.id, f"area:{area['number']}")


def _drawing(one: KeptVisit, drawing: dict[str, Any]) -> Resource:
    words = [layer["title"] + ": " + " ".join(layer["sentences"]) for layer in drawing.get("layers") or []]
    words += drawing.get("sentences") or []
    pictures = [
        attachment("image/svg+xml", picture.svg_of(view).encode(), title=f"{view['title']} of the body")
        for view in drawing.get("views") or []
    ]
    return resource(
        "BodyStructure",
        ids.beneath(one.id, "drawing"),
        active=True,
        description="\n".join(["Drawing of where it is felt.", *words]),
        image=[*pictures, _strokes(one)],
        patient=reference("Patient", one.visit.patient_id),
    )


def _area(one: KeptVisit, area: dict[str, Any]) -> Resource:
    facts = area.get("facts") or []
    return resource(
        "BodyStructure",
        _id_of_area(one, area),
        active=True,
        morphology=concept("Symptom area, as drawn"),
        location=concept(area["words"]),
        description="; ".join(facts),
        patient=reference("Patient", one.visit.patient_id),
    )


def _strokes(one: KeptVisit) -> dict[str, Any]:
    """The strokes that count, in figure millimetres: append-only rows, the same as at signing."""
    figure = (one.content.get("versions") or {}).get("figure", "")
    strokes = [
        {
            "id": stroke.id,
            "seq": stroke.seq,
            "view": stroke.view,
            "kind": stroke.kind,
            "mode": stroke.mode,
            "nib_mm": stroke.nib_mm,
            "drawn_by": stroke.layer,
            "points": [list(point) for point in stroke.points],
        }
        for stroke in drawing_of(one.visit).strokes
    ]
    whole = {"format": "strokes-1", "figure": figure, "strokes": strokes}
    data = json.dumps(whole, separators=(",", ":")).encode()
    return attachment("application/json", data, title="Strokes of the drawing, figure millimetres")

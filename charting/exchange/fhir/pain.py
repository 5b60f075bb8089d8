"""Observation: how strong it is, by rating and by drawn area.

The LOINC term for pain from 0 to 10 says nothing of a span of time: it stands for pain at this moment alone.
"""

from collections.abc import Iterator
from typing import Any

from bodymaps import kinds
from charting.exchange.fhir import body, codes
from charting.exchange.fhir.observing import observation
from charting.exchange.fhir.parts import Resource, coding, concept
from charting.exchange.fhir.reading import KeptVisit

# The rating of the instrument "nprs" that is asked for this moment (outcomes.toml).
NOW = "Now"


def resources_of(one: KeptVisit) -> Iterator[Resource]:
    drawing = one.content.get("drawing", {})
    if drawing.get("no_pain"):
        yield _no_pain(one)
    areas = drawing.get("areas") or []
    by_area = {kind for area in areas for kind in ((area.get("answers") or {}).get("now") or {})}
    for said in drawing.get("key") or []:
        # Where areas were asked about, the key repeats the strongest of them.
        if said.get("intensity") is not None and said["kind"] not in by_area:
            yield _strength(one, f"whole:{said['kind']}", said["kind"], said["intensity"])
    for area in areas:
        yield from _of_area(one, area)


def rating(title: str) -> list[dict[str, Any]]:
    """The codes of one rating of the scale from 0 to 10."""
    return [codes.coding("pain")] if title == NOW else []


def _no_pain(one: KeptVisit) -> Resource:
    code = concept("No pain today, says the patient", coding("strength", "no_pain_today"))
    return observation(one, "no-pain", category="survey", code=code, by_patient=True, valueBoolean=True)


def _of_area(one: KeptVisit, area: dict[str, Any]) -> Iterator[Resource]:
    answers = area.get("answers") or {}
    site = body.site_of(one, area)
    for kind, value in (answers.get("now") or {}).items():
        yield _strength(one, f"area:{area['number']}:{kind}", kind, value, bodySite=site)
    for when, words in (("least", "at its least"), ("most", "at its most")):
        if answers.get(when) is not None:
            code = concept(f"How strong it is {words}, 0 to 10", coding("strength", when))
            name = f"area:{area['number']}:{when}"
            yield _from_0_to_10(one, name, code, answers[when], bodySite=site)


def _strength(one: KeptVisit, name: str, kind: str, value: int, **more: Any) -> Resource:
    """Of one kind of sensation. Tingling and numbness are no pain: they have our own code only."""
    is_pain = kind in codes.load().pain_kinds
    label = kinds.kind(kind).label.lower() if kind in kinds.IDS else kind
    own = coding("strength", f"now:{kind}", f"{label}, now")
    code = concept(
        f"How strong it is now, 0 to 10: {label}", *([codes.coding("pain")] if is_pain else []), own
    )
    return _from_0_to_10(one, name, code, value, **more)


def _from_0_to_10(one: KeptVisit, name: str, code: dict, value: int, **more: Any) -> Resource:
    return observation(
        one, f"strength:{name}", category="survey", code=code, by_patient=True, valueInteger=value, **more
    )

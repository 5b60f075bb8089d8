"""Observation: what stays with the person, and the size on the day. Not asked is sent as not asked."""

from collections.abc import Iterator

from charting.exchange.fhir.observing import absent, observation
from charting.exchange.fhir.parts import Resource, coding, concept, known, notes, quantity
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> Iterator[Resource]:
    yield from _standing(one)
    for name, unit in (("height", "cm"), ("weight", "kg")):
        value = (one.content.get("story") or {}).get(f"{name}_{unit}")
        if value:
            measured = quantity(float(value), unit)
            yield observation(one, name, category="vital_signs", code=known(name), valueQuantity=measured)


def _standing(one: KeptVisit) -> Iterator[Resource]:
    said = one.content.get("standing") or {}
    for row in said.get("known") or []:
        code = concept(row["words"].partition(":")[0], coding("standing", row["key"]))
        confirmed = notes(f"Confirmed {row['confirmed']}")
        yield _fact(one, row["key"], code, valueString=row["words"], note=confirmed)
    for group in said.get("none_known") or []:
        for word in group["words"]:
            none = concept("None known", coding("answer", "no"))
            confirmed = notes(f"Confirmed {group['confirmed']}")
            yield _fact(one, word, concept(word), valueCodeableConcept=none, note=confirmed)
    for word in said.get("not_asked") or []:
        yield _fact(one, word, concept(word), **absent("not_asked"))


def _fact(one: KeptVisit, name: str, code: dict, **members) -> Resource:
    return observation(one, f"standing:{name}", category="survey", code=code, **members)

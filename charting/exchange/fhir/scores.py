"""Observation: outcome scores. Totals have no LOINC code that we could confirm: our own, with their names."""

from collections.abc import Iterator
from typing import Any

from charting.exchange.fhir import pain
from charting.exchange.fhir.observing import absent, observation
from charting.exchange.fhir.parts import Resource, coding, concept, notes, quantity, score
from charting.exchange.fhir.reading import KeptVisit


def resources_of(one: KeptVisit) -> Iterator[Resource]:
    for row in one.content.get("scores") or []:
        if row["instrument"] == "nprs":
            yield from _ratings(one, row)
        else:
            yield _total(one, row)


def _ratings(one: KeptVisit, row: dict[str, Any]) -> Iterator[Resource]:
    """Each rating is a measure of its own, so each is an observation of its own."""
    for line in row.get("lines") or []:
        title = line["title"]
        own = coding("instrument", f"nprs:{title.lower().replace(' ', '_')}", f"{row['name']}: {title}")
        code = concept(f"{row['name']}: {title}", *pain.rating(title), own)
        yield _observation(one, row, f"{row['instrument']}:{title}", code, _value(line["value"], ""))


def _total(one: KeptVisit, row: dict[str, Any]) -> Resource:
    form = f" ({row['form_title']})" if row.get("form_title") else ""
    code = concept(f"{row['name']}{form}", coding("instrument", row["instrument"], row["name"]))
    parts = [{"code": concept(line["title"]), **_value(line["value"], "")} for line in row.get("lines") or []]
    value = _value(row["value"], row.get("score") or "", row.get("why_not") or "")
    return _observation(one, row, row["instrument"], code, value, component=parts)


def _observation(
    one: KeptVisit, row: dict[str, Any], name: str, code: dict, value: dict, **more: Any
) -> Resource:
    by_patient = "patient" in (row.get("said_by") or "")
    said = notes(row.get("score") or "", row.get("band") or "", row.get("detail") or "")
    return observation(
        one,
        f"score:{name}",
        category="survey",
        code=code,
        by_patient=by_patient,
        note=said,
        **value,
        **more,
    )


def _value(value: Any, shown: str, why_not: str = "") -> dict[str, Any]:
    """A number as it was made; a judgement in words; or why no score could be made."""
    if value is None:
        return absent("unknown", why_not or "No score could be made")
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"valueQuantity": quantity(value, "%") if shown.endswith("%") else score(value)}
    return {"valueString": str(value)}

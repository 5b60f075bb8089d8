"""Observation: what the hand and the hammer found. Not tested is sent as not performed, never as normal."""

from collections.abc import Iterator
from typing import Any

from charting.exchange.fhir.observing import absent, answered, observation
from charting.exchange.fhir.parts import Resource, coding, concept, made, notes, quantity
from charting.exchange.fhir.reading import KeptVisit

SIDES = ("right", "left", "middle")


def resources_of(one: KeptVisit) -> Iterator[Resource]:
    yield from _muscles(one)
    for part in ("screening", "joint_tests"):
        for table in (one.content.get(part) or {}).get("tables") or []:
            yield from (_test(one, table, row) for row in table["rows"])
    yield from (_range(one, row) for row in one.content.get("ranges") or [])


def _muscles(one: KeptVisit) -> Iterator[Resource]:
    for row in (one.content.get("muscles") or {}).get("rows") or []:
        at = f" ({row['at']})" if row.get("at") else ""
        name = ":".join((row["muscle"], row["side"], row.get("site") or ""))
        site = coding("muscle", row["muscle"], row["name"])
        yield observation(
            one,
            f"muscle:{name}",
            category="exam",
            code=concept("Muscle examined by hand", coding("finding", "muscle")),
            bodySite=concept(f"{row['name']}, {row['side']}{at}", site),
            valueCodeableConcept=concept(row["verdict"], coding("answer", row["result"]))
            if row.get("verdict")
            else None,
            note=notes(row.get("remark") or "", row.get("unusual") or ""),
            component=[*_signs(row), *_measured(row)],
        )


def _signs(row: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for sign, said in row["signs"].items():
        code = concept(said["label"], coding("sign", sign))
        answer = coding("answer", said["answer"], said["words"])
        yield {"code": code, **answered(said["answer"], said["words"], answer)}


def _measured(row: dict[str, Any]) -> Iterator[dict[str, Any]]:
    if row.get("pain") is not None:
        code = concept("Pain on pressing, 0 to 10", coding("sign", "pain_on_pressing"))
        yield {"code": code, "valueInteger": row["pain"]}
    if row.get("pressure"):
        code = concept("Pressure at which it begins to hurt", coding("sign", "pressure"))
        yield {"code": code, "valueQuantity": quantity(float(row["pressure"]["kpa"]), "kPa")}


def _test(one: KeptVisit, table: dict[str, Any], row: dict[str, Any]) -> Resource:
    found = [(side, row[side]) for side in SIDES if row[side]["grade"]]
    values = [{"side": side, "remark": said["remark"], **_found(row, said)} for side, said in found]
    middle = next((each for each in values if each["side"] == "middle"), None)
    sides = [each for each in values if each["side"] != "middle"]
    return observation(
        one,
        f"test:{row['key']}",
        category="exam",
        code=concept(f"{table['title']}: {row['label']}", coding("finding", row["key"], row["label"])),
        note=notes(*(f"{each['side']}: {each['remark']}" for each in values if each["remark"])),
        component=[
            {"code": concept(each["side"].capitalize(), coding("finding", each["side"])), **_only(each)}
            for each in sides
        ],
        **(_only(middle) if middle else {}),
    )


def _only(said: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in said.items() if name not in ("side", "remark")}


def _found(row: dict[str, Any], said: dict[str, Any]) -> dict[str, Any]:
    number = _number(said["grade"]) if row.get("unit") else None
    if number is not None:
        return {"valueQuantity": quantity(number, row["unit"])}
    answer = coding("answer", said["grade"], said["words"])
    return answered(said["grade"], said["words"] or said["grade"], answer)


def _number(text: str) -> float | int | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return int(value) if value.is_integer() else value


def _range(one: KeptVisit, row: dict[str, Any]) -> Resource:
    """In the words of the note, which name instrument and pain; a side that was not measured is left out."""
    label = f"{row['joint']}: {row['movement']}"
    sides = [(side, row[side]) for side in SIDES if row.get(side)]
    parts = [
        made(code=concept(side.capitalize(), coding("finding", side)), valueString=words)
        for side, words in sides
    ]
    return observation(
        one,
        f"range:{row['joint']}:{row['movement']}",
        category="exam",
        code=concept(f"Range of movement, {label}", coding("finding", "range")),
        component=parts,
        note=notes(*(row.get("sides") or []), *(row.get("since") or [])),
        **({} if parts else absent("not_performed")),
    )

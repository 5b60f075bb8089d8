"""One case: what is known of a person beside the drawing, each value checked against the catalogue of items.

What was not asked or not tested is absent, or "NT"; it is never taken for normal.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bodymaps.reasoning import felt_read, items, ranges
from bodymaps.reasoning.felt import Felt, FeltError
from bodymaps.reasoning.items import NOT_TESTED, YES_NO, Catalogue, Item

SIDES = ("right", "left")
# The codes for administrative gender of HL7 FHIR R4; "F" and "M" are taken as short forms.
SEXES = ("female", "male", "other", "unknown")
OLDEST = 130

Value = str | float | tuple[str, ...]


class CaseError(ValueError):
    """A value that cannot be used. The message is one line and names the member: "history.onset: ...".
    `key` is the key of the item, "" for age and sex.
    """

    def __init__(self, member: str, reason: str, key: str = "") -> None:
        super().__init__(f"{member}: {reason}")
        self.key, self.reason = key, reason


@dataclass(frozen=True)
class Case:
    """`age` in whole years, None when not known; `sex` one of SEXES. `history` by key; `findings` by key and
    side ("right", "left", or "" for what has no side), a grade, "NT" or a number. `felt`: the muscles that
    were examined, in the order of examining.
    """

    age: int | None = None
    sex: str = "unknown"
    history: Mapping[str, Value] = field(default_factory=dict)
    findings: Mapping[tuple[str, str], Value] = field(default_factory=dict)
    felt: tuple[Felt, ...] = ()

    def finding(self, key: str, side: str) -> Value | None:
        return self.findings.get((key, side))


def read(data: Mapping[str, Any]) -> Case:
    """A case from the members `age`, `sex`, `history` and `findings` of a decoded file; all may be missing.

    history: {key: value}. findings: {key: value} for what has no side, else {key: {"right": value, "left":
    value}}, one side or both; under "muscles" the list that felt_read takes. Raises CaseError for an unknown
    key, a wrong type, a value out of range.
    """
    told = _members(data, "history")
    found = dict(_members(data, "findings"))
    felt = _felt(found.pop("muscles", None))
    return Case(
        age=_age(data.get("age")),
        sex=_sex(data.get("sex")),
        history={key: value_of(items.history(), key, value, "history") for key, value in told.items()},
        findings=findings_of(found),
        felt=felt,
    )


def _felt(told: Any) -> tuple[Felt, ...]:
    try:
        return felt_read.muscles(told)
    except FeltError as error:
        raise CaseError(error.where, error.reason) from None


def findings_of(found: Mapping[str, Any]) -> dict[tuple[str, str], Value]:
    """The member `findings`, by key and side. Two scales of the same reflexes together are refused. A reading
    of range that is the measurement of another finding counts for that one too.
    """
    catalogue = items.findings()
    read_: dict[tuple[str, str], Value] = {}
    for key, value in found.items():
        item = _item(catalogue, key, "findings")
        if not item.sided:
            read_[key, ""] = value_of(catalogue, key, value, "findings")
            continue
        if not isinstance(value, dict) or not value or not set(value) <= set(SIDES):
            raise CaseError(f"findings.{key}", 'needs {"right": value, "left": value}, one side or both', key)
        for side, one in value.items():
            read_[key, side] = value_of(catalogue, key, one, "findings", side)
    prefixes = {key.partition(":")[0] for key, _ in read_}
    if {"reflex", "reflex_clinic"} <= prefixes:
        raise CaseError(
            "findings", "reflexes are graded on one scale: reflex (NINDS) or reflex_clinic, not both"
        )
    return ranges.with_same(read_)


def value_of(catalogue: Catalogue, key: str, value: Any, member: str, side: str = "") -> Value:
    """One value, checked. Raises CaseError naming member, key and side."""
    item = _item(catalogue, key, member)
    where = ".".join(part for part in (member, key, side) if part)
    if item.type == "number":
        return NOT_TESTED if value == NOT_TESTED and member == "findings" else _number(item, value, where)
    if item.type == "choices":
        if not isinstance(value, list | tuple):
            raise CaseError(where, "must be a list", key)
        chosen = [_one_of(item, one, where) for one in value]
        return tuple(one.id for one in item.choices if one.id in chosen)
    if item.type == "text":
        if not isinstance(value, str) or len(value) > item.longest:
            raise CaseError(where, f"must be a text of at most {item.longest} characters", key)
        return value.strip()
    if item.type == "yes_no" and isinstance(value, bool):
        return "yes" if value else "no"
    return _one_of(item, value, where)


def _one_of(item: Item, value: Any, where: str) -> str:
    allowed = YES_NO if item.type == "yes_no" else tuple(one.id for one in item.choices)
    if isinstance(value, str) and value in allowed:
        return value
    raise CaseError(where, f"{value!r} is not one of {', '.join(allowed)}", item.key)


def _number(item: Item, value: Any, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise CaseError(where, f"must be a number in {item.unit}", item.key)
    if item.least is not None and item.most is not None and not item.least <= value <= item.most:
        raise CaseError(where, f"{value:g} {item.unit} is outside {item.least:g} to {item.most:g}", item.key)
    return value


def _item(catalogue: Catalogue, key: str, member: str) -> Item:
    if key not in catalogue.items:
        raise CaseError(f"{member}.{key}", "unknown key", key)
    return catalogue.items[key]


def _members(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    value = data.get(name)
    if value is None:
        return {}
    if not isinstance(value, dict):
        raise CaseError(name, "must be an object of keys and values")
    return value


def _age(value: Any) -> int | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= OLDEST:
        raise CaseError("age", f"must be whole years, 0 to {OLDEST}")
    return value


def _sex(value: Any) -> str:
    if value is None:
        return "unknown"
    short = {"F": "female", "M": "male"}
    if not isinstance(value, str) or short.get(value, value) not in SEXES:
        raise CaseError("sex", f"must be one of {', '.join(SEXES)}")
    return short.get(value, value)

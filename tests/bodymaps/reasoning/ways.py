"""Every least way to make a condition hold, as sets of single facts; and facts made of such a set."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations, product
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Condition, Facts
from bodymaps.reasoning.drawn import Drawn

# ("history", key, value), ("finding", key, side, value), ("drawn", region, side, kind), ("age", years),
# ("sex", which), ("widespread",)
Fact = tuple[Any, ...]
Way = frozenset[Fact]


def of(condition: Condition, side: str = "right") -> list[Way]:
    """Alternatives of `any` and `of` each give a way of their own; `none` needs nothing."""
    return list(dict.fromkeys(_ways(condition, side)))


def _ways(condition: Condition, side: str) -> Iterator[Way]:
    told, parts = condition.told, condition.parts
    if not parts:
        yield from (frozenset([fact]) for fact in _leaf(told, side))
    elif "none" in told:
        yield frozenset()
    elif "any" in told:
        for part in parts:
            yield from _ways(part, side)
    elif "of" in told:
        for some in combinations(parts, told["at_least_of"]):
            yield from _together([list(_ways(part, side)) for part in some])
    elif "each_side" in told:
        yield from _together([list(_ways(part, on)) for part in parts for on in SIDES])
    else:
        yield from _together([list(_ways(part, side)) for part in parts])


def _together(several: list[list[Way]]) -> Iterator[Way]:
    yield from (frozenset().union(*one) for one in product(*several))


def _leaf(told: Mapping[str, Any], side: str) -> Iterator[Fact]:
    """One fact for every answer that is allowed; of a region leaf the first and the last region only."""
    if "item" in told:
        item = items.history().items[told["item"]]
        values = told.get("is") or [_number(told, item.least, item.most)]
        yield from (("history", item.key, value) for value in values)
    elif "finding" in told:
        yield from (("finding", told["finding"], _side(told, side), value) for value in _found(told))
    elif "drawn" in told:
        kind = told.get("kinds", ["ache"])[0]
        ends = dict.fromkeys((told["drawn"][0], told["drawn"][-1]))
        yield from (("drawn", region, side, kind) for region in ends)
    elif "age" in told:
        yield ("age", int(_number(told, 0, 130)))
    elif "sex" in told:
        yield from (("sex", one) for one in told["sex"])
    else:
        yield ("widespread",)


def _found(told: Mapping[str, Any]) -> list[Any]:
    item = items.findings().items[told["finding"]]
    if item.type == "number":
        return [_number(told, item.least, item.most)]
    if "is" in told:
        return list(told["is"])
    within = items.findings().scale_of(item).within_normal
    grades = [one.id for one in item.choices if one.id != items.NOT_TESTED]
    return [one for one in grades if (one in within) == bool(told.get("normal"))][:1]


def _side(told: Mapping[str, Any], side: str) -> str:
    return side if items.findings().items[told["finding"]].sided else ""


def _number(told: Mapping[str, Any], least: float | None, most: float | None) -> float:
    """The number nearest to the limit that still holds."""
    if "at_least" in told:
        return told["at_least"]
    if "at_most" in told:
        return told["at_most"]
    return told["above"] + 1 if "above" in told else told["below"] - 1


def facts(way: Iterable[Fact]) -> Facts:
    history: dict[str, Any] = {}
    findings: dict[tuple[str, str], Any] = {}
    age, sex, drawn, widespread = None, "unknown", set(), False
    for kind, *rest in way:
        if kind == "history" and items.history().items[rest[0]].type == "choices":
            history[rest[0]] = (*history.get(rest[0], ()), rest[1])
        elif kind == "history":
            history[rest[0]] = rest[1]
        elif kind == "finding":
            findings[rest[0], rest[1]] = rest[2]
        elif kind == "drawn":
            drawn.add(tuple(rest))
        elif kind == "age":
            age = rest[0]
        elif kind == "sex":
            sex = rest[0]
        else:
            widespread = True
    return Facts(Case(age, sex, history, findings), Drawn(frozenset(drawn), widespread))

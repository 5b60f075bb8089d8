"""The least case that makes a condition hold, built leaf by leaf; and a case with one field taken out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Condition, Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.items import Item


class NowhereFelt(Exception):
    """A candidate is not felt where a condition wants something drawn."""


@dataclass
class Least:
    """Collects what has to be known. `places`: where something may be drawn, anywhere when None; `pick`:
    which of the possible places, from the first.
    """

    side: str = "right"
    places: Iterable[tuple[str, str]] | None = None
    pick: int = 0
    age: int | None = None
    sex: str = "unknown"
    widespread: bool = False
    history: dict[str, Any] = field(default_factory=dict)
    findings: dict[tuple[str, str], Any] = field(default_factory=dict)
    drawn: set[tuple[str, str, str]] = field(default_factory=set)

    def meet(self, condition: Condition, key: str = "", side: str = "") -> Least:
        """Make it hold, by way of `key` where there is a choice."""
        told, on = condition.told, side or self.side
        if not condition.parts:
            self._leaf(told, on)
        for part in self._needed(condition, key):
            for one in SIDES if "each_side" in told else (on,):
                self.meet(part, key, one)
        if "any" in told and forced(condition, key):
            for part in condition.parts:
                self._shut(part, key, on)
        return self

    def _shut(self, condition: Condition, key: str, side: str) -> None:
        """What a `none` leaves open is answered, so that no other way than that of `key` stays."""
        if "none" in condition.told and key not in asked_by(condition):
            self.meet(condition.parts[0], "", side)
        elif "all" in condition.told and not forced(condition, key):
            for part in condition.parts:
                self._shut(part, key, side)

    def _needed(self, condition: Condition, key: str) -> tuple[Condition, ...]:
        """The parts that have to hold."""
        if "none" in condition.told:
            return ()
        if "any" in condition.told or "of" in condition.told:
            asked = sorted(
                condition.parts, key=lambda part: (not forced(part, key), key not in asked_by(part))
            )
            return tuple(asked[: condition.told.get("at_least_of", 1)])
        return condition.parts

    def facts(self) -> Facts:
        case = Case(self.age, self.sex, self.history, self.findings)
        return Facts(case, Drawn(frozenset(self.drawn), self.widespread))

    def _leaf(self, told: Mapping[str, Any], side: str) -> None:
        if "item" in told:
            item = items.history().items[told["item"]]
            value = _value(item, told)
            several = self.history.get(item.key, ())
            self.history[item.key] = (*several, value) if item.type == "choices" else value
        elif "finding" in told:
            item = items.findings().items[told["finding"]]
            self.findings[item.key, _on(item, told, side)] = _value(item, told)
        elif "drawn" in told:
            self._draw(told, side)
        elif "age" in told:
            self.age = int(_number(told, 0, 130))
        elif "sex" in told:
            self.sex = told["sex"][0]
        else:
            self.widespread = True

    def _draw(self, told: Mapping[str, Any], side: str) -> None:
        kind = (told.get("kinds") or ["ache"])[0]
        relative = told.get("side", "any")
        wanted = _other(side) if relative == "other" else side
        possible = self.places or [(region, wanted) for region in told["drawn"]]
        here = [
            (region, on)
            for region, on in possible
            if region in told["drawn"] and (relative == "any" or on in (wanted, "midline"))
        ]
        if not here:
            raise NowhereFelt
        region, on = here[self.pick % len(here)]
        self.drawn.add((region, on, kind))


def asked_by(condition: Condition) -> frozenset[str]:
    """Its keys."""
    return condition.keys()


def forced(condition: Condition, key: str) -> bool:
    """Whether the key is asked for otherwise than by `none`."""
    if "none" in condition.told:
        return False
    if condition.parts:
        return any(forced(part, key) for part in condition.parts)
    return key in asked_by(condition)


def without(facts: Facts, key: str) -> Facts:
    """The same facts, one field never filled in."""
    case = facts.case
    history = {name: value for name, value in case.history.items() if name != key}
    findings = {name: value for name, value in case.findings.items() if name[0] != key}
    return Facts(replace(case, history=history, findings=findings), facts.drawn)


def _other(side: str) -> str:
    return next(one for one in SIDES if one != side)


def _on(item: Item, told: Mapping[str, Any], side: str) -> str:
    if not item.sided:
        return ""
    return _other(side) if told.get("side") == "other" else side


def _value(item: Item, told: Mapping[str, Any]) -> Any:
    if item.type == "number":
        return _number(told, item.least or 0, item.most or 0)
    if "is" in told:
        return told["is"][0]
    scale = items.findings().scale_of(item)
    if told.get("normal"):
        return scale.within_normal[0]
    return next(one.id for one in scale.grades if one.id not in (*scale.within_normal, items.NOT_TESTED))


def _number(told: Mapping[str, Any], least: float, most: float) -> float:
    low = told.get("at_least", told.get("above", least))
    high = told.get("at_most", told.get("below", most))
    return (low + high) / 2 if "above" in told or "below" in told else min(max(low, least), high)

"""The small language the rules are written in: tables of TOML, read once and checked against the catalogue.

    { item = "onset", is = ["sudden"] }            an answer is one of these; of several chosen: any of them
    { item = "morning_stiffness", at_least = 45 }  a number: at_least, at_most, above, below
    { finding = "neck:spurling", is = ["positive"], side = "same" }
    { finding = "neck:rotation", below = 60, side = "same" }
    { finding = "touch:C6", abnormal = true }      tested, and outside the normal grades of its scale
    { finding = "reflex:triceps", normal = true }  tested, and within them
    { drawn = ["front:pectoral_upper"], kinds = ["ache"] }   drawn on one of these regions
    { drawn = ["neck"] }             on a list of places.toml; "anywhere" is every region
    { age = true, at_least = 65 }    { sex = ["female"] }
    { widespread = true }            the drawing is widespread (see bodymaps.reach)
    { all = [...] }  { any = [...] }  { none = [...] }  { at_least_of = 2, of = [...] }
    { each_side = [...] }            all of these for the right, and all of them for the left ("same")

Written short, and read as the above: a list of keys under `item` or `finding` (any of them);
`{ yes = ["fever", "chills"] }` (any of them answered yes or not sure); `{ answered = [...] }` (all of them
answered, whatever the answer). `called` of regions or of several findings: what the list of rules calls them.

`side` of a finding or a region: "same" or "other" as the side a rule is asked for, "any" when left out. What
was not asked, or not tested (NT), makes no leaf true: "is" needs the answer, "normal" needs the test. Only
`none` is true of the unknown; a rule that needs a "no" asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from bodymaps import words
from bodymaps.reasoning import condition_table, items
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.condition_table import NESTS, ConditionError
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.items import NOT_TESTED, Item

__all__ = ["Condition", "ConditionError", "Facts", "read"]


@dataclass(frozen=True)
class Facts:
    """A case and its drawing: everything a condition can be asked of."""

    case: Case
    drawn: Drawn


@dataclass(frozen=True)
class Condition:
    """A checked condition. `told` is the table it was read from."""

    told: Mapping[str, Any]
    parts: tuple[Condition, ...] = ()

    def holds(self, facts: Facts, side: str = "") -> bool:
        """Whether it is true of the facts, for a rule asked for `side` ("right", "left" or "" for none)."""
        return _holds(self, facts, side)

    def because(self, facts: Facts, side: str = "") -> tuple[str, ...]:
        """What makes it true, in words: every leaf that holds, none of what is only absent. Each once."""
        return tuple(dict.fromkeys(_because(self, facts, side)))

    def leaves(self) -> Iterator[Mapping[str, Any]]:
        """Every question it asks, those under `none` too."""
        if not self.parts:
            yield self.told
        for part in self.parts:
            yield from part.leaves()

    def keys(self) -> frozenset[str]:
        """The keys of items and findings it asks for."""
        asked = (leaf.get("item") or leaf.get("finding") for leaf in self.leaves())
        return frozenset(key for key in asked if key)


def read(told: Any) -> Condition:
    """A checked condition. Raises ConditionError."""
    if not isinstance(told, Mapping) or not told:
        raise ConditionError(f"a condition must be a table, not {told!r}")
    told = condition_table.spelled_out(told)
    nest = next((name for name in NESTS if name in told), "")
    if not nest:
        condition_table.check_leaf(told)
        return Condition(told)
    condition_table.only(told, {nest, "at_least_of"} if nest == "of" else {nest})
    parts = told[nest]
    if not isinstance(parts, list) or not parts:
        raise ConditionError(f"{nest} must be a list of conditions")
    if nest == "of" and not condition_table.is_count(told.get("at_least_of"), len(parts)):
        raise ConditionError(f"of needs at_least_of, a whole number from 1 to {len(parts)}")
    return Condition(told, tuple(read(part) for part in parts))


def _holds(condition: Condition, facts: Facts, side: str) -> bool:
    told, parts = condition.told, condition.parts
    if "all" in told:
        return all(part.holds(facts, side) for part in parts)
    if "any" in told:
        return any(part.holds(facts, side) for part in parts)
    if "none" in told:
        return not any(part.holds(facts, side) for part in parts)
    if "of" in told:
        return sum(part.holds(facts, side) for part in parts) >= int(told["at_least_of"])
    if "each_side" in told:
        return all(part.holds(facts, on) for part in parts for on in SIDES)
    return bool(_leaf(told, facts, side))


def _because(condition: Condition, facts: Facts, side: str) -> Iterator[str]:
    if "none" in condition.told:
        return
    if "each_side" in condition.told:
        yield from (why for on in SIDES for part in condition.parts for why in part.because(facts, on))
        return
    for part in condition.parts:
        if part.holds(facts, side):
            yield from part.because(facts, side)
    if not condition.parts:
        yield from _leaf(condition.told, facts, side)


def _leaf(told: Mapping[str, Any], facts: Facts, side: str) -> tuple[str, ...]:
    """Why the leaf holds, in words; () when it does not."""
    if "item" in told:
        return _item_words(told, facts)
    if "finding" in told:
        return _finding_words(told, facts, side)
    if "drawn" in told:
        return _drawn_words(told, facts.drawn, _drawn_side(told, side))
    if "widespread" in told:
        return ("drawn: widespread",) if facts.drawn.widespread else ()
    if "age" in told:
        age = facts.case.age
        return (f"age {age}",) if age is not None and _within(told, age) else ()
    return (facts.case.sex,) if facts.case.sex in told["sex"] else ()


def _item_words(told: Mapping[str, Any], facts: Facts) -> tuple[str, ...]:
    item, value = items.history().items[told["item"]], facts.case.history.get(told["item"])
    if value is None:
        return ()
    if "is" not in told:
        return (
            (f"{item.label}: {item.words_for(value)}",)
            if isinstance(value, int | float) and _within(told, value)
            else ()
        )
    chosen = value if isinstance(value, tuple) else (value,)
    hit = [one for one in chosen if one in told["is"]]
    return (f"{item.label}: {item.words_for(hit)}",) if hit else ()


def _finding_words(told: Mapping[str, Any], facts: Facts, side: str) -> tuple[str, ...]:
    item = items.findings().items[told["finding"]]
    found = []
    for on in _sides(item, told, side):
        value = facts.case.finding(item.key, on)
        if value is not None and value != NOT_TESTED and _meets(told, item, value):
            found.append(f"{item.label}{f', {on}' if on else ''}: {item.words_for(value)}")
    return tuple(found)


def _sides(item: Item, told: Mapping[str, Any], side: str) -> tuple[str, ...]:
    if not item.sided:
        return ("",)
    relative = told.get("side", "any")
    if relative == "any" or side not in SIDES:
        return SIDES
    return (side,) if relative == "same" else tuple(one for one in SIDES if one != side)


def _drawn_words(told: Mapping[str, Any], drawn: Drawn, side: str) -> tuple[str, ...]:
    """Where it is drawn, up to three places, and as which of the kinds that are asked for."""
    asked = told.get("kinds", ())
    here = drawn.touched(told["drawn"], side=side, kinds=asked)
    if not here:
        return ()
    seen = {kind for region, on, kind in drawn.places if (region, on) in here}
    of_kind = f" ({', '.join(kind for kind in asked if kind in seen)})" if asked else ""
    named = list(dict.fromkeys(words.region_on(region, on) for region, on in here))
    return (f"drawn{of_kind}: {words.listed(named[:3])}",)


def _drawn_side(told: Mapping[str, Any], side: str) -> str:
    relative = told.get("side", "any")
    if relative == "any" or side not in SIDES:
        return ""
    return side if relative == "same" else next(one for one in SIDES if one != side)


def _meets(told: Mapping[str, Any], item: Item, value: Any) -> bool:
    if item.type == "number":
        return _within(told, value)
    if "is" in told:
        return value in told["is"]
    within = value in items.findings().scale_of(item).within_normal
    return within if told.get("normal") else not within


def _within(told: Mapping[str, Any], value: float) -> bool:
    return (
        ("at_least" not in told or value >= told["at_least"])
        and ("at_most" not in told or value <= told["at_most"])
        and ("above" not in told or value > told["above"])
        and ("below" not in told or value < told["below"])
    )

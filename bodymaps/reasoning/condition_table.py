"""The tables conditions are written in: what may stand in one, checked against the catalogue, and what is
written short, spelled out. The language is described in bodymaps.reasoning.conditions.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bodymaps import regions
from bodymaps.kinds import IDS as KINDS
from bodymaps.reasoning import items, places
from bodymaps.reasoning.case import SEXES
from bodymaps.reasoning.items import NOT_TESTED, Item

BOUNDS = ("at_least", "at_most", "above", "below")
NESTS = ("all", "any", "none", "of", "each_side")
RELATIVE = ("any", "same", "other")
# What a leaf asks for, and what else may stand in it.
ASKED: Mapping[str, tuple[str, ...]] = {
    "item": ("is", *BOUNDS),
    "finding": ("is", "normal", "abnormal", "side", "called", *BOUNDS),
    "drawn": ("kinds", "side", "called"),
    "widespread": (),
    "age": BOUNDS,
    "sex": (),
}


class ConditionError(ValueError):
    """A condition that cannot be read; the message says which part and why."""


def is_count(value: Any, most: int) -> bool:
    """True for a whole number from 1 to `most`."""
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most


def spelled_out(told: Mapping[str, Any]) -> Mapping[str, Any]:
    """What is written short, as the nest it stands for."""
    for short, nest, answers in (("yes", "any", ["yes", "unsure"]), ("answered", "all", None)):
        if short in told:
            only(told, {short})
            return {nest: [_answer(key, answers) for key in keys(told[short], short)]}
    for asked in ("item", "finding"):
        if isinstance(told.get(asked), list):
            rest = {name: value for name, value in told.items() if name != asked}
            return {"any": [{asked: key, **rest} for key in keys(told[asked], asked)]}
    return _placed(told) if isinstance(told.get("drawn"), list) else told


def _placed(told: Mapping[str, Any]) -> dict[str, Any]:
    """The regions that named lists stand for, called as the lists are."""
    names = keys(told["drawn"], "drawn")
    by_name = {"called": places.called(names)} if places.called(names) else {}
    return {**by_name, **told, "drawn": places.spelled_out(names)}


def _answer(key: str, answers: list[str] | None) -> dict[str, Any]:
    item = known(items.history(), key)
    if item.type not in ("choice", "choices", "yes_no"):
        raise ConditionError(f"{key}: yes and answered are for questions with given answers")
    return {"item": key, "is": answers or [one.id for one in item.choices]}


def keys(value: Any, name: str) -> list[str]:
    """A list of words, at least one; else ConditionError."""
    if not isinstance(value, list) or not value or not all(isinstance(key, str) for key in value):
        raise ConditionError(f"{name} must be a list of keys")
    return value


def check_leaf(told: Mapping[str, Any]) -> None:
    """Raises ConditionError for a leaf that is not one of ASKED, or asks what cannot be."""
    asked = next((name for name in ASKED if name in told), "")
    if not asked:
        raise ConditionError(f"a condition must ask for one of {', '.join(ASKED)}: {dict(told)}")
    only(told, {asked, *ASKED[asked]})
    if asked == "item":
        _check_value(told, known(items.history(), told["item"]))
    elif asked == "finding":
        _check_value(told, known(items.findings(), told["finding"]))
    elif asked in ("age", "widespread"):
        if told[asked] is not True:
            raise ConditionError(f"{asked}: write {asked} = true")
        if asked == "age":
            _check_bounds(told, "age")
    else:
        _check_listed(told, asked)
    if told.get("side", "any") not in RELATIVE:
        raise ConditionError(f"side must be one of {', '.join(RELATIVE)}")


def _check_listed(told: Mapping[str, Any], asked: str) -> None:
    """Regions and kinds, or sexes."""
    all_ids = set(SEXES) if asked == "sex" else {one.id for one in regions.names()}
    for name, allowed in ((asked, all_ids), ("kinds", set(KINDS))):
        if name in told and (wrong := set(keys(told[name], name)) - allowed):
            raise ConditionError(f"{name}: no such region, kind or sex: {', '.join(sorted(wrong))}")


def _check_value(told: Mapping[str, Any], item: Item) -> None:
    if item.type == "number":
        _check_bounds(told, item.key)
        return
    if sum(name in told for name in ("is", "normal", "abnormal")) != 1 or set(told) & set(BOUNDS):
        raise ConditionError(f"{item.key}: needs one of is, normal, abnormal")
    if "is" not in told:
        if item.type != "grade" or told.get("normal", told.get("abnormal")) is not True:
            raise ConditionError(f"{item.key}: normal = true and abnormal = true are for graded findings")
        return
    allowed = {one.id for one in item.choices if one.id != NOT_TESTED}
    if item.type == "text" or not set(keys(told["is"], f"{item.key}: is")) <= allowed:
        raise ConditionError(f"{item.key}: is must be a list out of {', '.join(sorted(allowed))}")


def _check_bounds(told: Mapping[str, Any], name: str) -> None:
    if {"is", "normal", "abnormal"} & set(told) or not any(bound in told for bound in BOUNDS):
        raise ConditionError(f"{name}: a number needs one of {', '.join(BOUNDS)}")
    for bound in BOUNDS:
        if isinstance(told.get(bound, 0), bool) or not isinstance(told.get(bound, 0), int | float):
            raise ConditionError(f"{name}: {bound} must be a number")


def known(catalogue: items.Catalogue, key: Any) -> Item:
    """The item of a key; else ConditionError."""
    if not isinstance(key, str) or key not in catalogue.items:
        raise ConditionError(f"no such item: {key}")
    return catalogue.items[key]


def only(told: Mapping[str, Any], allowed: set[str]) -> None:
    """Raises ConditionError for any other member."""
    if unknown := set(told) - allowed:
        raise ConditionError(f"unknown {', '.join(sorted(unknown))} in {dict(told)}")

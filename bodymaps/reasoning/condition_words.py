"""A condition as a person reads it in the list of rules: "Injury: yes or not sure, and age at least 65"."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from bodymaps import kinds, words
from bodymaps.reasoning import items
from bodymaps.reasoning.items import Item

if TYPE_CHECKING:
    from bodymaps.reasoning.conditions import Condition

BOUND_WORDS = {"at_least": "at least", "at_most": "at most", "above": "above", "below": "below"}
SIDE_WORDS = {"any": "", "same": ", same side", "other": ", other side"}


def of(condition: Condition) -> str:
    """The whole condition in one line; parts of parts stand in brackets."""
    told, parts = condition.told, condition.parts
    if not parts:
        return _leaf(told)
    if whole := _one_question(condition):
        return whole
    said = [of(part) if not part.parts or _one_question(part) else f"({of(part)})" for part in parts]
    if "none" in told:
        return f"none of: {'; '.join(said)}"
    if "of" in told:
        return f"at least {told['at_least_of']} of: {'; '.join(said)}"
    if "each_side" in told:
        return f"right and left alike: {'; '.join(said)}"
    return (" or " if "any" in told else ", and ").join(said)


def _one_question(condition: Condition) -> str:
    """Several keys asked the same thing ("Chills or Fever: yes or not sure"), else ""."""
    told, parts = condition.told, condition.parts
    if "any" not in told or len(parts) < 2 or any(part.parts for part in parts):
        return ""
    asked = next((name for name in ("item", "finding") if all(name in part.told for part in parts)), "")
    rests = [{name: value for name, value in part.told.items() if name != asked} for part in parts]
    if not asked or any(rest != rests[0] for rest in rests):
        return ""
    labels = [_label(_item(part.told)) for part in parts]
    return f"{' or '.join([', '.join(labels[:-1]), labels[-1]])}: {_value(parts[0].told)}"


def _leaf(told: Mapping[str, Any]) -> str:
    if "drawn" in told:
        return _drawn(told)
    if "widespread" in told:
        return "drawn widespread"
    if "age" in told:
        return f"age {_bounds(told, '')}"
    if "sex" in told:
        return f"sex {' or '.join(told['sex'])}"
    return f"{_label(_item(told))}: {_value(told)}"


def _value(told: Mapping[str, Any]) -> str:
    """What is asked of the value: "yes or not sure", "not normal, same side", "below 60 °"."""
    item = _item(told)
    side = SIDE_WORDS[told.get("side", "any")]
    if "is" in told:
        if set(told["is"]) == {one.id for one in item.choices}:
            return "answered"
        return " or ".join(item.words_for(one) for one in told["is"]) + side
    if item.type == "number":
        return _bounds(told, item.unit) + side
    return ("normal" if told.get("normal") else "not normal") + side


def _bounds(told: Mapping[str, Any], unit: str) -> str:
    return " and ".join(
        f"{said} {told[bound]:g} {unit}".strip() for bound, said in BOUND_WORDS.items() if bound in told
    )


def _drawn(told: Mapping[str, Any]) -> str:
    """Regions without their sides, each once."""
    of_kind = [kinds.kind(one).label.lower() for one in told.get("kinds", ())]
    where = told.get("called") or words.listed(
        list(dict.fromkeys(" ".join(words.region_on(one, "").split()) for one in told["drawn"]))
    )
    return (
        f"drawn{f' as {words.listed(of_kind)}' if of_kind else ''}: {where}"
        + SIDE_WORDS[told.get("side", "any")]
    )


def _item(told: Mapping[str, Any]) -> Item:
    return items.history().items[told["item"]] if "item" in told else items.findings().items[told["finding"]]


def _label(item: Item) -> str:
    """Levels and reflexes need their group: "Light touch C6"."""
    group = next((one for one in items.findings().groups if item.key in {i.key for i in one.items}), None)
    named = (
        group and group.page == "neuro" and group.id not in ("neck", "cord", "back", "outlet", "entrapment")
    )
    return f"{group.title}, {item.label}" if group and named else item.label

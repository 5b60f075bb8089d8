"""A condition as a person reads it in the list of rules: "Injury: yes or not sure, and age at least 65"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bodymaps import kinds, words
from bodymaps.reasoning import items
from bodymaps.reasoning.conditions import Condition
from bodymaps.reasoning.items import Item

BOUND_WORDS = {"at_least": "at least", "at_most": "at most", "above": "above", "below": "below"}
SIDE_WORDS = {"any": "", "same": ", same side", "other": ", other side"}
# Groups of findings whose items say nothing without the name of the group ("C6", "Biceps").
UNNAMED = ("touch", "pin", "nerve_touch", "strength", "reflex", "reflex_clinic", "tension")


def in_words(condition: Condition) -> str:
    """The whole condition in one line; parts of parts stand in brackets."""
    told, parts = condition.told, condition.parts
    if not parts:
        return _leaf(told)
    if len(parts) == 1 and ("any" in told or "all" in told):
        return in_words(parts[0])
    if together := _together(condition):
        return together
    if "none" in told:
        return f"not ({'; or '.join(map(in_words, parts))})"
    said = [_bracketed(part) for part in parts]
    if "of" in told:
        return f"at least {told['at_least_of']} of: {'; '.join(said)}"
    if "each_side" in told:
        return f"right and left alike: {'; '.join(said)}".replace(SIDE_WORDS["same"], "")
    return ("; or " if "any" in told else ", and ").join(said)


def _bracketed(part: Condition) -> str:
    """A part of several parts, in brackets where it would run into what stands beside it."""
    while len(part.parts) == 1 and ("any" in part.told or "all" in part.told):
        part = part.parts[0]
    apart = not part.parts or "none" in part.told or _together(part)
    return in_words(part) if apart else f"({in_words(part)})"


def _together(condition: Condition) -> str:
    """Parts that ask the same of several keys or places, in one ("Light touch (S3, S4-5): not normal")."""
    parts = condition.parts
    link = next((said for nest, said in (("any", "or"), ("all", "and")) if nest in condition.told), "")
    if not link or len(parts) < 2 or any(part.parts for part in parts):
        return ""
    leaves = [part.told for part in parts]
    if link == "or" and all("drawn" in leaf and set(leaf) <= {"drawn", "called"} for leaf in leaves):
        return f"drawn on one of ({'; '.join(_places(leaf) for leaf in leaves)})"
    if not all("item" in leaf or "finding" in leaf for leaf in leaves):
        return ""
    values = {_value(leaf) for leaf in leaves}
    return f"{_listed(leaves, link)}: {values.pop()}" if len(values) == 1 else ""


def _listed(leaves: Sequence[Mapping[str, Any]], link: str) -> str:
    """The labels of several questions or findings; those of one group that needs its name, in brackets."""
    if called := leaves[0].get("called"):
        return str(called)
    grouped: dict[str, list[str]] = {}
    for item in map(_item, leaves):
        title = _group(item)
        grouped.setdefault(title or f'"{item.label}"', []).extend([item.label] if title else [])
    named = [f"{title} ({', '.join(labels)})" if labels else title for title, labels in grouped.items()]
    return f" {link} ".join([", ".join(named[:-1]), named[-1]] if len(named) > 1 else named)


def _leaf(told: Mapping[str, Any]) -> str:
    if "drawn" in told:
        of_kind = [kinds.kind(one).label.lower() for one in told.get("kinds", ())]
        drawn = f"drawn as {' or '.join(of_kind)}" if of_kind else "drawn"
        return f"{drawn}: {_places(told)}{SIDE_WORDS[told.get('side', 'any')]}"
    if "widespread" in told:
        return "drawn widespread"
    if "age" in told:
        return f"age {_bounds(told, '')}"
    if "sex" in told:
        return f"sex {' or '.join(told['sex'])}"
    item = _item(told)
    title = _group(item)
    return f"{f'{title} ({item.label})' if title else item.label}: {_value(told)}"


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


def _places(told: Mapping[str, Any]) -> str:
    """Regions without their sides, each once."""
    return str(told.get("called", "")) or words.listed(
        list(dict.fromkeys(" ".join(words.region_on(one, "").split()) for one in told["drawn"]))
    )


def _item(told: Mapping[str, Any]) -> Item:
    catalogue = items.history() if "item" in told else items.findings()
    return catalogue.items[told.get("item") or told["finding"]]


def _group(item: Item) -> str:
    """The title of its group where the label needs it, else ""."""
    if item.group not in UNNAMED or item.key not in items.findings().items:
        return ""
    return next(group.title for group in items.findings().groups if group.id == item.group)

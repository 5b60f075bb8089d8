"""The rules of the signs of danger (data/reasoning/flags.toml) and of what is asked on (asked.toml), read and
checked.

A table of the file's `named` conditions may stand wherever a condition may, as { named = "..." }.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps.reasoning import condition_words, conditions, items, neck_rule
from bodymaps.reasoning.conditions import Condition, ConditionError, Facts
from bodymaps.reasoning.items import FOLDER, Group, Item

LEVELS = ("emergency", "same_day", "watch")
STATUSES = ("checked", "from memory", "common practice")
FLAGS, ASKED = "flags.toml", "asked.toml"


class FlagRulesError(ValueError):
    """A file that cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Graded:
    """One entry of a rule: at this level when the condition holds and, where it is given, the neck rule has
    this result. `words`: what it says beside what makes it true.
    """

    level: str
    when: Condition
    words: str
    neck_rule: str = ""

    def holds(self, facts: Facts) -> bool:
        return self.when.holds(facts) and (not self.neck_rule or neck_rule.of(facts).result == self.neck_rule)

    def because(self, facts: Facts) -> tuple[str, ...]:
        by_rule = (neck_rule.of(facts).words,) if self.neck_rule else ()
        return tuple(one for one in (self.words, *by_rule, *self.when.because(facts)) if one)

    @property
    def condition(self) -> str:
        """When it holds, as a person reads it."""
        said = condition_words.in_words(self.when)
        return (
            f"{said}, and {neck_rule.rule().words[self.neck_rule] or 'no neck pain'}"
            if self.neck_rule
            else said
        )


@dataclass(frozen=True)
class Rule:
    """One sign of danger. `actions` by level; `sources` as "work" or "work (from memory)"."""

    id: str
    title: str
    why: str
    entries: tuple[Graded, ...]
    actions: Mapping[str, str]
    differs: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class AskedOn:
    """Items of one group that are called for when the condition holds. `in_person`: asked by a clinician,
    never left to a patient who fills in a page alone.
    """

    group: Group
    items: tuple[Item, ...]
    when: Condition
    in_person: bool = False


@dataclass(frozen=True)
class Rules:
    version: str
    level_words: Mapping[str, str]
    rules: tuple[Rule, ...]


@cache
def flags() -> Rules:
    return read_flags(_load(FLAGS))


@cache
def asked() -> tuple[AskedOn, ...]:
    return read_asked(_load(ASKED), _load(FLAGS).get("named", {}))


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / name).read_text(encoding="utf-8"))


def read_flags(data: Mapping[str, Any]) -> Rules:
    """Check and freeze decoded data. Raises FlagRulesError with file, entry and reason."""
    _only(data, {"version", "levels", "named", "flag"}, FLAGS)
    levels = data.get("levels", {})
    if set(levels) != set(LEVELS) or not isinstance(data.get("version"), str):
        raise FlagRulesError(f"{FLAGS}: a version, and words for the levels {', '.join(LEVELS)} are needed")
    rules = tuple(_rule(entry, data.get("named", {})) for entry in data.get("flag", ()))
    ids = [rule.id for rule in rules]
    if twice := {one for one in ids if ids.count(one) > 1} or not ids:
        raise FlagRulesError(f"{FLAGS}: flags are needed, each with an id of its own: {twice}")
    return Rules(data["version"], levels, rules)


def _rule(entry: Mapping[str, Any], named: Mapping[str, Any]) -> Rule:
    where = f"{FLAGS}: flag {entry.get('id', '?')}"
    _only(entry, {"id", "title", "why", "sources", "differs", "action", "graded"}, where)
    for name in ("id", "title", "why"):
        _text(entry, name, where)
    entries = tuple(
        _graded(one, f"{where}: entry {number}", named)
        for number, one in enumerate(entry.get("graded", ()), start=1)
    )
    actions = entry.get("action", {})
    used = {one.level for one in entries}
    if not entries or set(actions) != used:
        raise FlagRulesError(f"{where}: graded entries, and an action for each of their levels, are needed")
    for level in actions:
        _text(actions, level, where)
    return Rule(
        entry["id"],
        entry["title"],
        entry["why"],
        tuple(sorted(entries, key=lambda one: LEVELS.index(one.level))),
        actions,
        tuple(entry.get("differs", ())),
        _sources(entry.get("sources"), where),
    )


def _sources(told: Any, where: str) -> tuple[str, ...]:
    """Each is [work, status]; common practice is a status and needs to say of what."""
    if not isinstance(told, list) or not told:
        raise FlagRulesError(f"{where}: sources are needed, each as [work, status]")
    for one in told:
        if not isinstance(one, list) or len(one) != 2 or not one[0] or one[1] not in STATUSES:
            raise FlagRulesError(f"{where}: source {one!r} must be [work, {' or '.join(STATUSES)}]")
    return tuple(work if status == "checked" else f"{work} ({status})" for work, status in told)


def _graded(entry: Mapping[str, Any], where: str, named: Mapping[str, Any]) -> Graded:
    _only(entry, {"level", "when", "words", "neck_rule"}, where)
    if entry.get("level") not in LEVELS:
        raise FlagRulesError(f"{where}: level must be one of {', '.join(LEVELS)}")
    _text(entry, "words", where)
    if entry.get("neck_rule", "") not in ("", *neck_rule.RESULTS):
        raise FlagRulesError(f"{where}: neck_rule must be one of {', '.join(neck_rule.RESULTS)}")
    when = _condition(entry.get("when"), named, where)
    _unsure_counts(when, where)
    return Graded(entry["level"], when, entry["words"], entry.get("neck_rule", ""))


def _unsure_counts(when: Condition, where: str) -> None:
    """Of a sign of danger "not sure" counts as a yes: no rule may forget it."""
    for leaf in when.leaves():
        key = leaf.get("item", "")
        if (
            key
            and items.history().items[key].type == "yes_no"
            and "yes" in leaf["is"]
            and "unsure" not in leaf["is"]
        ):
            raise FlagRulesError(f"{where}: {key}: not sure counts as a yes; write yes = [...]")


def read_asked(data: Mapping[str, Any], named: Mapping[str, Any]) -> tuple[AskedOn, ...]:
    """What is asked on. Raises FlagRulesError with file, entry and reason."""
    _only(data, {"version", "ask"}, ASKED)
    groups = {group.id: group for group in (*items.history().groups, *items.findings().groups)}
    return tuple(_asked(entry, groups, named) for entry in data.get("ask", ()))


def _asked(entry: Mapping[str, Any], groups: Mapping[str, Group], named: Mapping[str, Any]) -> AskedOn:
    where = f"{ASKED}: ask {entry.get('group', '?')}"
    _only(entry, {"group", "items", "when", "in_person"}, where)
    group = groups.get(entry.get("group", ""))
    if group is None:
        raise FlagRulesError(f"{where}: no such group of history.toml or findings.toml")
    wanted = entry.get("items", [item.key for item in group.items])
    if not wanted or not set(wanted) <= {item.key for item in group.items}:
        raise FlagRulesError(f"{where}: items must be keys of this group")
    chosen = tuple(item for item in group.items if item.key in wanted)
    in_person = entry.get("in_person", False)
    if not isinstance(in_person, bool):
        raise FlagRulesError(f"{where}: in_person must be true or false")
    return AskedOn(group, chosen, _condition(entry.get("when"), named, where), in_person)


def _condition(told: Any, named: Mapping[str, Any], where: str) -> Condition:
    try:
        return conditions.read(_with_named(told, named))
    except ConditionError as wrong:
        raise FlagRulesError(f"{where}: {wrong}") from wrong


def _with_named(told: Any, named: Mapping[str, Any]) -> Any:
    """The condition with each { named = "..." } replaced by what it stands for."""
    if isinstance(told, list):
        return [_with_named(part, named) for part in told]
    if not isinstance(told, Mapping):
        return told
    if "named" in told:
        if len(told) > 1 or told["named"] not in named:
            raise ConditionError(f"no such named condition: {dict(told)}")
        return _with_named(named[told["named"]], named)
    return {name: _with_named(value, named) for name, value in told.items()}


def _only(entry: Mapping[str, Any], allowed: set[str], where: str) -> None:
    if unknown := set(entry) - allowed:
        raise FlagRulesError(f"{where}: unknown key {', '.join(sorted(unknown))}")


def _text(entry: Mapping[str, Any], name: str, where: str) -> None:
    if not isinstance(entry.get(name), str) or not entry[name].strip():
        raise FlagRulesError(f"{where}: {name} must be a text")

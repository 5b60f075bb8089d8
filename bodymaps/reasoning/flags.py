"""Signs of danger in a case: which are raised, how urgently, why, what to do, and what has to be asked on.

A sign asks for thought and an examination, never for a conclusion. "Not sure" counts as a yes. What was not
asked raises nothing and clears nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bodymaps.reasoning import conditions, flag_rules
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.flag_rules import LEVELS, FlagRulesError, Graded, Rule
from bodymaps.reasoning.items import Group, Item

__all__ = [
    "LEVELS",
    "Flag",
    "FlagRulesError",
    "Graded",
    "Rule",
    "ToAsk",
    "holds_back",
    "raised",
    "rules",
    "to_ask",
]


@dataclass(frozen=True)
class Flag:
    """A raised sign at its highest level. `reasons`: what the rules say and what makes them true, the most
    urgent first. `differs`: where studies or beliefs disagree, both shown.
    """

    id: str
    title: str
    level: str
    level_words: str
    reasons: tuple[str, ...]
    action: str
    why: str
    differs: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class ToAsk:
    """Items of one group that drawing or answers call for and that have no answer yet. `in_person`: asked by
    a clinician, never left to a patient who fills in a page alone.
    """

    group: Group
    items: tuple[Item, ...]
    because: tuple[str, ...]
    in_person: bool = False


def raised(facts: Facts) -> tuple[Flag, ...]:
    """Most urgent first, then in the order of the file; one for each sign, at its highest level."""
    found = [flag for flag in (_flag(rule, facts) for rule in rules()) if flag]
    return tuple(sorted(found, key=lambda flag: LEVELS.index(flag.level)))


def holds_back(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    """Those that hold treatment back until somebody has decided: all but "watch"."""
    return tuple(flag for flag in flags if flag.level != "watch")


def rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the file."""
    return flag_rules.flags().rules


def to_ask(facts: Facts) -> tuple[ToAsk, ...]:
    """One for each group, in the order of asked.toml; only what is not answered and applies to the person."""
    found: dict[str, ToAsk] = {}
    for asked in flag_rules.asked():
        if not asked.when.holds(facts):
            continue
        known = found.get(asked.group.id, ToAsk(asked.group, (), ()))
        open_ = {item.key for item in (*known.items, *asked.items) if _is_open(item, facts)}
        if open_:
            found[asked.group.id] = ToAsk(
                asked.group,
                tuple(item for item in asked.group.items if item.key in open_),
                tuple(dict.fromkeys((*known.because, *asked.when.because(facts)))),
                known.in_person or asked.in_person,
            )
    return tuple(found.values())


def _flag(rule: Rule, facts: Facts) -> Flag | None:
    held = [entry for entry in rule.entries if entry.holds(facts)]
    if not held:
        return None
    level = held[0].level
    return Flag(
        id=rule.id,
        title=rule.title,
        level=level,
        level_words=flag_rules.flags().level_words[level],
        reasons=tuple(dict.fromkeys(why for entry in held for why in entry.because(facts))),
        action=rule.actions[level],
        why=rule.why,
        differs=rule.differs,
        sources=rule.sources,
    )


def _is_open(item: Item, facts: Facts) -> bool:
    return not _is_answered(item, facts.case) and (
        not item.only_if or conditions.read(item.only_if).holds(facts)
    )


def _is_answered(item: Item, case: Case) -> bool:
    """A finding that was left out for a reason (NT) is dealt with too; what has sides needs both."""
    if ":" not in item.key:
        return item.key in case.history
    return all(case.finding(item.key, side) is not None for side in (SIDES if item.sided else ("",)))

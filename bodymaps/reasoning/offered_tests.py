"""The tests of the catalogue that something is said of: by rules of evidence, a published ratio, or both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property

from bodymaps import words
from bodymaps.reasoning import evidence_nerves, evidence_rules, items, next_file, ratios_file
from bodymaps.reasoning.case import Value
from bodymaps.reasoning.evidence_rules import Key, Rule
from bodymaps.reasoning.items import Item
from bodymaps.reasoning.ratios import Ratios, SingleRule
from bodymaps.reasoning.signs import ROOT


@dataclass(frozen=True)
class Limit:
    """The limit of a number that a test asks for; `low`: whether what lies below it is positive."""

    value: float
    low: bool


@dataclass(frozen=True)
class Offered:
    """Everything that is said of one test. `about`: what its published ratio is about, "" without one.
    `positive`, `negative`: a value of each result.
    """

    item: Item
    rules: tuple[Rule, ...]
    single: SingleRule | None
    about: str
    limit: Limit | None
    positive: Value
    negative: Value

    @cached_property
    def changed(self) -> frozenset[str]:
        """The ids of the lines that its result may change."""
        ids = [rule.id for rule in self.rules]
        if self.about:
            published = ratios_about(self.about)
            ids += [f"{evidence_nerves.RATIO}:{one.id}" for one in published.clusters]
            ids += [f"{evidence_nerves.RATIO}:{one.id}" for one in published.singles]
        return frozenset(ids)

    @cached_property
    def speaks_of(self) -> frozenset[Key]:
        """The candidates it may speak for or against."""
        roots = evidence_nerves.known().roots.get(self.about, ())
        return frozenset().union(((ROOT, root) for root in roots), *(rule.named for rule in self.rules))

    @property
    def title(self) -> str:
        return f"{_titles()[self.item.group]}: {self.item.label}"

    @property
    def results(self) -> tuple[str, str]:
        """Both results in words: "Positive", "Below 60 °"."""
        if not self.limit:
            positive, negative = (self.item.words_for(one) for one in (self.positive, self.negative))
            return words.sentence_case(positive), words.sentence_case(negative)
        limit = f"{self.limit.value:g} {self.item.unit}"
        below, above = f"Below {limit}", f"{limit} or more"
        return (below, above) if self.limit.low else (above, below)


@cache
def all_of_them() -> Mapping[str, Offered]:
    """By key, in the order of the catalogue."""
    found = ((item.key, _offered(item)) for item in _items())
    return {key: one for key, one in found if one}


def _items() -> Iterator[Item]:
    numbers = next_file.load().tests
    for group in items.findings().groups:
        if group.id in numbers.groups or group.page in numbers.pages:
            yield from group.items


def _offered(item: Item) -> Offered | None:
    rules, single = _rules_by_key().get(item.key, ()), _single(item.key)
    limit = _limit(item, rules, single)
    values = _numbers(item, limit) if item.type == "number" else _grades(item, single)
    if not values or not (rules or single):
        return None
    return Offered(item, rules, single, single.about.id if single else "", limit, *values)


@cache
def _rules_by_key() -> Mapping[str, tuple[Rule, ...]]:
    """The rules of evidence by each key they ask for."""
    found: dict[str, tuple[Rule, ...]] = {}
    for rule in evidence_rules.rules():
        for key in rule.condition.keys():  # noqa: SIM118 - a condition is no dictionary
            found[key] = (*found.get(key, ()), rule)
    return found


def _single(key: str) -> SingleRule | None:
    """The test alone, where a ratio of it is known and roots it is about."""
    about = evidence_nerves.known().roots
    known = ratios_file.load().singles
    return next((one for one in known if one.test.key == key and one.about.id in about and one.lr), None)


@cache
def ratios_about(about: str) -> Ratios:
    """The published ratios about one thing."""
    known = ratios_file.load()
    return replace(
        known,
        clusters=tuple(one for one in known.clusters if one.about.id == about),
        singles=tuple(one for one in known.singles if one.about.id == about),
    )


@cache
def keys_about(about: str) -> frozenset[str]:
    """The findings these ratios ask for."""
    known = ratios_about(about)
    tests = [*(one.test for one in known.singles), *(test for one in known.clusters for test in one.tests)]
    return frozenset(test.key for test in tests if test.key)


def _grades(item: Item, single: SingleRule | None) -> tuple[Value, Value] | None:
    """A positive and a negative grade: the single test's, else the first outside and the first within the
    normal ones.
    """
    if item.type != "grade":
        return None
    if single and single.negative:
        return single.test.positive[0], single.negative[0]
    within = items.findings().scale_of(item).within_normal
    outside = [one.id for one in item.choices if one.id not in (*within, items.NOT_TESTED)]
    return (outside[0], within[0]) if outside and within else None


def _numbers(item: Item, limit: Limit | None) -> tuple[Value, Value] | None:
    """A number on each side of the limit, as far from it as from the end."""
    if limit is None or item.least is None or item.most is None:
        return None
    below, above = (item.least + limit.value) / 2, (limit.value + item.most) / 2
    return (below, above) if limit.low else (above, below)


def _limit(item: Item, rules: Iterable[Rule], single: SingleRule | None) -> Limit | None:
    """The first limit that is asked for; None for what is no number."""
    if single and single.test.below is not None:
        return Limit(single.test.below, True)
    for rule in rules:
        for leaf in rule.condition.leaves():
            if leaf.get("finding") == item.key:
                for name, low in (("below", True), ("at_most", True), ("above", False), ("at_least", False)):
                    if name in leaf:
                        return Limit(float(leaf[name]), low)
    return None


@cache
def _titles() -> Mapping[str, str]:
    return {group.id: group.title.partition(",")[0] for group in items.findings().groups}

"""The tests of the catalogue that something is said of: by rules of evidence, a published ratio, or both."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

from bodymaps import words
from bodymaps.reasoning import evidence_nerves, evidence_rules, items, next_file, ratios_file, signs
from bodymaps.reasoning.case import Value
from bodymaps.reasoning.evidence_rules import Key, Rule
from bodymaps.reasoning.items import Item
from bodymaps.reasoning.ratios import ClusterRule, Ratios, SingleRule, Test
from bodymaps.reasoning.signs import ROOT

# How a limit is worded, and which one is its other side.
LIMITS = {
    "below": ("Below {}", "at_least"),
    "at_most": ("{} or less", "above"),
    "above": ("Above {}", "at_most"),
    "at_least": ("{} or more", "below"),
}
LOW = ("below", "at_most")


@dataclass(frozen=True)
class Limit:
    """A limit of a number that is asked for; `kind` is one of LIMITS."""

    kind: str
    value: float

    @property
    def is_low(self) -> bool:
        """Whether what lies below it counts."""
        return self.kind in LOW

    @property
    def other(self) -> Limit:
        return Limit(LIMITS[self.kind][1], self.value)

    def words(self, unit: str) -> str:
        """ "Below 60 °"."""
        return LIMITS[self.kind][0].format(f"{self.value:g} {unit}")

    def inside(self, item: Item) -> float:
        """A number that counts, as far from the limit as from the end."""
        return ((item.least if self.is_low else item.most) or 0.0) / 2 + self.value / 2


@dataclass(frozen=True)
class Offered:
    """One test, or several that count together (`key` is that of the first). `rules`: those that ask for it;
    `about`: what its published ratio is about, "" without one, `single` that ratio. `values` of a positive
    and of a negative result by key, `results` in words. `tests`: what several are called.
    """

    key: str
    title: str
    sided: bool
    rules: tuple[Rule, ...]
    values: tuple[Mapping[str, Value], Mapping[str, Value]]
    results: tuple[str, str]
    caution: str
    tests: tuple[str, ...] = ()
    single: SingleRule | None = None
    about: str = ""

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
    def speaks_for(self) -> frozenset[Key]:
        """The candidates that rules speak for."""
        return frozenset(key for rule in self.rules for key in rule.speaks_for)

    @cached_property
    def speaks_of(self) -> frozenset[Key]:
        """The candidates it may speak for or against."""
        roots = evidence_nerves.known().roots.get(self.about, ())
        return frozenset().union(((ROOT, root) for root in roots), *(rule.named for rule in self.rules))


@cache
def alone() -> Mapping[str, Offered]:
    """Every test by itself, by key, in the order of the catalogue."""
    found = ((item.key, _alone(item)) for item in _items())
    return {key: one for key, one in found if one}


def together(tried: Container[str] = ()) -> Iterator[Offered]:
    """Tests that count together, those left out that were tried; at least two must be left. Only where a
    number of positives speaks for and every smaller one against, else no two results would say it all; and
    where rules of evidence count just these.
    """
    offered = {item.key for item in _items()}
    for cluster in ratios_file.load().clusters:
        least = _speaks_from(cluster)
        left = [test for test in cluster.tests if test.key not in tried]
        if least and len(left) > 1 and offered.issuperset(test.key for test in left) and _is_counted(cluster):
            yield _together(cluster, left, least)


def _speaks_from(cluster: ClusterRule) -> int:
    """From how many positives on it speaks for, where fewer speak against; 0 for any other cluster."""
    rows = sorted(cluster.rows, key=lambda row: row.least)
    halves = len(rows) == 2 and rows[0].least == 0 and rows[1].most == len(cluster.tests)
    return rows[1].least if halves and rows[0].most + 1 == rows[1].least and cluster.sided else 0


def _is_counted(cluster: ClusterRule) -> bool:
    """Whether a rule for and a rule against ask for all of its tests."""
    keys = {test.key for test in cluster.tests}
    rules = [rule for rule in rules_by_key().get(cluster.tests[0].key, ()) if rule.condition.keys() == keys]
    return any(rule.speaks_for for rule in rules) and any(rule.against for rule in rules)


def _together(cluster: ClusterRule, left: Sequence[Test], least: int) -> Offered:
    known = items.findings().items
    rules = {rule.id: rule for test in left for rule in rules_by_key().get(test.key, ())}
    cautions = dict.fromkeys(known[test.key].caution for test in left if known[test.key].caution)
    return Offered(
        key=left[0].key,
        title=cluster.title,
        tests=tuple(known[test.key].label for test in left),
        sided=True,
        rules=tuple(rules.values()),
        values=(
            {test.key: test.positive[0] for test in left},
            {test.key: items.findings().scale_of(known[test.key]).within_normal[0] for test in left},
        ),
        results=(
            f"{least} or more of {len(cluster.tests)} positive",
            f"{least - 1} or fewer of {len(cluster.tests)} positive",
        ),
        caution=". ".join(cautions),
    )


def _items() -> Iterator[Item]:
    numbers = next_file.load().tests
    for group in items.findings().groups:
        if group.id in numbers.groups or group.page in numbers.pages:
            yield from group.items


def _alone(item: Item) -> Offered | None:
    rules, single = rules_by_key().get(item.key, ()), _single(item.key)
    limits = _limits(item, rules, single)
    values = _numbers(item, limits) if item.type == "number" else _grades(item, single)
    if not values or not (rules or single):
        return None
    said = [limit.words(item.unit) for limit in limits or ()] or [item.words_for(one) for one in values]
    return Offered(
        key=item.key,
        title=f"{_titles()[item.group]}: {item.label}",
        sided=item.sided,
        rules=rules,
        values=({item.key: values[0]}, {item.key: values[1]}),
        results=(words.sentence_case(said[0]), words.sentence_case(said[1])),
        caution=item.caution,
        single=single,
        about=single.about.id if single else "",
    )


@cache
def rules_by_key() -> Mapping[str, tuple[Rule, ...]]:
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


def _numbers(item: Item, limits: tuple[Limit, Limit] | None) -> tuple[Value, Value] | None:
    return (limits[0].inside(item), limits[1].inside(item)) if limits else None


def _limits(item: Item, rules: Iterable[Rule], single: SingleRule | None) -> tuple[Limit, Limit] | None:
    """The limits of a positive and of a negative result: the first that is asked for, and the first on the
    other side, its own other side where none is; None for what is no number.
    """
    asked = [Limit("below", single.test.below)] if single and single.test.below is not None else []
    asked += [
        limit for rule in rules for leaf in rule.condition.leaves() for limit in _of_leaf(leaf, item.key)
    ]
    if not asked:
        return None
    first = asked[0]
    return first, next((one for one in asked if one.is_low != first.is_low), first.other)


def _of_leaf(leaf: Mapping[str, Any], key: str) -> list[Limit]:
    return [Limit(kind, float(leaf[kind])) for kind in LIMITS if leaf.get("finding") == key and kind in leaf]


@cache
def _titles() -> Mapping[str, str]:
    said = signs.load().said
    return {group.id: said.get(group.id, group.title.partition(",")[0]) for group in items.findings().groups}

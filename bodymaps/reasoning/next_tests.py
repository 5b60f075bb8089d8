"""Tests that could be done next: those a published ratio or a rule of evidence speaks of, for or against one
of the leading candidates, and that nobody has tried on that side yet (not tested counts as tried).

What a result multiplies the odds of a candidate by is what its lines would add, turned back into a ratio: the
published ratio where nothing of the same kind is on record, less where something is, as lines about the same
thing count once. From the ratios of both results follow how often each is expected (see gain.Pair).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from bodymaps import words
from bodymaps.reasoning import (
    evidence_lines,
    evidence_nerves,
    evidence_rules,
    items,
    next_file,
    ratios_file,
)
from bodymaps.reasoning.case import Value
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.evidence_rules import FOR, Line, Rule
from bodymaps.reasoning.gain import Shares
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.items import Item
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.possible import Possible, Result
from bodymaps.reasoning.proposal import PRACTICE, PUBLISHED, TEST
from bodymaps.reasoning.ratios import Ratios, SingleRule
from bodymaps.reasoning.signs import ROOT
from bodymaps.reasoning.standing import Change, Standing, sided


@dataclass(frozen=True)
class Asked:
    """Everything that is asked of one test. `ratios`: published ones of what it is about, None without."""

    item: Item
    rules: tuple[Rule, ...]
    single: SingleRule | None
    ratios: Ratios | None
    positive: Value
    negative: Value

    @property
    def changed(self) -> frozenset[str]:
        """The ids of the lines that its result may change."""
        ids = [rule.id for rule in self.rules]
        if self.ratios:
            ids += [f"{evidence_nerves.RATIO}:{one.id}" for one in self.ratios.clusters]
            ids += [f"{evidence_nerves.RATIO}:{one.id}" for one in self.ratios.singles]
        return frozenset(ids)

    def speaks_of(self, layer: str, name: str) -> bool:
        if any((layer, name) in rule.named for rule in self.rules):
            return True
        roots = evidence_nerves.known().roots.get(self.single.about.id, ()) if self.single else ()
        return layer == ROOT and name in roots


def possible(standing: Standing) -> Iterator[Possible]:
    """Every test that would move a leading candidate, right before left of each key."""
    for asked in offered().values():
        for side in _sides(asked, standing):
            if standing.facts.case.finding(asked.item.key, side) is None:
                found = _possible(asked, side, standing)
                if found:
                    yield found


@cache
def offered() -> Mapping[str, Asked]:
    """By key every test of the catalogue that the file offers and something is said of."""
    found = {}
    for item in _items():
        asked = _asked(item)
        if asked:
            found[item.key] = asked
    return found


def _items() -> Iterator[Item]:
    numbers = next_file.load().tests
    for group in items.findings().groups:
        if group.id in numbers.groups or group.page in numbers.pages:
            yield from (item for item in group.items if item.key not in numbers.never)


def _asked(item: Item) -> Asked | None:
    rules = _rules_by_key().get(item.key, ())
    roots = evidence_nerves.known().roots
    single = next(
        (
            one
            for one in ratios_file.load().singles
            if one.test.key == item.key and one.about.id in roots and one.lr
        ),
        None,
    )
    values = _values(item, rules, single)
    if not values or not (rules or single):
        return None
    return Asked(item, rules, single, _of_about(single.about.id) if single else None, *values)


@cache
def _rules_by_key() -> Mapping[str, tuple[Rule, ...]]:
    """The rules of evidence by each key they ask for."""
    found: dict[str, tuple[Rule, ...]] = {}
    for rule in evidence_rules.rules():
        for key in rule.condition.keys():  # noqa: SIM118 - a condition is no dictionary
            found[key] = (*found.get(key, ()), rule)
    return found


@cache
def _of_about(about: str) -> Ratios:
    """The published ratios about one thing."""
    known = ratios_file.load()
    return replace(
        known,
        clusters=tuple(one for one in known.clusters if one.about.id == about),
        singles=tuple(one for one in known.singles if one.about.id == about),
    )


def _values(item: Item, rules: Iterable[Rule], single: SingleRule | None) -> tuple[Value, Value] | None:
    """A positive and a negative value: of grades the single test's, else the first outside and the first
    within the normal ones; of a number one to each side of the limit, as far from it as from the end.
    """
    if item.type == "number":
        return _numbers(item, rules, single)
    if item.type != "grade":
        return None
    if single and single.negative:
        return single.test.positive[0], single.negative[0]
    within = items.findings().scale_of(item).within_normal
    outside = [one.id for one in item.choices if one.id not in (*within, items.NOT_TESTED)]
    return (outside[0], within[0]) if outside and within else None


def _numbers(item: Item, rules: Iterable[Rule], single: SingleRule | None) -> tuple[float, float] | None:
    limit, low = _limit(item, rules, single)
    if limit is None or item.least is None or item.most is None:
        return None
    below, above = (item.least + limit) / 2, (limit + item.most) / 2
    return (below, above) if low else (above, below)


def _limit(item: Item, rules: Iterable[Rule], single: SingleRule | None) -> tuple[float | None, bool]:
    """The first limit that is asked for, and whether what lies below it is positive."""
    if single and single.test.below is not None:
        return single.test.below, True
    for rule in rules:
        for leaf in rule.condition.leaves():
            if leaf.get("finding") == item.key:
                for name, low in (("below", True), ("at_most", True), ("above", False), ("at_least", False)):
                    if name in leaf:
                        return float(leaf[name]), low
    return None, True


def _sides(asked: Asked, standing: Standing) -> Iterator[str]:
    """The sides on which there is a leading candidate it speaks of; "" for what has no side."""
    sides = {one.side for one in standing.leading if asked.speaks_of(one.layer, one.id)}
    if not asked.item.sided:
        yield from [""] if sides else []
        return
    either = "midline" in sides
    yield from (side for side in ("right", "left") if side in sides or either)


def _possible(asked: Asked, side: str, standing: Standing) -> Possible | None:
    changes = [_change(asked, side, value, standing) for value in (asked.positive, asked.negative)]
    moved = [[standing.moved(one, change) for one in standing.leading] for change in changes]
    implied = shares(*moved)
    if implied is None:
        return None
    lines = [
        (one, line)
        for change in changes
        for one in standing.leading
        for line in change.lines.get(sided(one), ())
    ]
    return _told(asked, side, implied.positive, changes, lines)


def _change(asked: Asked, side: str, value: Value, standing: Standing) -> Change:
    """The lines of a test with one result, for all candidates that stand in the order."""
    case = standing.facts.case
    added = replace(case, findings={**case.findings, (asked.item.key, side): value})
    facts = Facts(added, standing.facts.drawn)
    found: dict[Sided, list[Line]] = {}
    for one in standing.places:
        for rule in asked.rules:
            for line in evidence_lines.of_rule(rule, facts, one, standing.own.get(one)):
                found.setdefault(one, []).append(line)
    if asked.ratios:
        drawn_on = standing.drawn_on.keys()
        for one, line in evidence_nerves.published(added, standing.fits, drawn_on, asked.ratios):
            found.setdefault(one, []).append(line)
    return Change(asked.changed, {one: tuple(lines) for one, lines in found.items()})


def _told(
    asked: Asked,
    side: str,
    positive: Shares,
    changes: Sequence[Change],
    lines: Sequence[tuple[Judged, Line]],
) -> Possible:
    """A test as a possible finding. `lines`: what either result says of the leading candidates."""
    strongest = max((line for _, line in lines), key=lambda line: abs(line.weight))
    title = f"{_titles()[asked.item.group]}: {asked.item.label}"
    results = zip(_results(asked), changes, strict=True)
    return Possible(
        kind=TEST,
        id=asked.item.key,
        side=side,
        site="",
        title=f"{title}, {side}" if side else title,
        why=_why(asked, [line for _, line in lines]),
        basis=PUBLISHED if _published(asked, strongest) else PRACTICE,
        source=strongest.source,
        status=strongest.status,
        caution=asked.item.caution,
        positive=positive,
        results=tuple(Result(words, change) for words, change in results),
        same_as=frozenset((line.about, sided(one)) for one, line in lines),
    )


@cache
def _titles() -> dict[str, str]:
    return {group.id: group.title.partition(",")[0] for group in items.findings().groups}


def _results(asked: Asked) -> tuple[str, str]:
    """Both results in words: "positive", "below 60 °"."""
    item = asked.item
    if item.type != "number":
        return words.sentence_case(item.words_for(asked.positive)), words.sentence_case(
            item.words_for(asked.negative)
        )
    limit, low = _limit(item, asked.rules, asked.single)
    below, above = f"Below {limit:g} {item.unit}", f"{limit:g} {item.unit} or more"
    return (below, above) if low else (above, below)


def _published(asked: Asked, line: Line) -> bool:
    if line.rule.startswith(evidence_nerves.RATIO):
        return True
    return any(rule.id == line.rule and _ratio(rule, line) is not None for rule in asked.rules)


def _ratio(rule: Rule, line: Line) -> float | None:
    return rule.ratio if line.speaks == FOR else rule.ratio_against


def _why(asked: Asked, lines: Sequence[Line]) -> tuple[str, ...]:
    """What the figures say, then what the rules say."""
    said = [line.words for line in lines if not line.rule.startswith(evidence_nerves.RATIO)]
    return tuple(dict.fromkeys((*_figures(asked, lines), *said)))


def _figures(asked: Asked, lines: Sequence[Line]) -> Iterator[str]:
    told = next_file.load().words
    if asked.single and any(line.rule.startswith(evidence_nerves.RATIO) for line in lines):
        yield from _single_words(asked.single)
    elif not any(_published(asked, line) for line in lines):
        yield told["practice"]


def _single_words(single: SingleRule) -> Iterator[str]:
    ratios = {result: f"{round(lr, 2):g}" for result, lr in single.lr.items()}
    name = "published" if len(ratios) > 1 else f"published_{next(iter(ratios))}"
    yield next_file.load().words[name].format(**ratios, name=single.about.name)
    yield from (
        f"{result.capitalize()}: it {said.format(it=single.about.name)}."
        for result, said in single.says.items()
    )

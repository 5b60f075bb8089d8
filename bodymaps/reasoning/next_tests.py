"""Tests that could be done next: those that speak for or against one of the leading candidates, and that
nobody has tried on that side yet (not tested counts as tried).

What a result multiplies the odds of a candidate by is what its lines would add, turned back into a ratio: the
published ratio where nothing of the same kind is on record, less where something is, as lines about the same
thing count once. How often each result is expected follows from both (see implied).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from bodymaps import words
from bodymaps.counted import COMPARED
from bodymaps.reasoning import evidence_lines, evidence_nerves, evidence_rules, next_file, offered_tests
from bodymaps.reasoning.case import SIDES, Case, Value
from bodymaps.reasoning.clusters import Cluster, Single
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.evidence_rules import FOR, Line
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.offered_tests import Offered
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.possible import Possible, Result, Told, listed
from bodymaps.reasoning.proposal import PRACTICE, PUBLISHED, TEST
from bodymaps.reasoning.standing import Change, Standing, sided


def possible(standing: Standing) -> Iterator[Possible]:
    """Every test that would move a leading candidate, right before left of each key; then those that count
    together, as far as they are open.
    """
    case = standing.facts.case
    for offered in offered_tests.alone().values():
        for side in _sides(offered, standing):
            if case.finding(offered.key, side) is None:
                yield from _possible(offered, side, standing)
    for side in SIDES:
        for offered in offered_tests.together({key for key, on in case.findings if on == side}):
            if _is_worth_several(offered, side, standing):
                yield from _possible(offered, side, standing)


def _sides(offered: Offered, standing: Standing) -> tuple[str, ...]:
    """The sides on which there is a leading candidate it speaks of; "" for what has no side."""
    sides = {one.side for one in standing.leading if (one.layer, one.id) in offered.speaks_of}
    if not offered.sided:
        return ("",) if sides else ()
    return tuple(side for side in SIDES if sides & {side, "midline"})


def _is_worth_several(offered: Offered, side: str, standing: Standing) -> bool:
    """Whether what several tests speak of is near the first."""
    near = standing.leading[0].total - next_file.load().tests.together_within
    first = [one for one in standing.leading if one.total >= near]
    return any((one.layer, one.id) in offered.speaks_for and one.side == side for one in first)


def _possible(offered: Offered, side: str, standing: Standing) -> Iterator[Possible]:
    """None when no result moves anybody."""
    of = [sided(one) for one in standing.leading]
    changes = [_change(offered, side, values, standing, of) for values in offered.values]
    implied = shares(*([standing.moved(one, change) for one in standing.leading] for change in changes))
    if implied:
        yield Possible(
            kind=TEST,
            id=offered.key,
            side=side,
            positive=implied.positive,
            tell=partial(_tell, offered, side, standing),
            stands_for=frozenset(
                (line.about, sided(one))
                for change in changes
                for one in standing.leading
                for line in standing.said(one, change)
            ),
        )


def _change(
    offered: Offered, side: str, values: Mapping[str, Value], standing: Standing, of: Iterable[Sided]
) -> Change:
    """The lines of a result about some candidates."""
    case = standing.facts.case
    added = replace(case, findings={**case.findings, **{(key, side): one for key, one in values.items()}})
    facts = Facts(added, standing.facts.drawn)
    found = {
        one: [
            line
            for rule in offered.rules
            if one[:2] in rule.named
            for line in evidence_lines.of_rule(rule, facts, one, standing.own.get(one))
        ]
        for one in of
        if one[:2] in offered.speaks_of
    }
    if offered.about:
        keys = offered_tests.keys_about(offered.about)
        asked = frozenset(pair for pair in added.findings.items() if pair[0][0] in keys)
        told = _with_ratio(offered.about, asked, added.age)
        for one, line in evidence_nerves.lines_of(told, standing.fits, standing.drawn_on.keys()):
            if one in found:
                found[one].append(line)
    return Change(offered.changed, {one: tuple(lines) for one, lines in found.items() if lines})


@lru_cache(maxsize=1000)
def _with_ratio(
    about: str, findings: frozenset[tuple[tuple[str, str], Value]], age: int | None
) -> tuple[Cluster | Single, ...]:
    """What the ratios about one thing say of findings: asked anew for each test of each page, so kept."""
    case = Case(age, findings=dict(findings))
    return evidence_nerves.with_ratio(case, offered_tests.ratios_about(about))


@dataclass(frozen=True)
class _Saying:
    """A line that a result would give, and the leading candidates it is about."""

    line: Line
    about: tuple[Judged, ...]


def _tell(offered: Offered, side: str, standing: Standing) -> Told:
    of = list(standing.places)
    changes = [_change(offered, side, values, standing, of) for values in offered.values]
    sayings = [list(_sayings(change, standing)) for change in changes]
    strongest = max((one.line for found in sayings for one in found), key=lambda line: abs(line.weight))
    return Told(
        title=f"{offered.title}, {side}" if side else offered.title,
        why=tuple(_why(offered, sayings)),
        basis=PUBLISHED if _ratio(offered, strongest) else PRACTICE,
        source=strongest.source,
        status=strongest.status,
        results=tuple(Result(*one) for one in zip(offered.results, changes, strict=True)),
        caution=offered.caution,
    )


def _why(offered: Offered, sayings: Iterable[Sequence[_Saying]]) -> Iterator[str]:
    """What each result says, the one that says more first."""
    if offered.tests:
        yield next_file.load().words["tests"].format(tests=words.listed(list(offered.tests)))
    by_result = zip(("positive", "negative"), sayings, strict=True)
    for result, found in sorted(by_result, key=lambda pair: -_most(pair[1])):
        yield from (_words(offered, result, said) for said in found)


def _most(sayings: Iterable[_Saying]) -> float:
    return max((round(abs(said.line.weight), COMPARED) for said in sayings), default=0.0)


def _sayings(change: Change, standing: Standing) -> Iterator[_Saying]:
    """Each line once, with everybody it is about; those that weigh most first."""
    found: dict[tuple[str, str], tuple[Line, list[Judged]]] = {}
    for one in standing.leading:
        for line in standing.said(one, change):
            found.setdefault((line.rule, line.speaks), (line, []))[1].append(one)
    ordered = sorted(found.values(), key=lambda pair: -abs(pair[0].weight))
    return (_Saying(line, tuple(about)) for line, about in ordered)


def _words(offered: Offered, result: str, said: _Saying) -> str:
    """ "Positive: for C6 nerve root, published ratio 3.5. Speaks for cervical radiculopathy." """
    told = next_file.load().words
    ratio = _ratio(offered, said.line)
    figure = told["published"].format(ratio=f"{round(ratio, 2):g}") if ratio else told["practice"]
    results = dict(zip(("positive", "negative"), offered.results, strict=True))
    return told["result"].format(
        result=results[result],
        speaks=said.line.speaks,
        names=listed(said.about),
        figure=figure,
        words=_because(offered, result, said.line),
    )


def _because(offered: Offered, result: str, line: Line) -> str:
    """What the rule says, or what the paper says of the test alone; of a cluster the reading of its ratio."""
    single = offered.single
    if not _is_published(line) or not single:
        return line.words
    if line.rule.endswith(f":{single.id}") and result in single.says:
        return f"{words.sentence_case(single.says[result].format(it=single.about.name))}."
    return line.words


def _ratio(offered: Offered, line: Line) -> float | None:
    """The published ratio behind a line; None where its strength is common practice."""
    if _is_published(line):
        return math.exp(line.weight / evidence_rules.arithmetic().step)
    rule = next((one for one in offered.rules if one.id == line.rule), None)
    if rule is None:
        return None
    return rule.ratio if line.speaks == FOR else rule.ratio_against


def _is_published(line: Line) -> bool:
    return line.rule.startswith(f"{evidence_nerves.RATIO}:")

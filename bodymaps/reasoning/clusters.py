"""What tests with published likelihood ratios say of a case, alone and in clusters.

A cluster uses a printed ratio only when every number of positive items that is still possible falls in its
row: an item that was not tested is neither positive nor negative. Of the four tests for cervical
radiculopathy this means all four; of the five signs of the cord three positive ones are enough. Single tests
stand for themselves: they are never multiplied with each other (they go together), and not counted once a
cluster of the same side has a ratio.

The clinician's own estimate before the tests replaces that of the study; `whose` says which it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bodymaps import words
from bodymaps.reasoning import items, ratios, ratios_file
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.ratios import About, ClusterRule, Ratios, Row, SingleRule, Test
from bodymaps.reasoning.ratios import post_test as post_test

OWN_ESTIMATE = "your own estimate"
NO_ESTIMATE = "no estimate before the tests: only the ratio can be said"


@dataclass(frozen=True)
class Cluster:
    """A cluster of which at least one item was examined; `side` is "" for one without a side.

    `positive`, `negative`, `not_tested`: the items in words. `lr`: the printed ratio, None where none
    applies. `before`, `after`: likelihoods, 0 to 1, None where they cannot be said. `arithmetic` is a line
    to read, "" without an `after`. `about`: radiculopathy, myelopathy. `whose`: whose estimate `before` is.
    """

    id: str
    title: str
    side: str
    positive: tuple[str, ...]
    negative: tuple[str, ...]
    not_tested: tuple[str, ...]
    reading: str
    lr: float | None
    before: float | None
    after: float | None
    arithmetic: str
    population: str
    limits: tuple[str, ...]
    source: str
    status: str
    about: str
    whose: str


@dataclass(frozen=True)
class Single:
    """One test that was done: `result` is positive or negative. `lr` is None where no ratio is known; `after`
    is None, and `arithmetic` "", also when `counted` in a cluster with a ratio. `to_flags`: it points to the
    danger signs.
    """

    id: str
    title: str
    side: str
    result: str
    reading: str
    lr: float | None
    before: float | None
    after: float | None
    arithmetic: str
    counted: bool
    to_flags: bool
    population: str
    limits: tuple[str, ...]
    source: str
    status: str
    about: str
    whose: str


def of(case: Case, data: Ratios | None = None) -> tuple[Cluster, ...]:
    """Every cluster of which something was examined, each side by itself; age alone is no examination."""
    return tuple(
        _cluster(case, rule, side)
        for rule in (data or ratios_file.load()).clusters
        for side in (SIDES if rule.sided else ("",))
        if any(test.key and _state(case, test, side) is not None for test in rule.tests)
    )


def singles(case: Case, data: Ratios | None = None) -> tuple[Single, ...]:
    """Every single test that was done and says something, in the order of the data, right before left."""
    known = data or ratios_file.load()
    used = {(one.about, one.side) for one in of(case, known) if one.lr is not None}
    return tuple(_singles(case, known, used))


def before(case: Case, about: About) -> tuple[float | None, str]:
    """The likelihood before the tests (0 to 1, None when nobody gave one) and whose estimate it is."""
    own = case.finding(about.pretest, "")
    if isinstance(own, int | float):
        return own / 100, OWN_ESTIMATE
    return (about.default, about.whose) if about.default is not None else (None, NO_ESTIMATE)


def _cluster(case: Case, rule: ClusterRule, side: str) -> Cluster:
    states = [(test, _state(case, test, side)) for test in rule.tests]
    positive, negative = (
        tuple(_words(case, test, side) for test, state in states if state is wanted)
        for wanted in (True, False)
    )
    open_ = tuple(_open_words(case, test, side) for test, state in states if state is None)
    row = _row(rule, len(positive), len(open_))
    p, whose = before(case, rule.about)
    after, line = _after(p, row.lr if row else None)
    return Cluster(
        id=rule.id,
        title=rule.title,
        side=side,
        positive=positive,
        negative=negative,
        not_tested=open_,
        reading=_reading(rule, row, len(positive), open_, p, whose),
        lr=row.lr if row else None,
        before=p,
        after=after,
        arithmetic=line,
        population=rule.population,
        limits=(*(row.limits if row else ()), *rule.limits),
        source=rule.source,
        status=rule.status,
        about=rule.about.id,
        whose=whose,
    )


def _row(rule: ClusterRule, positive: int, open_: int) -> Row | None:
    """The row that holds every number of positives that is still possible."""
    return next((row for row in rule.rows if row.least <= positive and positive + open_ <= row.most), None)


def _reading(
    rule: ClusterRule, row: Row | None, positive: int, open_: tuple[str, ...], p: float | None, whose: str
) -> str:
    count = len(rule.tests)
    said = f"{'At least ' if open_ and positive else ''}{positive} of {count} positive"
    if row:
        speaks = row.says.format(it=rule.about.name)
        return f"{said}: {speaks} (ratio {row.lr:g}). {_before_words(p, whose)}"
    if not open_:
        return f"{said}. {rule.no_row}"
    possible = [
        f"{one.lr:g}" for one in rule.rows if one.least <= positive + len(open_) and positive <= one.most
    ]
    rest = f" Still possible: {words.listed(possible)}." if possible else ""
    return f"{said}, not tested: {words.listed(list(open_))}. No ratio until that is known.{rest}"


def _before_words(p: float | None, whose: str) -> str:
    if p is None:
        return f"{words.sentence_case(whose)}."
    return f"Before the tests {words.percent(p)}: {whose}."


def _after(p: float | None, lr: float | None) -> tuple[float | None, str]:
    if p is None or lr is None:
        return None, ""
    return post_test(p, lr), ratios.arithmetic(p, lr)


def _state(case: Case, test: Test, side: str) -> bool | None:
    """Positive, negative or, with None, not known. Without a side, one positive side is enough, and it takes
    both to be negative.
    """
    if test.age_above is not None:
        return None if case.age is None else case.age > test.age_above
    sides = (side,) if side or not items.findings().items[test.key].sided else SIDES
    found = [_positive(test, case.finding(test.key, one)) for one in sides]
    if True in found:
        return True
    return None if None in found else False


def _positive(test: Test, value: object) -> bool | None:
    if value is None or value == NOT_TESTED:
        return None
    if test.below is not None:
        return value < test.below if isinstance(value, int | float) else None
    return value in test.positive


def _words(case: Case, test: Test, side: str) -> str:
    if test.age_above is not None:
        return f"Age above {test.age_above}" + ("" if case.age is None else f": {case.age}")
    item = items.findings().items[test.key]
    sides = (side,) if side or not item.sided else SIDES
    said = [
        f"{item.words_for(value)}{'' if side or not one else f' {one}'}"
        for one in sides
        if (value := case.finding(item.key, one)) not in (None, NOT_TESTED)
    ]
    return f"{item.label}: {', '.join(said)}" if said else item.label


def _open_words(case: Case, test: Test, side: str) -> str:
    """An item that is not known, with the side that is missing where the other one was tested."""
    if test.age_above is not None:
        return f"Age above {test.age_above}"
    item = items.findings().items[test.key]
    missing = [one for one in SIDES if case.finding(item.key, one) in (None, NOT_TESTED)]
    return f"{item.label}, {missing[0]}" if not side and len(missing) == 1 else item.label


def _singles(case: Case, known: Ratios, used: set[tuple[str, str]]) -> Iterator[Single]:
    for rule in known.singles:
        for side in SIDES if items.findings().items[rule.test.key].sided else ("",):
            value = case.finding(rule.test.key, side)
            result = _result(rule, value)
            if result in rule.says:
                counted = bool({(rule.about.id, side), (rule.about.id, "")} & used)
                yield _single(case, rule, side, result, counted)


def _result(rule: SingleRule, value: object) -> str:
    state = _positive(rule.test, value)
    if state:
        return "positive"
    negative = state is False and (rule.test.below is not None or value in rule.negative)
    return "negative" if negative else ""


def _single(case: Case, rule: SingleRule, side: str, result: str, counted: bool) -> Single:
    lr = rule.lr.get(result)
    p, whose = before(case, rule.about)
    after, line = (None, "") if counted else _after(p, lr)
    says = words.sentence_case(rule.says[result].format(it=rule.about.name))
    said = f"{_words(case, rule.test, side)}. {says}"
    if lr is not None:
        said += f" (ratio {round(lr, 2):g})"
        said += ", counted in the cluster already" if counted else ""
    if result in rule.intervals:
        low, high = rule.intervals[result]
        said += f", 95 % interval {low:g} to {high:g}"
    return Single(
        id=rule.id,
        title=items.findings().items[rule.test.key].label,
        side=side,
        result=result,
        reading=f"{said}." if lr is None or counted else f"{said}. {_before_words(p, whose)}",
        lr=lr,
        before=p,
        after=after,
        arithmetic=line,
        counted=counted,
        to_flags=rule.to_flags and result == "positive",
        population=rule.population,
        limits=rule.limits,
        source=rule.source,
        status=rule.status,
        about=rule.about.id,
        whose=whose,
    )

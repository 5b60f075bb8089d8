"""Scores of outcome as measures, with the published change that a score has to pass."""

from collections.abc import Iterable, Sequence
from math import ceil

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcome_instruments import (
    ACTIVITIES,
    CHOICE,
    DETECTABLE,
    IMPORTANT,
    OF_HUNDRED,
    PERCENT,
    Rule,
)
from bodymaps.reasoning.outcomes import Change, Point, Series
from bodymaps.reasoning.outcomes_words import level_of, size_of
from charting.progress.measures import Judged, Least, Measure, Value

KINDS = {IMPORTANT: "Important change", DETECTABLE: "Detectable change"}


def measures_of(series: Iterable[Series]) -> tuple[Measure, ...]:
    return tuple(_measure(one) for one in series if one.points)


def _measure(one: Series) -> Measure:
    low, high = _ends(one)
    change = one.change if len(one.points) > 1 else None
    return Measure(
        key=one.id,
        title=one.label,
        unit=one.unit,
        low=low,
        high=high,
        better=one.better,
        values=tuple(_value(one, index) for index in range(len(one.points))),
        least=_least(change, high - low) if change else None,
        change=change.words if change else "",
        judged=_fitting(change) if change else (),
    )


def _ends(one: Series) -> tuple[float, float]:
    """Of the scale; where it has none, from nothing to the next ten."""
    values = [point.value for point in one.points]
    low = min(0.0, *values) if one.low is None else one.low
    return low, (max(10.0, ceil(max(values) / 10) * 10) if one.high is None else one.high)


def _value(one: Series, index: int) -> Value:
    point, first = one.points[index], one.points[0]
    return Value(point.visit_id, point.when, point.value, point.words, _since(one, first, point, index))


def _since(one: Series, first: Point, point: Point, index: int) -> str:
    """In points; "" for a mean of activities, which may be others each time, and a judgement of change."""
    way = outcomes.instruments()[_instrument(one.id)].way
    if not index or way in (ACTIVITIES, CHOICE):
        return ""
    apart = round(point.value - first.value, 1)
    return "as before" if not apart else f"{abs(apart):g} {'less' if apart < 0 else 'more'}"


def _least(change: Change, span: float) -> Least | None:
    """The largest detectable change that fits the part of the body, for only beyond it a change is real;
    without one the largest important change.
    """
    for kind in (DETECTABLE, IMPORTANT):
        rules = [each for each in change.judged if each.rule.kind == kind and each.rule.unit != PERCENT]
        chosen = [each.rule for each in rules if each.fits] or [each.rule for each in rules]
        if chosen:
            rule = max(chosen, key=lambda rule: _points(rule, span))
            size = _points(rule, span)
            away = f"{size:g} point{'' if size == 1 else 's'}"
            return Least(size, away, f"{_named(rule)}: {_cited(rule)}")
    return None


def _fitting(change: Change) -> tuple[Judged, ...]:
    """Every rule of a kind that fits the part of the body; where none of the kind does, all of it."""
    found: list[Judged] = []
    for kind in (DETECTABLE, IMPORTANT):
        rules = [each for each in change.judged if each.rule.kind == kind]
        fits = [each for each in rules if each.fits] or rules
        found += [_judged(each.rule, each.met, each.words) for each in fits]
    return tuple(found)


def _points(rule: Rule, span: float) -> float:
    return rule.size * span / 100 if rule.unit == OF_HUNDRED else rule.size


def _judged(rule: Rule, met: bool | None, words: str) -> Judged:
    kind, source = KINDS[rule.kind], _cited(rule)
    level = f"({level_of(rule)})" if rule.confidence else ""
    size = " ".join(filter(None, (rule.label, size_of(rule), level)))
    return Judged(_named(rule), met, f"{kind}, {words} ({source})", kind, size, source)


def _named(rule: Rule) -> str:
    level = f", {level_of(rule)}" if rule.confidence else ""
    return f"{KINDS[rule.kind]} {size_of(rule)}{level}"


def _cited(rule: Rule) -> str:
    return "; ".join(filter(None, (rule.source, rule.population, rule.status)))


def leading(measures: Sequence[Measure]) -> Measure | None:
    """The score that stands beside a treatment: the first of the list, which is how strong the pain is."""
    scored = [one for one in measures if _instrument(one.key) in outcomes.instruments()]
    return next((one for one in scored if one.is_course), scored[0] if scored else None)


def _instrument(key: str) -> str:
    """ "nprs" of "nprs.now"."""
    return key.split(".")[0]

"""Sizes, levels and differences of scores in words."""

from __future__ import annotations

from bodymaps.reasoning.outcome_instruments import PERCENT, POINTS, Rule
from bodymaps.reasoning.outcomes_score import number


def size_of(rule: Rule) -> str:
    """ "2 points", "1 to 1.75 points", "30 %" """
    span = f"{rule.size:g}" if rule.lower == rule.size else f"{rule.lower:g} to {rule.size:g}"
    unit = {PERCENT: "%", POINTS: "point" if span == "1" else "points"}.get(rule.unit, rule.unit)
    return f"{span} {unit}"


def level_of(rule: Rule) -> str:
    return "level not stated" if rule.confidence == "not stated" else rule.confidence


def difference(before: float, after: float, points: float, percent: float | None, direction: str) -> str:
    """ "7 to 5: 2 points less (28.6 %), better." """
    if points == 0:
        return f"{number(before)} as before."
    more = "more" if points > 0 else "less"
    share = "per cent n/a from 0" if percent is None else f"{abs(percent):.1f} %"
    much = number(abs(points))
    unit = "point" if much == "1" else "points"
    return f"{number(before)} to {number(after)}: {much} {unit} {more} ({share}), {direction}."

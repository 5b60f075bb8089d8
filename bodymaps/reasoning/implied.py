"""How often a result is expected with each candidate, from how much either result would move each of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bodymaps.reasoning import evidence_rules, next_file
from bodymaps.reasoning.gain import Pair, Shares

# A change of less is the rounding of a logarithm.
NOTHING = 1e-9
COMPARED = 9


@dataclass(frozen=True)
class Implied:
    """`positive`: P(positive | candidate). `chance`: how often it is positive where the finding says
    nothing.
    """

    positive: Shares
    chance: float


def shares(positive: Sequence[float], negative: Sequence[float]) -> Implied | None:
    """From what the lines of a positive and of a negative result add to each candidate; None when nothing
    moves, or both results say the same.

    The candidate that is moved most gives the pair of ratios, and so how often the result is positive where
    it says nothing (see gain.Pair). What is expected with another one follows from its own ratio and that.
    """
    step, numbers = evidence_rules.arithmetic().step, next_file.load().tests
    moved = [abs(up) + abs(down) for up, down in zip(positive, negative, strict=True)]
    if not moved or max(moved) < NOTHING:
        return None
    pairs = [
        Pair(math.exp(up / step), math.exp(down / step)) for up, down in zip(positive, negative, strict=True)
    ]
    most = max(range(len(moved)), key=lambda place: round(moved[place], COMPARED))
    pair = _telling(pairs[most], numbers.silent)
    if not pair.says_something:
        return None
    found = [
        pair.sensitivity if place == most else _share(one, pair.by_chance) for place, one in enumerate(pairs)
    ]
    surest = numbers.surest
    return Implied(tuple(min(surest, max(1 - surest, share)) for share in found), pair.by_chance)


def _telling(pair: Pair, silent: float) -> Pair:
    """The pair, a result that says nothing taken for saying nearly nothing. Where both results speak the same
    way, as the last test of a cluster does, what they have in common is left out: it is known by then.
    """
    positive, negative = pair.positive, pair.negative
    if not _is_one(positive) and not _is_one(negative) and (positive > 1) == (negative > 1):
        common = math.sqrt(positive * negative)
        return Pair(positive / common, negative / common)
    if _is_one(negative):
        negative = silent if positive > 1 else 1 / silent
    if _is_one(positive):
        positive = silent if negative > 1 else 1 / silent
    return Pair(positive, negative)


def _share(one: Pair, chance: float) -> float:
    if not _is_one(one.positive):
        return one.positive * chance
    return 1 - one.negative * (1 - chance)


def _is_one(ratio: float) -> bool:
    return abs(math.log(ratio)) < NOTHING

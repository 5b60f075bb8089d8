"""How much a finding is expected to tell about which of some candidates it is.

Candidates weigh exp(total / step) each, together 1, where a published likelihood ratio adds step x ln(ratio)
to a total (McGee S, J Gen Intern Med 2002;17:646-9): so a ratio multiplies the odds of a candidate exactly.
The weights choose the next finding and are shown to nobody as a likelihood.

The gain of a finding that is positive or negative is the mutual information of outcome and candidate in bits
(Shannon CE, Bell Syst Tech J 1948;27:379-423), H the entropy:

    gain = H(sum of weight x P(positive | candidate)) - sum of weight x H(P(positive | candidate))

Several findings are taken to be independent of each other once the candidate is known. Then each tells at
most what it told alone, whatever is chosen before it: the best of the rest is found without trying them all.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

# Shares in the order of the candidates.
Shares = tuple[float, ...]


def weights(totals: Sequence[float], step: float) -> Shares:
    """exp(total / step) of each, together 1; () of none."""
    if not totals:
        return ()
    most = max(totals)
    found = [math.exp((total - most) / step) for total in totals]
    return tuple(one / sum(found) for one in found)


def kept_below(weighed: Shares, most: float) -> Shares:
    """The same with the greatest taken down to `most`, the others raised in proportion; one alone stays 1.

    >>> kept_below((0.9, 0.06, 0.04), 0.8)
    (0.8, 0.12, 0.08)
    """
    top = max(weighed, default=0.0)
    if len(weighed) < 2 or top <= most:
        return weighed
    leader, rest = weighed.index(top), 1 - top
    return tuple(
        most if place == leader else round(one * (1 - most) / rest, 12) for place, one in enumerate(weighed)
    )


def entropy(share: float) -> float:
    """Of an outcome that comes with this share (0..1), in bits.

    >>> entropy(0.5), entropy(1.0)
    (1.0, 0.0)
    """
    if not 0 < share < 1:
        return 0.0
    return -share * math.log2(share) - (1 - share) * math.log2(1 - share)


@dataclass(frozen=True)
class Pair:
    """What a positive and a negative result multiply the odds by."""

    positive: float
    negative: float

    @property
    def sensitivity(self) -> float:
        """LR+ (1 - LR-) / (LR+ - LR-). Of 3.5 and 0.58 (Wainner 2003, Spurling A; printed 0.50): 0.503.

        >>> round(Pair(3.5, 0.58).sensitivity, 3)
        0.503
        """
        return self.positive * self.by_chance

    @property
    def by_chance(self) -> float:
        """One minus specificity: how often the result is positive where it says nothing.

        >>> round(1 - Pair(3.5, 0.58).by_chance, 3)
        0.856
        """
        return (1 - self.negative) / (self.positive - self.negative)

    @property
    def says_something(self) -> bool:
        """Whether there are shares of results that give these ratios: one above 1 and the other below."""
        return (self.positive - 1) * (self.negative - 1) < 0


def gain(weighed: Shares, positive: Shares) -> float:
    """The mutual information, in bits, never below 0. `positive`: P(positive | candidate)."""
    together = sum(weight * share for weight, share in zip(weighed, positive, strict=True))
    left = sum(weight * entropy(share) for weight, share in zip(weighed, positive, strict=True))
    return max(0.0, entropy(together) - left)


def after(weighed: Shares, positive: Shares, outcome: bool) -> tuple[float, Shares]:
    """How often an outcome is expected, and the weights when it came."""
    joint = [
        weight * (share if outcome else 1 - share) for weight, share in zip(weighed, positive, strict=True)
    ]
    share = sum(joint)
    return share, tuple(one / share for one in joint) if share > 0 else weighed


@dataclass(frozen=True)
class Chosen:
    """A finding by its place in the list it was chosen from; `gain` in bits beside those chosen before it."""

    place: int
    gain: float


def choose(
    weighed: Shares,
    findings: Sequence[Shares],
    most: int,
    least: float,
    beside: Callable[[int, Sequence[int]], bool] = lambda place, chosen: True,
) -> tuple[Chosen, ...]:
    """The best finding, the best one beside it, and so on: up to `most`, each worth `least` bits or more.

    `beside` says of a finding and of those chosen whether it may stand beside them. Ties: as in the list.
    """
    states: list[tuple[float, Shares]] = [(1.0, weighed)]
    waiting = [(-gain(weighed, one), place, 0) for place, one in enumerate(findings)]
    heapq.heapify(waiting)
    chosen: list[Chosen] = []
    while waiting and len(chosen) < most:
        worth, place, known = heapq.heappop(waiting)
        if -worth < least:
            break
        if not beside(place, [one.place for one in chosen]):
            continue
        if known < len(chosen):
            heapq.heappush(waiting, (-_expected(states, findings[place]), place, len(chosen)))
            continue
        chosen.append(Chosen(place, -worth))
        states = list(_split(states, findings[place]))
    return tuple(chosen)


def _expected(states: Iterable[tuple[float, Shares]], positive: Shares) -> float:
    return sum(share * gain(weighed, positive) for share, weighed in states)


def _split(states: Iterable[tuple[float, Shares]], positive: Shares) -> Iterable[tuple[float, Shares]]:
    for share, weighed in states:
        for outcome in (True, False):
            often, then = after(weighed, positive, outcome)
            yield share * often, then

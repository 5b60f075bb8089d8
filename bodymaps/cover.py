"""The smallest set of sources that explains a drawing: which few patterns together cover most of it.

A weighted maximum-coverage problem. Picking greedily is not enough (Nemhauser GL, Wolsey LA, Fisher ML, Math
Program 1978;14:265-294: it may miss up to a third of the best value for three sets), so every set that could
win is looked at, by branch and bound: a branch is left when even its best additions, counted without
overlap, cannot reach what is needed.

The order of preference, fixed:
1. a set that covers at least `share` of the weight before one that does not;
2. among those that do: fewer sources, then the higher sum of scores, then ids (id, side) in their order;
3. when none does: the greater weight covered, then as in 2.
So a score decides between sets of equal size only and never makes a larger one win.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite
from time import monotonic

# Weights are counted in whole parts, this many to the total: sums are then exact whatever their order. Each
# atom is off by at most half a part, 400 atoms together by at most 0.02 % of the total.
PARTS = 2**20
# Scores are compared to nine digits, as a ranking is ordered.
SCORE_PARTS = 10**9
# Sources kept after those that another makes needless are gone. 300 that lie like patterns take 10 ms; the
# time alone would do, but a search that cannot end says so sooner.
SHORTLIST = 300
# Steps between two looks at the clock.
STEPS = 64

Key = tuple[str, str, int]


@dataclass(frozen=True)
class Source:
    """What may explain pain: score 0..1, and the atoms it covers (bit i stands for atom i)."""

    id: str
    side: str
    score: float
    covers: int

    @property
    def key(self) -> Key:
        return (self.id, self.side, self.covers)


@dataclass(frozen=True)
class Cover:
    """`chosen`, the one that explains most first, and in `adds` the atoms each explains beyond those before
    it. `share` of the weight explained (0..1), `left` the atoms that stay open. `pruned`: the search had to
    be cut, so a better set may exist.
    """

    chosen: tuple[Source, ...]
    adds: tuple[int, ...]
    share: float
    left: int
    pruned: bool


def smallest(
    weights: Sequence[float],
    sources: Sequence[Source],
    *,
    most: int = 4,
    share: float = 0.9,
    seconds: float = 1.0,
) -> Cover:
    """The set of 1 to `most` sources preferred by the order above; nothing to cover, or nothing that covers
    any of it, is no set. Raises ValueError for a weight that is negative or no number, and for an atom
    without weight.

    The time is the one thing that may change a result: only one that says it is pruned.
    """
    _check(weights, sources)
    scale = _Scale(weights)
    found, cut = _shortlist(sources, scale)
    search = _Search(scale, found, monotonic() + seconds)
    chosen = search.best(most, scale.needed(share)) if found else ()
    return _cover(chosen, weights, scale, cut or search.late)


def _check(weights: Sequence[float], sources: Iterable[Source]) -> None:
    for place, weight in enumerate(weights):
        if not (isfinite(weight) and weight >= 0):
            raise ValueError(f"The weight of atom {place} is {weight}: it must be 0 or more.")
    for one in sources:
        if one.covers < 0 or one.covers >> len(weights):
            raise ValueError(f"{one.id} ({one.side}) covers atoms that have no weight.")


class _Scale:
    """Weights as whole numbers, held as bit planes so that a set of atoms is weighed by counting bits."""

    def __init__(self, weights: Sequence[float]) -> None:
        total = sum(weights)
        whole = all(float(weight).is_integer() for weight in weights) and total <= PARTS
        factor = 1.0 if whole or not total else PARTS / total
        parts = [round(weight * factor) for weight in weights]
        self.total = sum(parts)
        self.planes = []
        for bit in range(max(parts, default=0).bit_length()):
            plane = sum(1 << place for place, part in enumerate(parts) if part >> bit & 1)
            self.planes.append((plane, 1 << bit))

    def weigh(self, atoms: int) -> int:
        return sum((atoms & plane).bit_count() * worth for plane, worth in self.planes)

    def needed(self, share: float) -> int:
        """Parts that make up `share`; half a part of rounding is forgiven, so that 9 of 10 are 90 %."""
        exact = share * self.total
        return min(self.total, max(1, round(exact) if abs(exact - round(exact)) < 1e-6 else int(exact) + 1))


@dataclass(frozen=True)
class _One:
    """A source in the search: its score in whole parts."""

    source: Source
    covers: int
    score: int
    key: Key


def _shortlist(sources: Sequence[Source], scale: _Scale) -> tuple[list[_One], bool]:
    """The sources that may be in the best set, and whether more than the shortlist holds were left out."""
    ones = [_One(one, one.covers, round(one.score * SCORE_PARTS), one.key) for one in sources if one.covers]
    ones = [one for one in ones if scale.weigh(one.covers)]
    kept: list[_One] = []
    # A needless one comes after the one that makes it so: more weight first, then better score, then id.
    for one in sorted(ones, key=lambda one: (-scale.weigh(one.covers), -one.score, one.key)):
        if not any(_needless(one, other) for other in kept):
            kept.append(one)
    return kept[:SHORTLIST], len(kept) > SHORTLIST


def _needless(one: _One, other: _One) -> bool:
    """True when `other` covers all that `one` does with at least its score, first by id among equals.

    In any set `one` can then be replaced by `other`, or left out where `other` is in already.
    """
    if one.covers & ~other.covers or one.score > other.score:
        return False
    return one.score < other.score or other.key < one.key


class _Search:
    """Branch and bound over one shortlist until a deadline (of the monotonic clock)."""

    def __init__(self, scale: _Scale, ones: Sequence[_One], deadline: float) -> None:
        self.weigh, self.ones, self.deadline = scale.weigh, ones, deadline
        self.late, self._steps = False, 0

    def best(self, most: int, needed: int) -> tuple[_One, ...]:
        """The preferred set. When time runs out, the best seen so far."""
        known = self._widest(most, needed, self._greedily(most, needed))
        return self._smallest(most, min(needed, self.weigh(_all(known)))) or known

    def _greedily(self, most: int, needed: int) -> tuple[_One, ...]:
        chosen: list[_One] = []
        while len(chosen) < most and self.weigh(_all(chosen)) < needed:
            open_ = ~_all(chosen)
            one = max(self.ones, key=lambda one: (self.weigh(one.covers & open_), one.score))
            if not self.weigh(one.covers & open_):
                break
            chosen.append(one)
        return tuple(chosen)

    def _smallest(self, most: int, needed: int) -> tuple[_One, ...] | None:
        """The fewest that cover `needed`, best by score and ids; None when time is up before one is found."""
        for size in range(1, most + 1):
            best = _Best(needed)
            self._reach(best, (), 0, self.ones, size)
            if best.chosen or self.late:
                return best.chosen or None
        return None

    def _reach(
        self, best: _Best, chosen: tuple[_One, ...], atoms: int, ones: Sequence[_One], left: int
    ) -> None:
        """Every way to add `left` of `ones` that reaches what is needed and may beat the best so far."""
        lacking = best.needed - self.weigh(atoms)
        least = best.least_score(chosen, ones, left)
        gains = self._gains(atoms, [one for one in ones if one.score >= least])
        for place, (gain, one) in enumerate(gains):
            if sum(more for more, _ in gains[place : place + left]) < lacking or self._is_late():
                return
            if left == 1:
                best.offer((*chosen, one))
                continue
            rest = _still_worth(gains[place + 1 :], lacking - gain, left - 1)
            if len(rest) >= left - 1 and not best.closed((*chosen, one), rest, left - 1):
                self._reach(best, (*chosen, one), atoms | one.covers, rest, left - 1)

    def _widest(self, most: int, enough: int, known: tuple[_One, ...]) -> tuple[_One, ...]:
        """A set of at most `most` that covers `enough`, or else the greatest weight, from `known` on."""
        best = [self.weigh(_all(known))]
        found = [known]

        def look(chosen: tuple[_One, ...], atoms: int, weight: int, ones: Sequence[_One], left: int) -> None:
            gains = self._gains(atoms, ones)
            for place, (gain, one) in enumerate(gains):
                most_more = sum(more for more, _ in gains[place : place + left])
                if best[0] >= enough or weight + most_more <= best[0] or self._is_late():
                    return
                if weight + gain > best[0]:
                    best[0], found[0] = weight + gain, (*chosen, one)
                if left > 1:
                    rest = _still_worth(gains[place + 1 :], best[0] + 1 - weight - gain, left - 1)
                    look((*chosen, one), atoms | one.covers, weight + gain, rest, left - 1)

        look((), 0, 0, self.ones, most)
        return found[0]

    def _gains(self, atoms: int, ones: Iterable[_One]) -> list[tuple[int, _One]]:
        """What each would add, the most first; those that add nothing are left out."""
        weighed = ((self.weigh(one.covers & ~atoms), one) for one in ones)
        return sorted((pair for pair in weighed if pair[0]), key=lambda pair: -pair[0])

    def _is_late(self) -> bool:
        self._steps += 1
        if self._steps % STEPS == 0 and monotonic() > self.deadline:
            self.late = True
        return self.late


class _Best:
    """The best set of one size so far: highest sum of scores, then ids."""

    def __init__(self, needed: int) -> None:
        self.needed = needed
        self.chosen: tuple[_One, ...] = ()
        self._score = 0
        self._keys: list[Key] = []

    def offer(self, chosen: tuple[_One, ...]) -> None:
        score, keys = sum(one.score for one in chosen), sorted(one.key for one in chosen)
        if not self.chosen or (-score, keys) < (-self._score, self._keys):
            self.chosen, self._score, self._keys = chosen, score, keys

    def least_score(self, chosen: Sequence[_One], ones: Sequence[_One], left: int) -> int:
        """What each of `left` more of `ones` must score for the set to come up to the best."""
        if not self.chosen:
            return min(one.score for one in ones)
        return self._score - sum(one.score for one in chosen) - sum(_highest(ones, left - 1))

    def closed(self, chosen: Sequence[_One], ones: Sequence[_One], left: int) -> bool:
        """True when `left` more of `ones` cannot beat the best, by score or, at the same score, by ids."""
        if not self.chosen:
            return False
        score = sum(one.score for one in chosen) + sum(_highest(ones, left))
        if score != self._score:
            return score < self._score
        first = sorted(one.key for one in ones)[:left]
        return sorted([*(one.key for one in chosen), *first]) >= self._keys


def _still_worth(gains: Sequence[tuple[int, _One]], lacking: int, left: int) -> list[_One]:
    """Those of `gains` (most first) that can be among `left` more which together add what is lacking."""
    least = lacking - sum(gain for gain, _ in gains[: left - 1])
    return [one for gain, one in gains if gain >= least]


def _highest(ones: Iterable[_One], count: int) -> list[int]:
    return sorted((one.score for one in ones), reverse=True)[:count]


def _all(ones: Iterable[_One]) -> int:
    atoms = 0
    for one in ones:
        atoms |= one.covers
    return atoms


def _cover(chosen: Iterable[_One], weights: Sequence[float], scale: _Scale, pruned: bool) -> Cover:
    """The set in the order of what each adds to those before it."""
    left, open_, ordered, adds = (1 << len(weights)) - 1, list(chosen), [], []
    while open_:
        one = min(open_, key=lambda one: (-scale.weigh(one.covers & left), -one.score, one.key))
        open_.remove(one)
        ordered.append(one.source)
        adds.append(one.covers & left)
        left &= ~one.covers
    explained = sum(weights[place] for place in _bits(((1 << len(weights)) - 1) & ~left))
    total = sum(weights)
    return Cover(tuple(ordered), tuple(adds), explained / total if total else 0.0, left, pruned)


def _bits(atoms: int) -> Iterator[int]:
    place = 0
    while atoms >> place:
        if atoms >> place & 1:
            yield place
        place += 1

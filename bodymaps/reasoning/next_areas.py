"""What of its pattern a muscle shares with another one, and the places that only one of them reaches."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from bodymaps import matching, skin, words
from bodymaps.atlas import ALL_SITES, Atlas
from bodymaps.candidates import KINDS_OF_ZONE, NEAR, PATTERN, SPILLOVER, Index
from bodymaps.grid import Cells, Mask, Weights
from bodymaps.matching import Held
from bodymaps.reasoning.own_areas import Sided

Place = tuple[str, float]
# mm² below which nothing is divided by.
NOTHING = 1e-9


@dataclass(frozen=True, eq=False)
class Pattern:
    """The cells of one pattern, in order, and what each says: 1 in the core, less in the spillover, times the
    weight of its place. `at`: where it is pressed, by view, mm.
    """

    site: str
    cells: Cells
    weight: Weights
    at: tuple[tuple[str, float, float], ...]

    @cached_property
    def size(self) -> float:
        return float(self.weight.sum())


@dataclass(frozen=True, eq=False)
class Areas:
    """The patterns of some muscles, each as the site, or all of the sites, that fits the drawing best."""

    index: Index
    patterns: Mapping[Sided, Pattern]

    @cached_property
    def site(self) -> Mapping[Sided, str]:
        """By muscle; "" for all of its sites."""
        return {one: "" if found.site == ALL_SITES else found.site for one, found in self.patterns.items()}

    def share(self, of: Sided, shared_with: Sided) -> float:
        """Which share (0..1) of a muscle's pattern another muscle refers to as well."""
        size = self.patterns[of].size
        return self._shares.get((of, shared_with), 0.0) / size if size else 0.0

    def apart_mm(self, one: Sided, other: Sided) -> float:
        """How far their nearest sites lie apart; infinite on opposite sides, or where no view shows both."""
        if one[2] != other[2]:
            return math.inf
        return min(
            (
                math.dist(here[1:], there[1:])
                for here in self.patterns[one].at
                for there in self.patterns[other].at
                if here[0] == there[0]
            ),
            default=math.inf,
        )

    def only(self, of: Sided, without: Sided, least: float) -> tuple[Place, ...]:
        """Places of a muscle's pattern that another hardly reaches, in words, with their share of the pattern
        (from `least` on), largest first.
        """
        mine, other = self.patterns[of], self.patterns[without]
        dense = self._dense(other)
        whole = np.bincount(self.index.grid.patch[mine.cells], mine.weight) / max(mine.size, NOTHING)
        both = np.minimum(mine.weight, dense[mine.cells])
        shared = np.bincount(self.index.grid.patch[mine.cells], both) / max(mine.size, NOTHING)
        alone = whole - shared
        told = np.flatnonzero((alone >= least) & (alone > shared))
        order = sorted(told.tolist(), key=lambda patch: (-round(float(alone[patch]), 6), patch))
        return tuple((words.patch(self.index.skin.patches[one]), float(alone[one])) for one in order)

    @cached_property
    def _shares(self) -> Mapping[tuple[Sided, Sided], float]:
        """What every two of the patterns share, both orders: over their cells the smaller of both weights."""
        found = {}
        patterns = list(self.patterns.items())
        for place, (one, mine) in enumerate(patterns):
            dense = self._dense(mine)
            for other, theirs in patterns[place:]:
                shared = float(np.minimum(theirs.weight, dense[theirs.cells]).sum())
                found[one, other] = found[other, one] = shared
        return found

    def _dense(self, pattern: Pattern) -> Weights:
        dense = np.zeros(self.index.grid.size)
        dense[pattern.cells] = pattern.weight
        return dense


def of(held: Held, muscles: Sequence[Sided]) -> Areas:
    """The patterns of muscles beside a ranking. Some milliseconds."""
    index, best = held.whole.index, _best(held)
    number = {one: best[one] if one in best else _all_sites(index, one) for one in muscles}
    return Areas(index, {one: _pattern(index, number[one], held.atlas) for one in muscles})


def _best(held: Held) -> Mapping[Sided, int]:
    """By muscle the number of its candidate that fits best."""
    found = ((held.whole.one(number), number) for number in held.whole.best(PATTERN))
    return {("muscle", one.id, one.side): number for one, number in found}


def _all_sites(index: Index, one: Sided) -> int:
    """The candidate of a muscle that nothing drawn touches: all of its sites, which come last."""
    return max(
        number
        for number, each in enumerate(index.candidates)
        if (each.layer, each.id, each.side) == (PATTERN, *one[1:])
    )


def _pattern(index: Index, number: int, atlas: Atlas) -> Pattern:
    known, one = _by_candidate(index), index.candidates[number]
    start, end = known.starts[number], known.starts[number + 1]
    cells = known.cells[start:end]
    zone = np.where(known.spillover[start:end], matching.parameters().spillover_drawn, 1.0)
    sites = [each for each in atlas.muscles[one.id].sites if one.site in (each.id, ALL_SITES)]
    at = tuple((each.at.view, each.at.x, each.at.y) for each in sites)
    return Pattern(one.site, cells, zone * index.density[cells], at)


@dataclass(frozen=True, eq=False)
class _ByCandidate:
    """The index the other way round: `cells[starts[n]:starts[n + 1]]` are those of candidate n, in order."""

    starts: npt.NDArray[np.int64]
    cells: Cells
    spillover: Mask


@lru_cache(maxsize=4)
def _by_candidate(index: Index) -> _ByCandidate:
    """Some tenths of a second, once for each atlas."""
    cell = np.repeat(np.arange(index.grid.size, dtype=np.int32), np.diff(index.starts))
    number, zone = np.divmod(index.entries, KINDS_OF_ZONE)
    inside = (zone != NEAR) & _patterns(index)[number]
    number, zone, cell = number[inside], zone[inside], cell[inside]
    order = np.argsort(number, kind="stable")
    starts = np.searchsorted(number[order], np.arange(len(index.candidates) + 1))
    return _ByCandidate(starts, cell[order], zone[order] == SPILLOVER)


def _patterns(index: Index) -> Mask:
    return np.array([one.layer == PATTERN for one in index.candidates], np.bool_)


def warm_up(atlas: Atlas) -> None:
    """Turn the index of an atlas round, so that nobody waits for it."""
    _by_candidate(matching.index(atlas, skin.load()))

"""What of its pattern a muscle shares with another one, and the places that only one of them reaches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from bodymaps import matching, skin, words
from bodymaps.atlas import ALL_SITES, Atlas
from bodymaps.candidates import KINDS_OF_ZONE, NEAR, PATTERN, SPILLOVER, Index
from bodymaps.grid import Cells, Mask, Weights
from bodymaps.matching import Held, parameters
from bodymaps.reasoning.own_areas import Sided

Place = tuple[str, float]


@dataclass(frozen=True, eq=False)
class Pattern:
    """The cells of one pattern, in order, and what each says: 1 in the core, less in the spillover, times the
    weight of its place.
    """

    cells: Cells
    weight: Weights

    @property
    def size(self) -> float:
        return float(self.weight.sum())


@dataclass(frozen=True, eq=False)
class Areas:
    """The patterns of some muscles, as their best fitting site or all of their sites. `site` by muscle: ""
    for all of them.
    """

    index: Index
    patterns: Mapping[Sided, Pattern]
    site: Mapping[Sided, str]

    def share(self, of: Sided, shared_with: Sided) -> float:
        """Which share (0..1) of a muscle's pattern another muscle refers to as well."""
        mine = self.patterns[of]
        return float(self._shared(of, shared_with).sum()) / mine.size if mine.size else 0.0

    def only(self, of: Sided, without: Sided, least: float) -> tuple[Place, ...]:
        """Places of a muscle's pattern that another does not reach, in words, with their share of the pattern
        (from `least` on), largest first.
        """
        mine = self.patterns[of]
        alone = mine.weight - self._shared(of, without)
        patch = self.index.grid.patch[mine.cells]
        by_patch = np.bincount(patch, alone) / max(mine.size, 1e-9)
        whole = np.bincount(patch, mine.weight) / max(mine.size, 1e-9)
        told = np.flatnonzero((by_patch >= least) & (by_patch > whole / 2))
        order = sorted(told.tolist(), key=lambda number: (-round(float(by_patch[number]), 6), number))
        return tuple((words.patch(self.index.skin.patches[one]), float(by_patch[one])) for one in order)

    def _shared(self, of: Sided, shared_with: Sided) -> Weights:
        """For every cell of a pattern the smaller of both weights."""
        mine, other = self.patterns[of], self.patterns[shared_with]
        at = np.searchsorted(other.cells, mine.cells)
        at[at == len(other.cells)] = 0
        there = other.cells[at] == mine.cells if len(other.cells) else np.zeros(len(mine.cells), np.bool_)
        found: Weights = np.where(there, np.minimum(mine.weight, other.weight[at]), 0.0)
        return found


def of(held: Held, muscles: Sequence[Sided]) -> Areas:
    """The patterns of muscles, each as the site (or all of them) that fits the drawing best."""
    index = held.whole.index
    numbers = {one: _number(held, one) for one in muscles}
    known = _by_candidate(index)
    sites = {one: index.candidates[number].site for one, number in numbers.items()}
    return Areas(
        index=index,
        patterns={one: _pattern(index, known, number) for one, number in numbers.items()},
        site={one: "" if site == ALL_SITES else site for one, site in sites.items()},
    )


def _number(held: Held, one: Sided) -> int:
    """The best fitting candidate of the index; of a muscle that fits nowhere all of its sites."""
    best = {
        (held.whole.one(number).id, held.whole.one(number).side): number
        for number in held.whole.best(PATTERN)
    }
    if one[1:] in best:
        return best[one[1:]]
    of_muscle = [
        number
        for number, each in enumerate(held.whole.index.candidates)
        if (each.layer, each.id, each.side) == (PATTERN, *one[1:])
    ]
    return of_muscle[-1]


def _pattern(index: Index, known: _ByCandidate, number: int) -> Pattern:
    start, end = known.starts[number], known.starts[number + 1]
    cells = known.cells[start:end]
    zone = np.where(known.spillover[start:end], parameters().spillover_drawn, 1.0)
    return Pattern(cells, zone * index.density[cells])


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

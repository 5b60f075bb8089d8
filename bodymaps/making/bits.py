"""The other way to count: every zone of every pattern as packed bits on the same cells of 2 mm.

For the bench. Bits stand by patch of skin, each patch from a byte of its own, so that the shared cells of a
patch are one run of bytes. Gives the scores of `counted.count` for drawings of one kind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodymaps import kinds, matching, overlap
from bodymaps.candidates import CORE, KINDS_OF_ZONE, NEAR, SPILLOVER, Index
from bodymaps.grid import CELL_MM2, Cells, Weights
from bodymaps.marks import Mark

Bits = npt.NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Masks:
    """`bits`: zones (candidate and zone) x bytes. `place`: the bit of each cell. `starts`: the first byte of
    each patch, `density` its weight of a mm².
    """

    index: Index
    bits: Bits
    place: Cells
    starts: npt.NDArray[np.int64]
    density: Weights

    def scores(self, marks: list[Mark]) -> Weights:
        """The score of every candidate; all marks of the kind of the first."""
        cells = self.index.grid.cells({mark.view: mark.area for mark in marks})
        drawn = np.zeros(8 * self.bits.shape[1], np.bool_)
        drawn[self.place[cells]] = True
        packed, weight = np.packbits(drawn), kinds.kind(marks[0].kind).weight
        # Only the bytes that hold some of the drawing.
        used = np.flatnonzero(packed)
        counts = np.bitwise_count(self.bits[:, used] & packed[used])
        patch = np.searchsorted(self.starts, used, side="right") - 1
        firsts = np.flatnonzero(np.diff(patch, prepend=-1))
        by_patch = np.add.reduceat(counts, firsts, axis=1, dtype=np.int32)
        dense = CELL_MM2 * self.density[patch[firsts]]
        shared = (by_patch @ dense).reshape(-1, KINDS_OF_ZONE)
        sizes = self.index.sizes
        return overlap.graded(
            matching.parameters().costs,
            drawn=weight * CELL_MM2 * float(self.index.density[cells].sum()),
            core_drawn=weight * shared[:, CORE],
            spillover_drawn=weight * shared[:, SPILLOVER],
            near_drawn=weight * shared[:, NEAR],
            core_missing=np.maximum(sizes.weighted_core - shared[:, CORE], 0.0),
            spillover_missing=np.maximum(sizes.weighted_spillover - shared[:, SPILLOVER], 0.0),
        )


def masks(index: Index) -> Masks:
    """The zones of an index as bits."""
    patch = index.grid.patch
    order = np.argsort(patch, kind="stable")
    counts = np.bincount(patch, minlength=index.grid.patches)
    widths = (counts + 7) // 8
    starts = np.cumsum(widths) - widths
    place = np.empty(len(patch), np.int32)
    rank = np.arange(len(patch)) - np.repeat(np.cumsum(counts) - counts, counts)
    place[order] = 8 * starts[patch[order]] + rank
    density = np.zeros(index.grid.patches)
    density[patch] = index.density
    cell = np.repeat(np.arange(index.grid.size), np.diff(index.starts))
    by_zone = np.argsort(index.entries, kind="stable")
    zones = KINDS_OF_ZONE * len(index.candidates)
    ends = np.searchsorted(index.entries[by_zone], np.arange(zones + 1))
    bits = np.zeros((zones, int(widths.sum())), np.uint8)
    for zone in range(zones):
        held = np.zeros(8 * bits.shape[1], np.bool_)
        held[place[cell[by_zone[ends[zone] : ends[zone + 1]]]]] = True
        bits[zone] = np.packbits(held)
    return Masks(index, bits, place, starts, density)

"""A drawing as cells of skin, and what it shares with every pattern of an atlas.

An area drawn with several kinds counts once, with the highest of their weights.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from bodymaps import kinds, overlap
from bodymaps.candidates import CORE, KINDS_OF_ZONE, NEAR, SPILLOVER, Candidate, Index
from bodymaps.grid import CELL_MM2, Cells, Grid, Mask, Weights
from bodymaps.marks import Mark
from bodymaps.overlap import Costs

# Decimals of the printed scores and shares. A score that would be printed as nothing is nothing.
DIGITS = 4
# Decimals to which scores and shares are compared.
COMPARED = 9


@dataclass(frozen=True, eq=False)
class Drawing:
    """The skin cells that are drawn, in order, and how much each says by its kind (0..1]."""

    cells: Cells
    weight: Weights
    patch: Cells

    @staticmethod
    def of(marks: Sequence[Mark], grid: Grid) -> Drawing:
        weight = np.zeros(grid.size)
        for mark in sorted(marks, key=lambda mark: kinds.kind(mark.kind).weight):
            weight[grid.cells({mark.view: mark.area})] = kinds.kind(mark.kind).weight
        cells = np.flatnonzero(weight).astype(np.int32)
        return Drawing(cells, weight[cells], grid.patch[cells])

    @property
    def mm2(self) -> float:
        return CELL_MM2 * len(self.cells)

    @cached_property
    def by_patch(self) -> dict[int, float]:
        """mm² by patch of skin."""
        counts = np.bincount(self.patch)
        return {int(patch): CELL_MM2 * float(counts[patch]) for patch in np.flatnonzero(counts)}


@dataclass(frozen=True, eq=False)
class Counted:
    """What a drawing shares with every candidate of the index; arrays have one number for each. `fits`: the
    score of the pattern against the part of the drawing inside it, as if nothing else were drawn.
    """

    drawing: Drawing
    index: Index
    scores: Weights
    fits: Weights
    explained: Weights
    coverage: Weights
    entries: Cells
    places: npt.NDArray[np.int64]

    def best(self, layer: str) -> list[int]:
        """The candidates of a layer that score, best first: one for each pattern and side, of its sites or
        their union the one that fits best. Score, then core covered, then drawing explained, then the order
        of the atlas, right before left.
        """
        found: dict[tuple[str, str], int] = {}
        for number in self._order:
            one = self.index.candidates[number]
            if one.layer == layer:
                found.setdefault((one.id, one.side), int(number))
        return list(found.values())

    def scoring(self, layer: str) -> list[int]:
        """Every candidate of a layer that scores, sites and unions alike, best first."""
        return [number for number in self._order if self.one(number).layer == layer]

    @cached_property
    def _order(self) -> list[int]:
        keys = [np.round(values, COMPARED) for values in (self.scores, self.coverage, self.explained)]
        order = np.lexsort((-keys[2], -keys[1], -keys[0]))
        return list(order[np.round(self.scores[order], DIGITS) > 0].tolist())

    def one(self, number: int) -> Candidate:
        return self.index.candidates[number]

    def covered(self, numbers: Sequence[int]) -> Mask:
        """Which drawn cells lie inside each of the patterns: an array of patterns x drawn cells."""
        rows, places = self._inside(numbers)
        inside = np.zeros((len(numbers), len(self.drawing.cells)), np.bool_)
        inside[rows, places] = True
        return inside

    def left_by_patch(self, numbers: Sequence[int]) -> Weights:
        """mm² each of the patterns leaves unexplained in each patch: an array of patterns x patches."""
        patches = int(self.drawing.patch.max()) + 1
        rows, places = self._inside(numbers)
        key = rows * patches + self.drawing.patch[places]
        inside = np.bincount(key, minlength=len(numbers) * patches).reshape(len(numbers), patches)
        left = np.bincount(self.drawing.patch, minlength=patches) - inside
        return np.asarray(CELL_MM2 * left, np.float64)

    def _inside(self, numbers: Sequence[int]) -> tuple[Cells, npt.NDArray[np.int64]]:
        """Every drawn cell inside a pattern: the place of the pattern in `numbers`, and of the cell."""
        row = np.full((len(self.index.candidates), KINDS_OF_ZONE), -1, np.int32)
        row[list(numbers), CORE] = row[list(numbers), SPILLOVER] = np.arange(len(numbers))
        rows = row.ravel()[self.entries]
        held = np.flatnonzero(rows >= 0)
        return rows[held], self.places[held]


def count(drawing: Drawing, index: Index, costs: Costs) -> Counted:
    """Hold a drawing against every candidate."""
    entries, places = index.entries_of(drawing.cells)
    density = CELL_MM2 * index.density[drawing.cells]
    weighted = density * drawing.weight
    drawn = index.summed(entries, weighted[places])
    dense = index.summed(entries, density[places])
    plain = index.summed(entries, np.full(len(entries), CELL_MM2))
    core, spillover = (
        index.sizes.weighted_core - dense[:, CORE],
        index.sizes.weighted_spillover - dense[:, SPILLOVER],
    )
    shared = {
        "core_drawn": drawn[:, CORE],
        "spillover_drawn": drawn[:, SPILLOVER],
        "near_drawn": drawn[:, NEAR],
        "core_missing": np.maximum(core, 0.0),
        "spillover_missing": np.maximum(spillover, 0.0),
    }
    scores = overlap.graded(costs, drawn=float(weighted.sum()), **shared)
    fits = overlap.graded(costs, drawn=drawn[:, CORE] + drawn[:, SPILLOVER], **shared)
    explained = (plain[:, CORE] + plain[:, SPILLOVER]) / max(drawing.mm2, CELL_MM2)
    coverage = plain[:, CORE] / np.maximum(index.sizes.core, CELL_MM2)
    return Counted(drawing, index, scores, fits, explained, coverage, entries, places)

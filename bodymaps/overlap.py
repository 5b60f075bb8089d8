"""How alike two areas are: the published indices, and the graded index the ranking uses.

Jaccard P, New Phytol 1912;11:37-50. Dice LR, Ecology 1945;26:297-302. Tversky A, Psychol Rev 1977;84:327-352.
All run from 0 (apart) to 1 (equal). Two empty areas are like nothing: 0.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodymaps import geometry
from bodymaps.geometry import Area


def tversky(
    shared: float, first_only: float, second_only: float, first_cost: float, second_cost: float
) -> float:
    """shared / (shared + first_cost · first_only + second_cost · second_only)

    Costs of 1 and 1 give Jaccard, of 0.5 and 0.5 Dice, of 1 and 0 the share of the first that is shared.

    >>> round(tversky(12, 12, 12, 1, 1), 4)
    0.3333
    """
    if shared <= 0:
        return 0.0
    return shared / (shared + first_cost * first_only + second_cost * second_only)


def tversky_of(first: Area, second: Area, first_cost: float, second_cost: float) -> float:
    """Tversky's index of two areas in one view."""
    shared = float(geometry.overlap(first, second).area)
    return tversky(shared, first.area - shared, second.area - shared, first_cost, second_cost)


def jaccard_of(first: Area, second: Area) -> float:
    """Shared area by united area."""
    return tversky_of(first, second, 1, 1)


def dice_of(first: Area, second: Area) -> float:
    """Twice the shared area by the sum of both areas."""
    return tversky_of(first, second, 0.5, 0.5)


@dataclass(frozen=True)
class Costs:
    """The named numbers of the graded index, argued in data/ranking.toml."""

    outside: float
    missing: float
    spillover_drawn: float
    spillover_missing: float
    near: float


@dataclass
class Tally:
    """What a drawing and a pattern share and do not share, in mm² (weighted or plain, as the caller
    counts).
    """

    drawn: float = 0.0
    core_drawn: float = 0.0
    spillover_drawn: float = 0.0
    near_drawn: float = 0.0
    core_missing: float = 0.0
    spillover_missing: float = 0.0

    def score(self, costs: Costs) -> float:
        """Tversky's index with graded membership: 1 when exactly the whole pattern is drawn, 0 when none of
        it.
        """
        shared = self.core_drawn + costs.spillover_drawn * self.spillover_drawn
        outside = max(0.0, self.drawn - self.core_drawn - self.spillover_drawn)
        outside -= (1 - costs.near) * min(self.near_drawn, outside)
        missing = self.core_missing + costs.spillover_missing * self.spillover_missing
        return tversky(shared, outside, missing, costs.outside, costs.missing)

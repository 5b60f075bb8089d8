"""How alike two areas are: the published indices, and the graded index the ranking uses.

Jaccard P, New Phytol 1912;11:37-50. Dice LR, Ecology 1945;26:297-302. Tversky A, Psychol Rev 1977;84:327-352.
All run from 0 (apart) to 1 (equal). Two empty areas are like nothing: 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
import numpy.typing as npt

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


def hausdorff_mm(first: Area, second: Area) -> float:
    """How far the edges of two areas in one view lie apart at their worst, mm: the greater of both directed
    distances (Hausdorff F, Grundzuege der Mengenlehre, 1914). Infinite when one is empty.
    """
    if first.is_empty or second.is_empty:
        return inf
    return geometry.farthest_apart(first, second)


@dataclass(frozen=True)
class Costs:
    """The named numbers of the graded index, argued in data/ranking.toml."""

    outside: float
    missing: float
    spillover_drawn: float
    spillover_missing: float
    near: float


Amount = float | npt.NDArray[np.float64]


def graded(
    costs: Costs,
    *,
    drawn: Amount,
    core_drawn: Amount,
    spillover_drawn: Amount,
    near_drawn: Amount,
    core_missing: Amount,
    spillover_missing: Amount,
) -> npt.NDArray[np.float64]:
    """Tversky's index with graded membership: 1 when exactly the whole pattern is drawn, 0 when none of it.

    What a drawing and its patterns share and do not share, in mm² (weighted or plain, as the caller counts);
    one number or an array with one for each pattern. `near_drawn` lies outside the pattern.
    """
    shared = np.asarray(core_drawn + costs.spillover_drawn * spillover_drawn, np.float64)
    outside = np.maximum(0.0, drawn - core_drawn - spillover_drawn)
    outside = outside - (1 - costs.near) * np.minimum(near_drawn, outside)
    missing = core_missing + costs.spillover_missing * spillover_missing
    whole = shared + costs.outside * outside + costs.missing * missing
    return np.divide(shared, whole, out=np.zeros_like(shared), where=shared > 0)

"""The plain indices beside the shipped score: every pattern ordered by one of them alone.

Jaccard and Dice (Jaccard P 1912, Dice LR 1945: see overlap), containment: the share of the drawing inside the
pattern, coverage: the share of the pattern that is drawn. Areas in cells of skin, without weights, core and
spillover alike; of the sites of a muscle and their union the best counts, as in the shipped ranking.
"""

from __future__ import annotations

import numpy as np

from bodymaps import overlap
from bodymaps.candidates import CORE, PATTERN, SPILLOVER
from bodymaps.counted import COMPARED, Counted
from bodymaps.grid import CELL_MM2, Weights

SHIPPED = "shipped"
# The costs of what is drawn outside and of what is not drawn that make Tversky's index each of them.
PLAIN = {
    "jaccard": (1.0, 1.0),
    "dice": (0.5, 0.5),
    "containment": (1.0, 0.0),
    "coverage": (0.0, 1.0),
}
METRICS = (SHIPPED, *PLAIN)

# A line of a ranking: muscle and side.
Line = tuple[str, str]


def index(shared: float, drawn: float, pattern: float, metric: str) -> float:
    """One plain index of a drawing and a pattern from what they share and how large they are (mm²)."""
    outside, missing = PLAIN[metric]
    return overlap.tversky(shared, drawn - shared, pattern - shared, outside, missing)


def orders(whole: Counted) -> dict[str, list[Line]]:
    """The order by each of METRICS. Dice's index orders as Jaccard's does: the one grows with the other."""
    found = {metric: order(whole, metric) for metric in METRICS if metric != "dice"}
    return {metric: found["jaccard" if metric == "dice" else metric] for metric in METRICS}


def order(whole: Counted, metric: str) -> list[Line]:
    """The muscles and sides by one index, best first; equals in the order of the atlas, right before left."""
    if metric == SHIPPED:
        return [(whole.one(number).id, whole.one(number).side) for number in whole.best(PATTERN)]
    shared, pattern = _areas(whole)
    outside, missing = PLAIN[metric]
    whole_mm2 = shared + outside * (whole.drawing.mm2 - shared) + missing * (pattern - shared)
    values = np.divide(shared, whole_mm2, out=np.zeros_like(shared), where=shared > 0)
    found: dict[Line, None] = {}
    for number in np.argsort(-np.round(values, COMPARED), kind="stable"):
        if values[number] <= 0:
            break
        if whole.one(number).layer == PATTERN:
            found.setdefault((whole.one(number).id, whole.one(number).side))
    return list(found)


def _areas(whole: Counted) -> tuple[Weights, Weights]:
    """mm² each candidate shares with the drawing, and has in all."""
    inside = whole.index.summed(whole.entries, np.full(len(whole.entries), CELL_MM2))
    sizes = [one.core_mm2 + one.spillover_mm2 for one in whole.index.candidates]
    return inside[:, CORE] + inside[:, SPILLOVER], np.array(sizes)

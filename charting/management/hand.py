"""Lines as a finger would draw them on the board, from landmark to landmark of the figure."""

import uuid
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from bodymaps import figure

# A finger moves about this far between two samples, and a tablet takes about 60 samples a second.
STEP_MM, STEP_MS = 4.0, 16.7


def shaded(
    *, view: str, kind: str, nib_mm: float, along: Iterable[str], side: str = "right"
) -> dict[str, Any]:
    """The event of one line. `along`: names of landmarks; `side`: of the patient."""
    stroke = {"view": view, "kind": kind, "mode": "shade", "nib_mm": nib_mm}
    points = points_along(view, along, side)
    return {"type": "stroke", "id": str(uuid.uuid4()), "points": points, **stroke}


def points_along(view: str, along: Iterable[str], side: str = "right") -> list[list[float]]:
    """[x, y, pressure, ms] along the landmarks, a sample every few millimetres."""
    corners = [figure.load().landmark(view, name, side) for name in along]
    places = [corners[0]]
    for (x0, y0), (x1, y1) in pairwise(corners):
        steps = max(1, round(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / STEP_MM))
        places += [(x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps) for n in range(1, steps + 1)]
    return [[round(x, 1), round(y, 1), 0.5, round(n * STEP_MS, 1)] for n, (x, y) in enumerate(places)]

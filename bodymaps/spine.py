"""How far drawn skin lies from the spine, along the skin and never across air.

The spine is the midline of neck and trunk on the back view. From there the way leads over the cells of the
figure (see grid), and from one view into the other over their common edge and over the skin both show, so
the breastbone is reached round the side of the chest, a hand down the arm. The soles hang on the heels. The
figure is flat: mm of the figure, not of a person. Numbers: data/compare.toml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from bodymaps import grid
from bodymaps.compare_file import Rules, rules
from bodymaps.geometry import Area
from bodymaps.grid import CELL_MM, COLUMNS, Cells, Grid, Mask, Weights
from bodymaps.skin import Skin

# Steps to the 16 nearest directions and what they cost, five to a place: Borgefors G, Distance
# transformations in digital images, Comput Vis Graph Image Process 1986;34:344-371 (from memory), the mask
# 5-7-11; at most 2 % off.
UNIT = 5
STEPS = (
    *((dy, dx, 5) for dy, dx in ((0, 1), (0, -1), (1, 0), (-1, 0))),
    *((dy, dx, 7) for dy in (1, -1) for dx in (1, -1)),
    *((dy, dx, 11) for dy in (1, -1) for dx in (2, -2)),
    *((dy, dx, 11) for dy in (2, -2) for dx in (1, -1)),
)
RIM = 2
# Ways lead over places of this many cells each way: 4 mm is fine enough for them.
PLACE = 2
FAR = np.iinfo(np.int32).max
VIEWS = ("front", "back")
SHARE = 0.95

Links = Sequence[tuple[Cells, Cells]]


@dataclass(frozen=True)
class Distance:
    """mm along the skin of the figure: the mean of all drawn skin, and what 95 % of it lies within."""

    mean: float
    farthest: float


@dataclass(frozen=True, eq=False)
class Ways:
    """By cell of skin: mm from the spine (infinite where no way leads), and whether it is on the right."""

    mm: Weights
    right: Mask
    grid: Grid

    def of(self, areas: Mapping[str, Area]) -> dict[str, Distance | None]:
        """How far what is drawn lies, by side of the body; None where nothing is drawn on it."""
        cells = self.grid.cells({view: area for view, area in areas.items() if not area.is_empty})
        right = self.right[cells]
        return {"right": _distance(self.mm[cells[right]]), "left": _distance(self.mm[cells[~right]])}


def _distance(mm: Weights) -> Distance | None:
    known = mm[np.isfinite(mm)]
    if not known.size:
        return None
    return Distance(float(known.mean()), float(np.quantile(known, SHARE, method="inverted_cdf")))


@lru_cache(maxsize=4)
def ways(skin: Skin) -> Ways:
    """The ways over a skin; some tenths of a second, kept."""
    cells, place = grid.of(skin), _Places()
    patch = np.concatenate([place.framed(_patch(cells, view)) for view in VIEWS])
    body = patch >= 0
    found = spread(
        body.reshape(2, *place.shape),
        _spine(patch, skin, rules(), place),
        [_seams(body, patch, place), *_soles(patch, skin, rules(), place)],
    )
    mm = np.full(cells.size, np.inf)
    for number, view in enumerate(VIEWS):
        here = cells.cell[view]
        at = place.fine(found[number])[here >= 0]
        np.minimum.at(mm, here[here >= 0], np.where(at == FAR, np.inf, at * PLACE * CELL_MM / UNIT))
    return Ways(mm, _right(cells), cells)


class _Places:
    """The frame of each view as places of 2 x 2 cells, with a rim of air, so that no step leaves it."""

    shape = (grid.ROWS // PLACE + 2 * RIM, COLUMNS // PLACE + 2 * RIM)
    size = shape[0] * shape[1]

    def framed(self, cells: Cells) -> Cells:
        """The greatest value of each place; a place with any skin is skin. Air is -1."""
        blocks = cells.reshape(grid.ROWS // PLACE, PLACE, COLUMNS // PLACE, PLACE)
        framed: Cells = np.pad(blocks.max(axis=(1, 3)), RIM, constant_values=-1).ravel()
        return framed

    def fine(self, values: Cells) -> Cells:
        """The value of the place that each cell lies in."""
        inner = values.reshape(self.shape)[RIM:-RIM, RIM:-RIM]
        fine: Cells = inner.repeat(PLACE, axis=0).repeat(PLACE, axis=1)
        return fine

    def across(self, places: Cells) -> Cells:
        """The same places seen from the other view: mirrored at the midline."""
        row, column = np.divmod(places % self.size, self.shape[1])
        other = np.where(places < self.size, self.size, 0)
        mirrored: Cells = (other + row * self.shape[1] + self.shape[1] - 1 - column).astype(np.int32)
        return mirrored


def _patch(cells: Grid, view: str) -> Cells:
    here = cells.cell[view]
    patch: Cells = np.where(here >= 0, cells.patch[here], -1).astype(np.int32)
    return patch


def _right(cells: Grid) -> Mask:
    """Whether a cell lies on the patient's right: at the viewer's left in front, at the right behind."""
    right = np.zeros(cells.size, np.bool_)
    for view, columns in (("back", slice(COLUMNS // 2, None)), ("front", slice(0, COLUMNS // 2))):
        here = cells.cell[view][:, columns]
        right[here[here >= 0]] = True
    return right


def _in(patch: Cells, skin: Skin, regions: Sequence[str], side: str = "") -> Mask:
    wanted = [
        number
        for number, one in enumerate(skin.patches)
        if set(one.ids) & set(regions) and side in ("", one.side)
    ]
    return np.isin(patch, wanted)


def _spine(patch: Cells, skin: Skin, told: Rules, place: _Places) -> Cells:
    """The places beside the midline of the back view, in the regions of neck and trunk."""
    column = np.arange(len(patch)) % place.shape[1]
    middle = np.isin(column, (place.shape[1] // 2 - 1, place.shape[1] // 2))
    behind = np.arange(len(patch)) >= place.size
    return np.flatnonzero(middle & behind & _in(patch, skin, told.spine_regions)).astype(np.int32)


def _seams(body: Mask, patch: Cells, place: _Places) -> tuple[Cells, Cells]:
    """Where one view goes over into the other: along the common edge, and all over skin that both show."""
    bodies = body.reshape(2, *place.shape)
    inner = bodies.copy()
    for axis in (1, 2):
        for step in (1, -1):
            inner &= np.roll(bodies, step, axis)
    here = np.flatnonzero(body).astype(np.int32)
    other = place.across(here)
    seam = body[other] & (~inner.ravel()[here] | (patch[here] == patch[other]))
    return here[seam], other[seam]


def _soles(patch: Cells, skin: Skin, told: Rules, place: _Places) -> Links:
    """The upper end of each sole, where its heel is, hangs on the lower end of the heel behind."""
    found = []
    for side in ("right", "left"):
        heel = np.flatnonzero(_in(patch, skin, told.heel_regions, side)).astype(np.int32)
        sole = np.flatnonzero(_in(patch, skin, told.sole_regions, side)).astype(np.int32)
        if heel.size and sole.size:
            found.append((_middle(heel, heel[-1], place), _middle(sole, sole[0], place)))
    return found


def _middle(places: Cells, row_of: int, place: _Places) -> Cells:
    """The middle one of those in a row, as an array of one."""
    row = places[places // place.shape[1] == row_of // place.shape[1]]
    middle: Cells = row[len(row) // 2 : len(row) // 2 + 1]
    return middle


def spread(body: Mask, start: Cells, links: Links = ()) -> Cells:
    """Least cost from the places `start` to every place of `body` (views x rows x columns, a rim of two of
    air), in fifths of a place; FAR where no way leads. `links` join places at no cost, both ways, each place
    at most once in a pair of lists.
    """
    free = [(_free(body, dy, dx).ravel(), dy * body.shape[2] + dx, price) for dy, dx, price in STEPS]
    joined = [_joined(body.size, *pair) for pair in links]
    cost = np.full(body.size, FAR, np.int32)
    cost[start] = 0
    waiting, level = {0: [start]}, 0
    while waiting:
        here = _arrived(cost, joined, waiting.pop(level, []), level)
        for may, offset, price in free if here.size else ():
            there = here[may[here]] + offset
            there = there[cost[there] > level + price]
            if there.size:
                cost[there] = level + price
                waiting.setdefault(level + price, []).append(there)
        level += 1
    return cost.reshape(body.shape)


def _arrived(cost: Cells, joined: Sequence[Cells], found: list[Cells], level: int) -> Cells:
    """The places whose least cost is this level, each once, with those joined to them."""
    if not found:
        return np.zeros(0, np.int32)
    here = np.unique(np.concatenate(found))
    here = here[cost[here] == level]
    for others in joined:
        more = others[here]
        more = more[(more >= 0) & (cost[more] > level)]
        cost[more] = level
        here = np.concatenate([here, more])
    return here


def _joined(size: int, one: Cells, other: Cells) -> Cells:
    """By place the place it is joined to, -1 for none."""
    partner = np.full(size, -1, np.int32)
    partner[one], partner[other] = other, one
    return partner


def _free(body: Mask, dy: int, dx: int) -> Mask:
    """Where a step may begin: it ends on the body and passes between no two pieces of it."""

    def at(down: int, across: int) -> Mask:
        return np.roll(body, (-down, -across), (1, 2))

    ends = body & at(dy, dx)
    if abs(dy) + abs(dx) == 1:
        return ends
    if abs(dy) == abs(dx):
        return ends & (at(dy, 0) | at(0, dx))
    near = (int(np.sign(dy)) if abs(dy) == 2 else 0, int(np.sign(dx)) if abs(dx) == 2 else 0)
    half = (int(np.sign(dy)), int(np.sign(dx)))
    return ends & at(*near) & at(*half)

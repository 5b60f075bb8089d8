"""Skin as cells of 2 mm: areas become sets of cells, and sharing becomes counting.

A cell belongs to an area when its centre lies inside (the even-odd rule). Skin that both views show is one
set of cells (see skin). For the figure an area of A mm² with an edge of L mm is counted to within about
sqrt(2 L) mm²; edges, midline and mirror are treated alike on both sides, so a mirrored area has exactly
the mirrored cells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from bodymaps import geometry
from bodymaps.geometry import Area
from bodymaps.skin import MIDLINE_X, Skin

CELL_MM = 2.0
CELL_MM2 = CELL_MM * CELL_MM
# The frame of the figure, mm.
WIDE, HIGH = 1000, 1700
COLUMNS, ROWS = int(WIDE / CELL_MM), int(HIGH / CELL_MM)
# An edge through the centre of a cell leaves it to the outer side, on both sides of the body.
HAIR = 1e-7

Cells = npt.NDArray[np.int32]
Weights = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Grid:
    """`cell` by view: the number of the skin cell under each place of the frame (rows x columns, -1: none).
    `patch` and `mirror` by cell: its patch of skin, and the cell of the other side.
    """

    cell: Mapping[str, Cells]
    patch: Cells
    mirror: Cells

    @property
    def size(self) -> int:
        return len(self.patch)

    @cached_property
    def patches(self) -> int:
        return int(self.patch.max()) + 1

    def cells(self, areas: Mapping[str, Area]) -> Cells:
        """The skin cells of areas by view, each once, in order."""
        held = np.zeros(self.size, np.bool_)
        for view, area in areas.items():
            held[self.under(view, *filled(area))] = True
        return np.flatnonzero(held).astype(np.int32)

    def under(self, view: str, top: int, left: int, inside: Mask) -> Cells:
        """The skin cells under a mask, in no order; places off the body are left out."""
        here = self.cell[view][top : top + inside.shape[0], left : left + inside.shape[1]][inside]
        return here[here >= 0]


@lru_cache(maxsize=4)
def of(skin: Skin) -> Grid:
    """The cells of a skin; some hundredths of a second, kept."""
    patch_at = {view: _patches(skin, view) for view in skin.views}
    front = patch_at["front"]
    cell = {"front": np.full((ROWS, COLUMNS), -1, np.int32), "back": np.full((ROWS, COLUMNS), -1, np.int32)}
    seen = front >= 0
    cell["front"][seen] = np.arange(seen.sum(), dtype=np.int32)
    back = patch_at["back"]
    folded = (back >= 0) & (back == front[:, ::-1])
    cell["back"][folded] = cell["front"][:, ::-1][folded]
    fresh = (back >= 0) & ~folded
    cell["back"][fresh] = np.arange(seen.sum(), seen.sum() + fresh.sum(), dtype=np.int32)
    patch = np.concatenate([front[seen], back[fresh]]).astype(np.int32)
    return Grid(cell, patch, _mirror(cell, len(patch)))


def _patches(skin: Skin, view: str) -> Cells:
    """The patch under each place of a view's frame."""
    found = np.full((ROWS, COLUMNS), -1, np.int32)
    for patch, _, area in skin.views[view]:
        top, left, inside = filled(area)
        found[top : top + inside.shape[0], left : left + inside.shape[1]][inside] = patch
    return found


def _mirror(cell: Mapping[str, Cells], count: int) -> Cells:
    """The cell across the midline. A cell without one (outlines differ by a hair) is its own."""
    mirror = np.arange(count, dtype=np.int32)
    for places in cell.values():
        across = places[:, ::-1]
        both = (places >= 0) & (across >= 0)
        mirror[places[both]] = across[both]
    return mirror


def filled(area: Area) -> tuple[int, int, Mask]:
    """An area as cells of the frame: first row, first column, and a mask from there."""
    x1, y1, x2, y2 = geometry.edges(area).T
    up = y1 > y2
    low, high = np.where(up, y2, y1), np.where(up, y1, y2)
    first = np.clip(_index(low), 0, ROWS)
    counts = np.clip(_index(high), 0, ROWS) - first
    if not counts.any():
        return 0, 0, np.zeros((0, 0), np.bool_)
    edge = np.repeat(np.arange(len(counts)), counts)
    row = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts) + first[edge]
    centre = (row + 0.5) * CELL_MM
    x = x1[edge] + (centre - y1[edge]) * (x2[edge] - x1[edge]) / (y2[edge] - y1[edge])
    column = np.clip(_index(x + HAIR * np.sign(x - MIDLINE_X)), 0, COLUMNS)
    top, left = row.min(), column.min()
    inside = np.zeros((row.max() - top + 1, column.max() - left + 1), np.int32)
    np.add.at(inside, (row - top, column - left), 1)
    return int(top), int(left), (np.cumsum(inside, axis=1)[:, :-1] & 1).astype(np.bool_)


def _index(mm: Weights) -> Cells:
    """The first row or column whose centre is not before this place."""
    return np.ceil(mm / CELL_MM - 0.5).astype(np.int32)


def widened(top: int, left: int, inside: Mask, reach: int) -> tuple[int, int, Mask]:
    """A mask grown by a disc of `reach` cells, cut off at the frame."""
    if not inside.size:
        return top, left, inside
    so_far = np.zeros((inside.shape[0], inside.shape[1] + 4 * reach + 1), np.int16)
    np.cumsum(np.pad(inside, ((0, 0), (2 * reach, 2 * reach))), axis=1, out=so_far[:, 1:])
    wide = inside.shape[1] + 2 * reach
    grown = np.zeros((inside.shape[0] + 2 * reach, wide), np.bool_)
    for across, downs in _disc(reach).items():
        first, last = reach - across, reach + across + 1
        spread = so_far[:, last : last + wide] > so_far[:, first : first + wide]
        for down in downs:
            grown[reach + down : reach + down + inside.shape[0]] |= spread
    row, column = max(0, top - reach), max(0, left - reach)
    grown = grown[row - (top - reach) :, column - (left - reach) :]
    return row, column, grown[: ROWS - row, : COLUMNS - column]


@cache
def _disc(reach: int) -> dict[int, list[int]]:
    """Rows of a disc by how far they reach to both sides."""
    rows: dict[int, list[int]] = {}
    for down in range(-reach, reach + 1):
        rows.setdefault(int((reach * reach - down * down) ** 0.5), []).append(down)
    return rows

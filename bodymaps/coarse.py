"""A drawing as coarse cells of 20 mm, for counting many drawings over each other; as bytes, to be kept.

Why 20 mm: who draws the same pain again a minute later overlaps with the first drawing by 0.62 (Jaccard) only
(data/compare.toml), so finer cells would count the hand that drew; a finger is still one cell wide. A cell is
covered from three tenths of its skin on: the smallest nib (13 mm) then leaves no gap wherever it runs.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np
import numpy.typing as npt

from bodymaps import figure, geometry, grid, parts, regions
from bodymaps.geometry import Area
from bodymaps.marks import Mark, symptoms

CELL_MM = 20
FINE = int(CELL_MM / grid.CELL_MM)
COLUMNS, ROWS = grid.WIDE // CELL_MM, grid.HIGH // CELL_MM
SIZE = COLUMNS * ROWS
LEAST_COVERED = 0.3
# What a row of cells is about: a view of the figure, or the parts of the body that are touched.
PARTS = "parts"
# Of a row about all kinds of pain together.
ANY_KIND = ""

Cells = npt.NDArray[np.uint16]
Counts = npt.NDArray[np.int64]


def version() -> str:
    """Changes when cells or parts are numbered anew: rows of another version are made again, not read."""
    named = hashlib.sha256(" ".join(parts.KEYS).encode()).hexdigest()[:8]
    return f"{figure.load().version}/{CELL_MM}/{named}"


def rows(marks: Iterable[Mark]) -> dict[tuple[str, str], bytes]:
    """What to keep of a drawing, by (view or PARTS, kind): numbers of 16 bit, little-endian. There is always
    a row (PARTS, ANY_KIND), an empty one where no pain is drawn.
    """
    pain = symptoms(marks)
    found = {(PARTS, ANY_KIND): _parts_in(pain)}
    for kind in dict.fromkeys(mark.kind for mark in pain):
        of_kind = [mark for mark in pain if mark.kind == kind]
        found[PARTS, kind] = _parts_in(of_kind)
        for view in figure.VIEWS:
            areas = [mark.area for mark in of_kind if mark.view == view]
            if areas:
                found[view, kind] = _kept(cells(view, geometry.unite(areas)))
    return found


def cells(view: str, area: Area) -> Cells:
    """The covered cells of a view, row by row from the top left. A mark that covers none of them by enough
    is the one cell that holds most of it.
    """
    inside = _filled_by_cell(area)
    body = _body(view)
    covered = np.flatnonzero((inside > 0) & (inside >= LEAST_COVERED * body) & (body > 0))
    if not len(covered) and inside.any():
        covered = np.array([int(np.argmax(inside))])
    return covered.astype(np.uint16)


def _filled_by_cell(area: Area) -> Counts:
    """How many cells of 2 mm an area fills in each coarse cell."""
    top, left, inside = grid.filled(area)
    down, across = np.nonzero(inside)
    return np.bincount((down + top) // FINE * COLUMNS + (across + left) // FINE, minlength=SIZE)


@cache
def _body(view: str) -> Counts:
    return _filled_by_cell(geometry.as_area(figure.load().view(view).outline))


@cache
def on_body(view: str) -> npt.NDArray[np.bool_]:
    """The body as cells of 2 mm of the frame: rows x columns."""
    shown = np.zeros((grid.ROWS, grid.COLUMNS), np.bool_)
    top, left, inside = grid.filled(geometry.as_area(figure.load().view(view).outline))
    shown[top : top + inside.shape[0], left : left + inside.shape[1]] = inside
    return shown


@cache
def part_by_cell() -> Mapping[str, npt.NDArray[np.int16]]:
    """By view, the place in parts.KEYS of the part that most of a cell lies in; -1 off the body."""
    shares = {view: np.zeros((len(parts.KEYS), SIZE), np.int64) for view in figure.VIEWS}
    for one in regions.load():
        key = parts.part_of(one.id, one.side).key
        shares[one.view][parts.KEYS.index(key)] += _filled_by_cell(one.area)
    return {
        view: np.where(found.any(axis=0), found.argmax(axis=0), -1).astype(np.int16)
        for view, found in shares.items()
    }


def _parts_in(marks: Iterable[Mark]) -> bytes:
    touched = parts.parts_drawn(marks)
    return _kept(np.array([parts.KEYS.index(key) for key in touched], np.uint16))


def _kept(numbers: Cells) -> bytes:
    return numbers.astype("<u2").tobytes()


def read(kept: bytes) -> tuple[int, ...]:
    """The numbers of a row. Raises ValueError when it is cut off."""
    if len(kept) % 2:
        raise ValueError("a row of cells is cut off")
    return tuple(np.frombuffer(kept, "<u2").tolist())

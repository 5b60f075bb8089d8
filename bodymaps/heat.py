"""How many people hurt where: the cells of many drawings counted over each other, each person once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bodymaps import coarse, figure

# So many people are held against all cells at a time: 4 MB of marks.
AT_A_TIME = 512
NO_KEY = 2**32
OFFSETS = {view: number * coarse.SIZE for number, view in enumerate(figure.VIEWS)}


@dataclass(frozen=True, eq=False)
class Drawn:
    """Columns of one length. A row is what one drawing shows in one view: `people` from 0 on, any number of
    rows for each; `views`; `cells` as bodymaps.coarse keeps them.
    """

    people: Sequence[int]
    views: Sequence[str]
    cells: Sequence[bytes]


@dataclass(frozen=True)
class Here:
    """A place of the figure: how many people hurt there, and the least of their keys (see count)."""

    people: int
    key: int


def count(drawn: Drawn, keys: Sequence[int]) -> Mapping[str, tuple[Here, ...]]:
    """By view, every cell row by row. `keys`: a number below NO_KEY for each person; a cell has the least of
    those of its people, NO_KEY where there is nobody.
    """
    person, cell = _flat(drawn)
    people, least = _over_each_other(person, cell, np.array(keys, np.int64))
    return {
        view: tuple(
            Here(int(number), int(key))
            for number, key in zip(people[at : at + coarse.SIZE], least[at : at + coarse.SIZE], strict=True)
        )
        for view, at in OFFSETS.items()
    }


Numbers = npt.NDArray[np.int64]


def _flat(drawn: Drawn) -> tuple[Numbers, Numbers]:
    """Every covered cell with its person, by person."""
    order = np.argsort(np.array(drawn.people, np.int64), kind="stable")
    kept = [drawn.cells[row] for row in order]
    lengths = np.array([len(one) // 2 for one in kept], np.int64)
    person = np.repeat(np.array(drawn.people, np.int64)[order], lengths)
    offset = np.repeat(np.array([OFFSETS[drawn.views[row]] for row in order], np.int64), lengths)
    return person, np.frombuffer(b"".join(kept), "<u2").astype(np.int64) + offset


def _over_each_other(person: Numbers, cell: Numbers, keys: Numbers) -> tuple[Numbers, Numbers]:
    wide = coarse.SIZE * len(OFFSETS)
    people, least = np.zeros(wide, np.int64), np.full(wide, NO_KEY, np.int64)
    np.minimum.at(least, cell, keys[person])
    for first in range(0, len(keys), AT_A_TIME):
        here = slice(*np.searchsorted(person, [first, first + AT_A_TIME]))
        hurts = np.zeros((AT_A_TIME, wide), np.bool_)
        hurts[person[here] - first, cell[here]] = True
        people += hurts.sum(axis=0)
    return people, least

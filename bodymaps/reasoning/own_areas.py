"""Where each candidate is felt, as regions, and which part of a drawing lies there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from bodymaps import candidates, matching, skin
from bodymaps.atlas import Atlas
from bodymaps.candidates import KINDS_OF_ZONE, NEAR, Index
from bodymaps.grid import CELL_MM2
from bodymaps.reasoning.drawn import LEAST_MM2, LEAST_SHARE, Drawn
from bodymaps.skin import Skin

Sided = tuple[str, str, str]
LAYER_OF = {candidates.PATTERN: "muscle", candidates.DERMATOME: "root"}


@dataclass(frozen=True, eq=False)
class OwnAreas:
    """By region and side the candidates (layer, id, side) that are felt there. A region counts from the same
    share, or the same mm², from which it counts as drawn on.
    """

    felt: Mapping[tuple[str, str], tuple[Sided, ...]]

    def of(self, drawn: Drawn) -> dict[Sided, frozenset[tuple[str, str, str]]]:
        """For each candidate with anything drawn in its area the places that are."""
        found: dict[Sided, list[tuple[str, str, str]]] = {}
        for place in drawn.places:
            for one in self.felt.get((place[0], place[1]), ()):
                found.setdefault(one, []).append(place)
        return {one: frozenset(places) for one, places in found.items()}


def of(atlas: Atlas) -> OwnAreas:
    """The areas of an atlas; kept beside it."""
    return _of(atlas, skin.load())


@lru_cache(maxsize=4)
def _of(atlas: Atlas, on: Skin) -> OwnAreas:
    felt: dict[tuple[str, str], dict[Sided, None]] = {}
    for one, patch in _touched(matching.index(atlas, on)):
        for region in on.patches[patch].ids:
            felt.setdefault((region, on.patches[patch].side), {})[one] = None
    return OwnAreas({place: tuple(found) for place, found in felt.items()})


def _touched(index: Index) -> Iterator[tuple[Sided, int]]:
    """Every candidate with each patch it reaches, core and spillover."""
    cell = np.repeat(np.arange(index.grid.size), np.diff(index.starts))
    number, zone = np.divmod(index.entries, KINDS_OF_ZONE)
    inside = zone != NEAR
    patches = len(index.skin.patches)
    code = number[inside].astype(np.int64) * patches + np.asarray(index.grid.patch)[cell[inside]]
    mm2 = CELL_MM2 * np.bincount(code, minlength=len(index.candidates) * patches).reshape(-1, patches)
    least = np.minimum(LEAST_MM2, LEAST_SHARE * np.array([one.size for one in index.skin.patches]))
    for row, patch in np.argwhere(mm2 >= least).tolist():
        one = index.candidates[row]
        yield (LAYER_OF.get(one.layer, one.layer), one.id, one.side), patch

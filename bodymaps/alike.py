"""Muscles whose patterns cannot be told apart by a drawing: "same area as ...".

Two patterns are as alike as Jaccard's index, weighted, says: over all cells of skin the smaller of both
weights by the larger. A cell weighs 1 in a core and `spillover_drawn` of ranking.toml in a spillover, times
the weight of its place. Of two muscles on one side the sites that are most alike count. The number from which
two are the same area stands, with its reason, in data/alike.toml.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np

from bodymaps import matching, skin
from bodymaps.atlas import ALL_SITES, SIDES, Atlas
from bodymaps.candidates import KINDS_OF_ZONE, NEAR, PATTERN, SPILLOVER, Index
from bodymaps.grid import Cells, Weights
from bodymaps.skin import Skin

FILE = Path(__file__).parent / "data" / "alike.toml"


@cache
def same_share() -> float:
    """From this weighted Jaccard index on two patterns are the same area."""
    with FILE.open("rb") as file:
        return float(tomllib.load(file)["same_share"])


def same_area(atlas: Atlas) -> Mapping[str, tuple[str, ...]]:
    """For every muscle, in atlas order, the muscles of the same area, most alike first; mostly none. Some
    tenths of a second, once for each atlas.
    """
    return _same_area(atlas, skin.load(), same_share())


@lru_cache(maxsize=4)
def _same_area(atlas: Atlas, on: Skin, share: float) -> dict[str, tuple[str, ...]]:
    likeness = likenesses(atlas, on)
    order = list(atlas.muscles)
    found = {}
    for muscle in order:
        others = [one for one in order if one != muscle and likeness.get((muscle, one), 0.0) >= share]
        found[muscle] = tuple(sorted(others, key=lambda one: -likeness[muscle, one]))
    return found


@lru_cache(maxsize=4)
def likenesses(atlas: Atlas, on: Skin) -> dict[tuple[str, str], float]:
    """How alike (0..1) the most alike sites of two muscles are; both orders of each pair that shares skin."""
    index = matching.index(atlas, on)
    sites = [
        number
        for number, one in enumerate(index.candidates)
        if (one.layer, one.side) == (PATTERN, SIDES[0]) and one.site != ALL_SITES
    ]
    found: dict[tuple[str, str], float] = {}
    for number, row in zip(sites, _likeness(index, sites), strict=True):
        first = index.candidates[number].id
        for other, likeness in zip(sites, row, strict=True):
            pair = (first, index.candidates[other].id)
            if pair[0] != pair[1] and likeness > found.get(pair, 0.0):
                found[pair] = float(likeness)
    return found


def _likeness(index: Index, sites: list[int]) -> Weights:
    """The weighted Jaccard index of every two of the sites: an array of sites x sites."""
    cell, site, weight = _held(index, sites)
    starts = np.searchsorted(cell, np.arange(index.grid.size + 1))
    order = np.argsort(site, kind="stable")
    ends = np.searchsorted(site[order], np.arange(len(sites) + 1))
    shared = np.zeros((len(sites), len(sites)))
    for number, (start, end) in enumerate(pairwise(ends)):
        here = order[start:end]
        counts = starts[cell[here] + 1] - starts[cell[here]]
        mine = np.repeat(weight[here], counts)
        first = np.repeat(starts[cell[here]] - (np.cumsum(counts) - counts), counts)
        there = first + np.arange(len(mine))
        both = np.minimum(mine, weight[there]) * index.density[cell[there]]
        shared[number] = np.bincount(site[there], both, len(sites))
    sizes = np.diagonal(shared)
    united = sizes[:, None] + sizes[None, :] - shared
    return np.divide(shared, united, out=np.zeros_like(shared), where=united > 0)


def _held(index: Index, sites: list[int]) -> tuple[Cells, Cells, Weights]:
    """Every cell that lies in one of the sites, by cell: the cell, the place of the site in the list, and how
    much the zone says.
    """
    row = np.full(len(index.candidates), -1, np.int32)
    row[sites] = np.arange(len(sites))
    cell = np.repeat(np.arange(index.grid.size, dtype=np.int32), np.diff(index.starts))
    candidate, zone = np.divmod(index.entries, KINDS_OF_ZONE)
    wanted = (zone != NEAR) & (row[candidate] >= 0)
    weight = np.where(zone[wanted] == SPILLOVER, matching.parameters().spillover_drawn, 1.0)
    return cell[wanted], row[candidate[wanted]], weight

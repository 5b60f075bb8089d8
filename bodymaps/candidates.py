"""Every pattern a drawing is held against, as cells of skin: each site of each muscle and the union of its
sites, each nerve root, nerve, plexus, joint and organ, on every side it has; kept beside the atlas.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from bodymaps import grid
from bodymaps.atlas import ALL_SITES, SIDES, Atlas, Muscle
from bodymaps.geometry import Area
from bodymaps.grid import CELL_MM2, Cells, Grid, Weights
from bodymaps.skin import Skin

# The layers of the atlas by the names under which they are exported.
PATTERN, DERMATOME = "pattern", "dermatome"
# The zones of a pattern as they are counted. Near: within reach, in a patch the pattern touches, outside it.
CORE, SPILLOVER, NEAR = range(3)
KINDS_OF_ZONE = NOWHERE = 3

Zones = tuple[Cells, Cells, Cells]
Labels = npt.NDArray[np.int8]


@dataclass(frozen=True)
class Candidate:
    """One pattern on one side. `site` is a site of a muscle, "all" for the union of several, "" without
    sites. Sizes in mm²: plain, and weighted by the densities of their patches.
    """

    layer: str
    id: str
    side: str
    site: str
    core_mm2: float
    spillover_mm2: float
    core_weight: float
    spillover_weight: float


@dataclass(frozen=True, eq=False)
class Sizes:
    """The sizes of all candidates as arrays."""

    core: Weights
    weighted_core: Weights
    weighted_spillover: Weights


@dataclass(frozen=True, eq=False)
class Index:
    """`entries[starts[c]:starts[c + 1]]` are the zones that hold cell c, each KINDS_OF_ZONE times the number
    of its candidate and the zone. `density`: the weight of a mm² of each cell.
    """

    skin: Skin
    grid: Grid
    candidates: tuple[Candidate, ...]
    starts: npt.NDArray[np.int64] = field(repr=False)
    entries: Cells = field(repr=False)
    density: Weights = field(repr=False)

    @cached_property
    def sizes(self) -> Sizes:
        return Sizes(
            np.array([one.core_mm2 for one in self.candidates]),
            np.array([one.core_weight for one in self.candidates]),
            np.array([one.spillover_weight for one in self.candidates]),
        )

    def entries_of(self, cells: Cells) -> tuple[Cells, npt.NDArray[np.int64]]:
        """The zones that hold the given cells, and for each the place in `cells` of the cell it holds."""
        counts = self.starts[cells + 1] - self.starts[cells]
        place = np.repeat(np.arange(len(cells)), counts)
        first = np.repeat(self.starts[cells] - (np.cumsum(counts) - counts), counts)
        return self.entries[first + np.arange(len(place))], place

    def summed(self, entries: Cells, weights: Weights) -> Weights:
        """The weights by candidate and zone: an array of candidates x 3."""
        size = KINDS_OF_ZONE * len(self.candidates)
        found = np.bincount(entries, weights, size).astype(np.float64)
        return found.reshape(-1, KINDS_OF_ZONE)


@dataclass(frozen=True)
class Shape:
    """The cells of one pattern, before its numbers are known."""

    layer: str
    id: str
    side: str
    site: str
    zones: Zones


@lru_cache(maxsize=4)
def index(atlas: Atlas, skin: Skin, near_mm: float, power: float) -> Index:
    """All candidates of an atlas in atlas order, right before left. Some tenths of a second, once."""
    cells = grid.of(skin)
    density = np.asarray(skin.densities(power))[cells.patch]
    shapes = [
        *_muscles(atlas, cells, near_mm),
        *_roots(atlas, cells, near_mm),
        *_others(atlas, cells, near_mm),
    ]
    parts = [
        (number, zone, found) for number, one in enumerate(shapes) for zone, found in enumerate(one.zones)
    ]
    holds = np.concatenate([found for _, _, found in parts] or [np.empty(0, np.int32)])
    codes = [np.full(len(found), KINDS_OF_ZONE * number + zone, np.int32) for number, zone, found in parts]
    order = np.argsort(holds, kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(holds, minlength=cells.size))])
    entries = np.concatenate(codes or [np.empty(0, np.int32)])[order]
    return Index(skin, cells, tuple(_candidate(one, density) for one in shapes), starts, entries, density)


def _candidate(one: Shape, density: Weights) -> Candidate:
    core, spillover, _ = one.zones
    return Candidate(
        one.layer,
        one.id,
        one.side,
        one.site,
        CELL_MM2 * len(core),
        CELL_MM2 * len(spillover),
        CELL_MM2 * float(density[core].sum()),
        CELL_MM2 * float(density[spillover].sum()),
    )


def _muscles(atlas: Atlas, cells: Grid, near_mm: float) -> Iterator[Shape]:
    for muscle in atlas.muscles.values():
        right = list(_sites(muscle, cells, near_mm))
        for side in SIDES:
            for site, zones in right:
                yield Shape(PATTERN, muscle.id, side, site, _on(side, zones, cells))


def _sites(muscle: Muscle, cells: Grid, near_mm: float) -> Iterator[tuple[str, Zones]]:
    """Every site of a muscle, then the union of the sites when there are several."""
    found = [(site.id, _zones(site.zones, cells, near_mm)) for site in muscle.sites]
    yield from found
    if len(found) > 1:
        label = np.full(cells.size, NOWHERE, np.int8)
        for zone in (NEAR, SPILLOVER, CORE):
            for _, zones in found:
                label[zones[zone]] = zone
        yield ALL_SITES, _labelled(label)


def _zones(zones: Mapping[tuple[str, str], Area], cells: Grid, near_mm: float) -> Zones:
    """Core, spillover and near. Skin that is core in one view is no spillover in the other."""
    label = np.full(cells.size, NOWHERE, np.int8)
    masks = {key: grid.filled(area) for key, area in zones.items()}
    for (view, _), mask in masks.items():
        label[cells.under(view, *grid.widened(*mask, round(near_mm / grid.CELL_MM)))] = NEAR
    for name, zone in (("spillover", SPILLOVER), ("core", CORE)):
        for (view, drawn), mask in masks.items():
            if drawn == name:
                label[cells.under(view, *mask)] = zone
    core, spillover, near = _labelled(label)
    # Nearness counts in the patches the pattern reaches: a finger is not near the next one.
    touched = np.zeros(cells.patches, np.bool_)
    touched[cells.patch[core]] = touched[cells.patch[spillover]] = True
    return core, spillover, near[touched[cells.patch[near]]]


def _labelled(label: Labels) -> Zones:
    held = np.flatnonzero(label < NOWHERE).astype(np.int32)
    zone = label[held]
    return held[zone == CORE], held[zone == SPILLOVER], held[zone == NEAR]


def _roots(atlas: Atlas, cells: Grid, near_mm: float) -> Iterator[Shape]:
    for root, dermatome in atlas.dermatomes.items():
        zones = _zones({(view, "core"): area for view, area in dermatome.areas.items()}, cells, near_mm)
        for side in SIDES:
            yield Shape(DERMATOME, root, side, "", _on(side, zones, cells))


def _others(atlas: Atlas, cells: Grid, near_mm: float) -> Iterator[Shape]:
    for layer, structures in atlas.structures.items():
        for one in structures.values():
            zones = _zones(one.zones, cells, near_mm)
            for side in one.held_sides:
                drawn = _on(side, zones, cells) if one.sides == "paired" else zones
                yield Shape(layer, one.id, side, "", drawn)


def _on(side: str, zones: Zones, cells: Grid) -> Zones:
    """Zones drawn for the right side, for the side asked for."""
    if side == "right":
        return zones
    core, spillover, near = (cells.mirror[zone] for zone in zones)
    return core, spillover, near

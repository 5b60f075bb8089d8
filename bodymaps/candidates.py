"""Every pattern a drawing is held against: each site of each muscle and the union of its sites, on both
sides, cut up by patches of skin once and kept beside the atlas.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from bodymaps import geometry
from bodymaps.atlas import VIEWS, Atlas, Muscle
from bodymaps.geometry import Area
from bodymaps.skin import MIDLINE_X, Skin

ALL_SITES = "all"

Sizes = Mapping[int, float]


@dataclass(frozen=True)
class Candidate:
    """One pattern on one side. `core` and `spillover` are mm² by patch; `site` is "all" for the union of
    the sites.
    """

    muscle: str
    side: str
    site: str
    core: Sizes
    spillover: Sizes


@dataclass(frozen=True)
class Piece:
    """The part of a candidate's zone ("core", "spillover" or "near") in one patch."""

    candidate: int
    zone: str
    area: Area


@dataclass(frozen=True)
class Index:
    candidates: tuple[Candidate, ...]
    pieces: Mapping[int, tuple[Piece, ...]] = field(repr=False)


Cut = dict[str, dict[int, Area]]


@lru_cache(maxsize=4)
def index(atlas: Atlas, skin: Skin, near_mm: float) -> Index:
    """All candidates of an atlas, in atlas order, right before left. Costs some tenths of a second, once."""
    opposite = skin.opposite()
    candidates: list[Candidate] = []
    pieces: dict[int, list[Piece]] = {}
    for muscle in atlas.muscles.values():
        cuts = [(site, _cut(zones, skin, near_mm)) for site, zones in _patterns(muscle)]
        for side in ("right", "left"):
            for site, cut in cuts:
                placed = cut if side == "right" else _mirrored(cut, opposite)
                number = len(candidates)
                candidates.append(
                    Candidate(muscle.id, side, site, _sizes(placed["core"]), _sizes(placed["spillover"]))
                )
                for zone, areas in placed.items():
                    for patch, area in areas.items():
                        pieces.setdefault(patch, []).append(Piece(number, zone, area))
    return Index(tuple(candidates), {patch: tuple(found) for patch, found in pieces.items()})


def _patterns(muscle: Muscle) -> Iterator[tuple[str, dict[tuple[str, str], Area]]]:
    for site in muscle.sites:
        yield site.id, dict(site.zones)
    if len(muscle.sites) > 1:
        yield ALL_SITES, united_sites(muscle)


def united_sites(muscle: Muscle) -> dict[tuple[str, str], Area]:
    """The zones of all sites together: every core, and every spillover that is no core of another site."""
    zones: dict[tuple[str, str], Area] = {}
    for view in VIEWS:
        core = geometry.unite(
            site.zones[view, "core"] for site in muscle.sites if (view, "core") in site.zones
        )
        spill = geometry.unite(
            site.zones[view, "spillover"] for site in muscle.sites if (view, "spillover") in site.zones
        )
        zones[view, "core"], zones[view, "spillover"] = core, geometry.take_away(spill, core)
    return {key: area for key, area in zones.items() if not area.is_empty}


def _cut(zones: Mapping[tuple[str, str], Area], skin: Skin, near_mm: float) -> Cut:
    """The zones by patch, and a rim round them in the patches they reach. In a folded patch a core of
    either view wins.
    """
    core = skin.cut({view: area for (view, zone), area in zones.items() if zone == "core"})
    spill = skin.cut({view: area for (view, zone), area in zones.items() if zone == "spillover"})
    for patch in core.keys() & spill.keys():
        spill[patch] = geometry.take_away(spill[patch], core[patch])
    near = {}
    for patch in sorted(core.keys() | spill.keys()):
        here = geometry.unite(part[patch] for part in (core, spill) if patch in part)
        rim = geometry.overlap(geometry.widen(here, near_mm), skin.patches[patch].area)
        near[patch] = geometry.take_away(rim, here)
    return {"core": core, "spillover": spill, "near": near}


def _mirrored(cut: Cut, opposite: list[int]) -> Cut:
    return {
        zone: {opposite[patch]: geometry.mirrored(area, MIDLINE_X) for patch, area in areas.items()}
        for zone, areas in cut.items()
    }


def _sizes(areas: Mapping[int, Area]) -> dict[int, float]:
    return {patch: float(area.area) for patch, area in areas.items()}

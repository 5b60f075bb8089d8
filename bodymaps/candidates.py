"""Every pattern a drawing is held against: each site of each muscle and the union of its sites, on both
sides, cut up by patches of skin once and kept beside the atlas.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from bodymaps import geometry
from bodymaps.atlas import ALL_SITES, Atlas, Muscle
from bodymaps.geometry import Area
from bodymaps.skin import MIDLINE_X, Skin

# Vertices of the reach round a pattern that may go: it is a tolerance, not a shape anybody sees.
NEAR_TOLERANCE_MM = 0.5

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
    """The part of a zone in one patch, and the candidates and zones it belongs to.

    Zones are "core", "spillover" and "near": everything within reach of the pattern, the pattern included.
    The union of a muscle's sites shares its pieces with a site where that site is the only one in the patch.
    """

    area: Area
    owners: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class Index:
    candidates: tuple[Candidate, ...]
    pieces: Mapping[int, tuple[Piece, ...]] = field(repr=False)


# zone -> patch -> area
Cut = dict[str, dict[int, Area]]


@lru_cache(maxsize=4)
def index(atlas: Atlas, skin: Skin, near_mm: float) -> Index:
    """All candidates of an atlas, in atlas order, right before left. Costs some tenths of a second, once."""
    opposite = skin.opposite()
    candidates: list[Candidate] = []
    pieces: dict[int, dict[int, Piece]] = {}
    for muscle in atlas.muscles.values():
        right = _cuts(muscle, skin, near_mm)
        for side, cuts in (("right", right), ("left", _mirrored(right, opposite))):
            for site, cut in cuts:
                number = len(candidates)
                candidates.append(
                    Candidate(muscle.id, side, site, _sizes(cut["core"]), _sizes(cut["spillover"]))
                )
                for zone, areas in cut.items():
                    for patch, area in areas.items():
                        here = pieces.setdefault(patch, {})
                        known = here.get(id(area), Piece(area, ()))
                        here[id(area)] = Piece(area, (*known.owners, (number, zone)))
    return Index(tuple(candidates), {patch: tuple(found.values()) for patch, found in pieces.items()})


def _cuts(muscle: Muscle, skin: Skin, near_mm: float) -> list[tuple[str, Cut]]:
    """Every site of a muscle by patch, then the union of the sites when there are several."""
    cuts = [(site.id, _cut(site.zones, skin, near_mm)) for site in muscle.sites]
    return cuts if len(cuts) == 1 else [*cuts, (ALL_SITES, _united([cut for _, cut in cuts]))]


def _cut(zones: Mapping[tuple[str, str], Area], skin: Skin, near_mm: float) -> Cut:
    """The zones by patch. In a folded patch a core of either view wins over the spillover of the other."""
    core = skin.cut({view: area for (view, zone), area in zones.items() if zone == "core"})
    spill = skin.cut({view: area for (view, zone), area in zones.items() if zone == "spillover"})
    for patch in core.keys() & spill.keys():
        spill[patch] = geometry.take_away(spill[patch], core[patch])
    near = {}
    for patch in sorted(core.keys() | spill.keys()):
        here = geometry.unite(part[patch] for part in (core, spill) if patch in part)
        near[patch] = geometry.thinned_outline(geometry.widen(here, near_mm), NEAR_TOLERANCE_MM)
    return {"core": core, "spillover": spill, "near": near}


def _united(cuts: list[Cut]) -> Cut:
    """The sites together: every core, and every spillover that is no core of another site."""
    core: dict[int, Area] = {}
    spill: dict[int, Area] = {}
    near: dict[int, Area] = {}
    for patch in sorted({patch for cut in cuts for patch in cut["near"]}):
        here = [cut for cut in cuts if patch in cut["near"]]
        cores, spills = (_together(here, zone, patch) for zone in ("core", "spillover"))
        near[patch] = _together(here, "near", patch)
        if not cores.is_empty:
            core[patch] = cores
        if len(here) > 1:
            spills = geometry.take_away(spills, cores)
        if not spills.is_empty:
            spill[patch] = spills
    return {"core": core, "spillover": spill, "near": near}


def _together(cuts: list[Cut], zone: str, patch: int) -> Area:
    """The very same area when only one site has it, so that its piece is shared."""
    areas = [cut[zone][patch] for cut in cuts if patch in cut[zone]]
    return areas[0] if len(areas) == 1 else geometry.unite(areas)


def _mirrored(cuts: list[tuple[str, Cut]], opposite: list[int]) -> list[tuple[str, Cut]]:
    """The left side. An area that several cuts share is mirrored once and stays shared."""
    done: dict[int, Area] = {}

    def mirror(area: Area) -> Area:
        if id(area) not in done:
            done[id(area)] = geometry.mirrored(area, MIDLINE_X)
        return done[id(area)]

    return [
        (
            site,
            {zone: {opposite[p]: mirror(area) for p, area in areas.items()} for zone, areas in cut.items()},
        )
        for site, cut in cuts
    ]


def _sizes(areas: Mapping[int, Area]) -> dict[int, float]:
    return {patch: float(area.area) for patch, area in areas.items()}

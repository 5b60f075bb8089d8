"""The score of the ranking by exact geometry: slow, without cells, to say how much the cells of 2 mm cost.

Zones and drawing are cut up by patches of skin and intersected as polygons; the same numbers (ranking.toml)
and the same index (overlap.graded). Each site alone, without the union of sites.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from bodymaps import geometry, kinds, matching, overlap
from bodymaps import skin as skin_patches
from bodymaps.atlas import SIDES, Atlas
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import MIDLINE_X, Skin

Cut = Mapping[int, Area]
Key = tuple[str, str, str]


def scores(marks: Sequence[Mark], atlas: Atlas) -> dict[Key, float]:
    """Score by muscle, side and site. Marks must be of one kind and not overlap within a view."""
    skin, numbers = skin_patches.load(), matching.parameters()
    density = skin.densities(numbers.region_power)
    weight = kinds.kind(marks[0].kind).weight
    drawn = skin.cut({view: geometry.unite(m.area for m in marks if m.view == view) for view in skin.views})
    total = weight * _weighed(drawn, density)
    found = {}
    for key, core, spillover, near in _patterns(atlas, skin, numbers.near_mm):
        inner, outer, around = (_weighed(_both(drawn, zone), density) for zone in (core, spillover, near))
        found[key] = float(
            overlap.graded(
                numbers.costs,
                drawn=total,
                core_drawn=weight * inner,
                spillover_drawn=weight * outer,
                near_drawn=weight * max(0.0, around - inner - outer),
                core_missing=_weighed(core, density) - inner,
                spillover_missing=_weighed(spillover, density) - outer,
            )
        )
    return found


def _weighed(cut: Cut, density: Sequence[float]) -> float:
    return sum(density[patch] * float(area.area) for patch, area in cut.items())


def _both(first: Cut, second: Cut) -> Cut:
    return {patch: geometry.overlap(area, second[patch]) for patch, area in first.items() if patch in second}


@lru_cache(maxsize=1)
def _patterns(atlas: Atlas, skin: Skin, near_mm: float) -> list[tuple[Key, Cut, Cut, Cut]]:
    found: list[tuple[Key, Cut, Cut, Cut]] = []
    opposite = skin.opposite()
    for muscle in atlas.muscles.values():
        for site in muscle.sites:
            right = _zones(site.zones, skin, near_mm)
            for side in SIDES:
                core, spillover, near = (_on(side, cut, opposite) for cut in right)
                found.append(((muscle.id, side, site.id), core, spillover, near))
    return found


def _on(side: str, cut: Cut, opposite: Sequence[int]) -> Cut:
    if side == SIDES[0]:
        return cut
    return {opposite[patch]: geometry.mirrored(area, MIDLINE_X) for patch, area in cut.items()}


def _zones(zones: Mapping[tuple[str, str], Area], skin: Skin, near_mm: float) -> tuple[Cut, Cut, Cut]:
    """Core, spillover without core, and all within reach, by patch."""
    core = skin.cut({view: area for (view, zone), area in zones.items() if zone == "core"})
    spillover = skin.cut({view: area for (view, zone), area in zones.items() if zone == "spillover"})
    for patch in core.keys() & spillover.keys():
        spillover[patch] = geometry.take_away(spillover[patch], core[patch])
    reach = skin.cut(
        {
            view: geometry.widen(geometry.unite(a for (v, _), a in zones.items() if v == view), near_mm)
            for view in {view for view, _ in zones}
        }
    )
    touched = core.keys() | spillover.keys()
    return core, spillover, {patch: area for patch, area in reach.items() if patch in touched}

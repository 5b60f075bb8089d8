"""Which pattern lies over the drawing: `?pick=infraspinatus.right.upper_belly`, `?pick=C6.left` or
`?pick=median.right`.
"""

from dataclasses import dataclass

from bodymaps import geometry, svg
from bodymaps.atlas import ALL_SITES, SIDES, Atlas, Muscle
from bodymaps.geometry import Area
from charting.drawing.picture import TITLES


@dataclass(frozen=True)
class Pick:
    """A muscle (with one of its sites, or all), a nerve root or another structure, on one side."""

    id: str
    side: str
    site: str = ""
    layer: str = ""

    @property
    def is_root(self) -> bool:
        return not self.site and not self.layer

    @property
    def key(self) -> str:
        return ".".join(part for part in (self.id, self.side, self.site) if part)


@dataclass(frozen=True)
class ZonePicture:
    zone: str
    path: str


@dataclass(frozen=True)
class PointPicture:
    """Where a trigger point or a key sensory point lies, as the corners of a small diamond."""

    path: str


@dataclass(frozen=True)
class LayerPicture:
    """The pattern in one view, to be laid over the drawing of the same view."""

    view: str
    box: str
    zones: tuple[ZonePicture, ...]
    points: tuple[PointPicture, ...]


def parse(text: str, atlas: Atlas) -> Pick | None:
    """The pick of an address, or None when there is none or the atlas does not know it."""
    name, _, rest = text.partition(".")
    side, _, site = rest.partition(".")
    layer = next((layer for layer, found in atlas.structures.items() if name in found), "")
    if layer and not site and side in atlas.structures[layer][name].held_sides:
        return Pick(name, side, layer=layer)
    if side not in SIDES:
        return None
    if name in atlas.dermatomes and not site:
        return Pick(name, side)
    if name in atlas.muscles:
        known = [each.id for each in atlas.muscles[name].sites]
        if len(known) == 1:
            return Pick(name, side, known[0])
        return Pick(name, side, site if site in known else ALL_SITES)
    return None


def layers_of(pick: Pick | None, atlas: Atlas, box: str) -> tuple[LayerPicture, ...]:
    """The pattern by view, in the `box` of the figure under it; empty layers when nothing is picked."""
    return tuple(
        LayerPicture(view, box, _zones(pick, view, atlas), _points(pick, view, atlas)) for view in TITLES
    )


def _zones(pick: Pick | None, view: str, atlas: Atlas) -> tuple[ZonePicture, ...]:
    """Spillover first, so that the core lies on top."""
    if pick is None:
        return ()
    found = _areas(pick, atlas)
    order = {"spillover": 0, "dermatome": 0, "core": 1}
    here = sorted(
        ((zone, area) for (at, zone), area in found.items() if at == view), key=lambda z: order[z[0]]
    )
    return tuple(ZonePicture(zone, svg.path(area)) for zone, area in here if not area.is_empty)


def _areas(pick: Pick, atlas: Atlas) -> dict[tuple[str, str], Area]:
    if pick.layer:
        zones = atlas.structure_zones(pick.layer, pick.id, pick.side)
        return {(zone.view, zone.zone): zone.area for zone in zones}
    return _root_areas(pick, atlas) if pick.is_root else _muscle_areas(pick, atlas)


def _root_areas(pick: Pick, atlas: Atlas) -> dict[tuple[str, str], Area]:
    return {(view, "dermatome"): area for view, area in atlas.dermatome(pick.id, pick.side).items()}


def _muscle_areas(pick: Pick, atlas: Atlas) -> dict[tuple[str, str], Area]:
    muscle = atlas.muscles[pick.id]
    if pick.site == ALL_SITES:
        zones = _united(muscle)
    else:
        zones = dict(next(site.zones for site in muscle.sites if site.id == pick.site))
    return {(view, zone): atlas.on_side(area, view, pick.side) for (view, zone), area in zones.items()}


def _united(muscle: Muscle) -> dict[tuple[str, str], Area]:
    """All sites together: every core, and every spillover that is no core of another site."""
    zones: dict[tuple[str, str], Area] = {}
    for view in TITLES:
        core, spill = (
            geometry.unite(site.zones[view, zone] for site in muscle.sites if (view, zone) in site.zones)
            for zone in ("core", "spillover")
        )
        zones |= {(view, "core"): core, (view, "spillover"): geometry.take_away(spill, core)}
    return zones


def _points(pick: Pick | None, view: str, atlas: Atlas) -> tuple[PointPicture, ...]:
    if pick is None or pick.layer:
        return ()
    if pick.is_root:
        places = [atlas.dermatomes[pick.id].key_point]
    else:
        sites = atlas.muscles[pick.id].sites
        places = [site.at for site in sites if pick.site in (ALL_SITES, site.id)]
    return tuple(
        _diamond(_on_side(place.x, view, pick.side, atlas), place.y) for place in places if place.view == view
    )


def _on_side(x: float, view: str, side: str, atlas: Atlas) -> float:
    return x if side == "right" else 2 * atlas.midlines[view] - x


def _diamond(x: float, y: float, reach: float = 13) -> PointPicture:
    corners = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
    return PointPicture("M" + "L".join(f"{cx:.1f} {cy:.1f}" for cx, cy in corners) + "Z")


def areas_of(pick: Pick, atlas: Atlas) -> tuple[Area, ...]:
    """Every area that a pick shows."""
    return tuple(_areas(pick, atlas).values())

"""Which pattern lies over the drawing: `?pick=infraspinatus.right.upper_belly`, `?pick=C6.left` or
`?pick=median.right`.
"""

from dataclasses import dataclass

from bodymaps.atlas import ALL_SITES, SIDES, Atlas, Place
from bodymaps.geometry import Area
from charting.atlas import shown
from charting.atlas.kinds import Entry
from charting.drawing.picture import TITLES
from charting.drawing.zones import ZonePicture, Zones, points_on, zones_on


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
    zones = _zones(pick, atlas) if pick else {}
    places = _places(pick, atlas) if pick else []
    return tuple(
        LayerPicture(
            view, box, zones_on(view, zones), tuple(PointPicture(path) for path in points_on(view, places))
        )
        for view in TITLES
    )


def areas_of(pick: Pick, atlas: Atlas) -> tuple[Area, ...]:
    """Every area that a pick shows."""
    return tuple(_zones(pick, atlas).values())


def _zones(pick: Pick, atlas: Atlas) -> Zones:
    return shown.zones_of(_entry(pick, atlas), pick.side, pick.site, atlas)


def _places(pick: Pick, atlas: Atlas) -> list[Place]:
    """Points of muscles and roots only: over a drawing, a nerve or an organ shows its zones alone."""
    return [] if pick.layer else shown.places_of(_entry(pick, atlas), pick.side, pick.site, atlas)


def _entry(pick: Pick, atlas: Atlas) -> Entry:
    if pick.layer:
        return atlas.structures[pick.layer][pick.id]
    return atlas.dermatomes[pick.id] if pick.is_root else atlas.muscles[pick.id]

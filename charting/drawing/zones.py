"""The zones and points of a pattern as paths, the same wherever a pattern lies over a figure."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from bodymaps import svg
from bodymaps.geometry import Area
from bodymaps.patterns import Place

# Which zone lies on top; "skin" is that of a nerve root.
ORDER = {"spillover": 0, "skin": 0, "core": 1}
# From the middle of a point's diamond to its corners (mm), on the whole figure.
POINT_REACH = 13.0

Zones = Mapping[tuple[str, str], Area]


class ZonePicture(NamedTuple):
    """One zone in one view; `zone` is one of ORDER."""

    zone: str
    path: str


def zones_on(view: str, zones: Zones) -> tuple[ZonePicture, ...]:
    """Spillover first, so that the core lies on top. `zones`: areas by view and zone."""
    here = ((zone, area) for (at, zone), area in zones.items() if at == view and not area.is_empty)
    ordered = sorted(here, key=lambda each: ORDER[each[0]])
    return tuple(ZonePicture(zone, svg.path(area)) for zone, area in ordered)


def points_on(view: str, places: Iterable[Place], scale: float = 1.0) -> tuple[str, ...]:
    """Each place of this view as a small diamond; `scale` is less than 1 for a figure seen up close."""
    reach = POINT_REACH * scale
    return tuple(svg.diamond(place.x, place.y, reach) for place in places if place.view == view)

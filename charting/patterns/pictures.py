"""A pattern as a picture: both views of the figure with core, spillover and point, and the same in words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from bodymaps import describe, kinds, svg
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.patterns import ZONES, Place
from charting.drawing import picture
from charting.drawing.picture import ViewPicture

DIAMOND_MM = 13.0


@dataclass(frozen=True)
class Layer:
    """The zones over one view, spillover first, and the point as a path or ""."""

    figure: ViewPicture
    zones: tuple[tuple[str, str], ...]
    point: str


def sentences_of(zones: Mapping[tuple[str, str], Area]) -> tuple[str, ...]:
    """ "Core: right outer upper arm (40 cm²)." for each zone."""
    drawn = [Mark(view, zone, area) for (view, zone), area in zones.items()]
    return describe.drawing(drawn, shown=kinds.zones())


def layers_of(zones: Mapping[tuple[str, str], Area], at: Place | None = None) -> tuple[Layer, ...]:
    """Both views of the figure with the zones on top, cut below the hands where nothing lies further down."""
    box = picture.box_for(zones.values())
    return tuple(
        Layer(
            figure=replace(view, words=_words(view, zones)),
            zones=tuple(
                (zone, svg.path(zones[view.view, zone]))
                for zone in reversed(ZONES)
                if (view.view, zone) in zones
            ),
            point=_diamond(at) if at and at.view == view.view else "",
        )
        for view in picture.views_of((), box=box)
    )


def _words(view: ViewPicture, zones: Mapping[tuple[str, str], Area]) -> str:
    said = sentences_of({key: area for key, area in zones.items() if key[0] == view.view})
    return f"{view.title} of the body. {' '.join(said) or 'Nothing of the pattern lies on it.'}"


def _diamond(at: Place) -> str:
    x, y, reach = at.x, at.y, DIAMOND_MM
    corners = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
    return "M" + "L".join(f"{cx:.1f} {cy:.1f}" for cx, cy in corners) + "Z"

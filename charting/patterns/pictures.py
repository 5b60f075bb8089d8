"""A pattern as a picture: both views of the figure with core, spillover and point, and the same in words."""

from dataclasses import dataclass, replace

from bodymaps import describe, kinds
from bodymaps.marks import Mark
from bodymaps.patterns import Place
from charting.drawing import picture
from charting.drawing.picture import ViewPicture
from charting.drawing.zones import ZonePicture, Zones, points_on, zones_on


@dataclass(frozen=True)
class Layer:
    """The zones over one view, spillover first, and the point as a path or ""."""

    figure: ViewPicture
    zones: tuple[ZonePicture, ...]
    point: str


def sentences_of(zones: Zones) -> tuple[str, ...]:
    """ "Core: right outer upper arm (40 cm²)." for each zone."""
    drawn = [Mark(view, zone, area) for (view, zone), area in zones.items()]
    return describe.drawing(drawn, shown=kinds.zones())


def layers_of(zones: Zones, at: Place | None = None) -> tuple[Layer, ...]:
    """Both views of the figure with the zones on top, cut below the hands where nothing lies further down."""
    box = picture.box_for(zones.values())
    return tuple(
        Layer(
            figure=replace(view, words=_words(view, zones)),
            zones=zones_on(view.view, zones),
            point="".join(points_on(view.view, [at] if at else [])),
        )
        for view in picture.views_of((), box=box)
    )


def _words(view: ViewPicture, zones: Zones) -> str:
    said = sentences_of({key: area for key, area in zones.items() if key[0] == view.view})
    return f"{view.title} of the body. {' '.join(said) or 'Nothing of the pattern lies on it.'}"

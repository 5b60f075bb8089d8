"""A pattern as a picture: its zones and points by view, in plain values for screen and paper.

Line widths follow the part of the figure that is shown, so that a hand up close has no thicker edges than a
whole body. Every number is a string made here (dot decimals).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from bodymaps import geometry, svg
from bodymaps.atlas import ALL_SITES, Atlas, Dermatome, Muscle, Place
from bodymaps.geometry import Area
from bodymaps.patterns import Structure
from charting.atlas.kinds import Entry
from charting.drawing import picture
from charting.drawing.picture import ViewPicture
from charting.drawing.zones import ZonePicture, Zones, points_on, zones_on

# The whole frame, at whose size the widths below are right.
WHOLE_HEIGHT = 1724.0
WHOLE_WIDTH = 890.0
WIDTHS = {"halo": 9.0, "edge": 5.0, "light": 4.0, "on": 15.0, "off": 9.0, "dot": 3.0, "outline": 2.6}
MARK_REACH = 34.0
# Round a pattern up close: as much again as a hand's breadth, and never less than a forearm's length.
MARGIN, LEAST = 70.0, 430.0


@dataclass(frozen=True)
class Lines:
    """Line widths and dashes (mm) for one size of the picture."""

    halo: str
    edge: str
    light: str
    dash: str
    dots: str
    outline: str


@dataclass(frozen=True)
class LayerPicture:
    """The pattern in one view, in the `box` of the figure under it. `points`: corners of small diamonds."""

    view: str
    box: str
    zones: tuple[ZonePicture, ...]
    points: tuple[str, ...]
    lines: Lines

    @property
    def is_empty(self) -> bool:
        return not self.zones and not self.points


@dataclass(frozen=True)
class MarkPicture:
    """What was asked about in one view: the ring and cross round a point, or the edge of a region."""

    view: str
    box: str
    ring: str
    region: str
    lines: Lines


@cache
def bodies() -> Mapping[str, ViewPicture]:
    """The figure without anything on it, by view."""
    return {view.view: view for view in picture.views_of(())}


def layers(
    entry: Entry | None, side: str, site: str, known: Atlas, boxes: Mapping[str, str]
) -> tuple[LayerPicture, ...]:
    """The pattern by view; empty layers without an entry. `site`: one of a muscle's, or ALL_SITES."""
    zones = zones_of(entry, side, site, known) if entry else {}
    places = places_of(entry, side, site, known) if entry else []
    return tuple(
        LayerPicture(view, box, zones_on(view, zones), points_on(view, places, _scale(box)), lines_for(box))
        for view, box in boxes.items()
    )


def zones_of(entry: Entry, side: str, site: str, known: Atlas) -> Zones:
    """The zones of an entry on one side, by view and zone ("core", "spillover", "skin")."""
    if isinstance(entry, Dermatome):
        return {(view, "skin"): area for view, area in known.dermatome(entry.id, side).items()}
    if isinstance(entry, Muscle):
        felt = entry.zones_of(site).items()
        return {(view, zone): known.on_side(area, view, side) for (view, zone), area in felt}
    return {(zone.view, zone.zone): zone.area for zone in known.structure_zones(entry.layer, entry.id, side)}


def spots_of(entry: Entry, side: str, known: Atlas) -> list[tuple[str, Area]]:
    """The points of an entry as small areas by view, to make room for them."""
    return [
        (place.view, geometry.box(place.x - 1, place.y - 1, place.x + 1, place.y + 1))
        for place in places_of(entry, side, ALL_SITES, known)
        if place.view in picture.TITLES
    ]


def boxes_round(areas: Iterable[tuple[str, Area]]) -> dict[str, str]:
    """By view the part of the figure that holds its areas, all of one size; views without any are left out.

    A pattern that runs down the whole body shows the whole body.
    """
    bounds = {view: geometry.unite(those).bounds for view, those in _by_view(areas).items()}
    if not bounds:
        return {view: picture.WHOLE for view in picture.TITLES}
    height = max(LEAST, *(down - up + 2 * MARGIN for _, up, _, down in bounds.values()))
    width = max(LEAST * 0.8, *(right - left + 2 * MARGIN for left, _, right, _ in bounds.values()))
    # Neither a strip nor a bar: both sides keep room for what is round the pattern.
    height, width = min(max(height, 1.1 * width), WHOLE_HEIGHT), min(max(width, 0.52 * height), WHOLE_WIDTH)
    return {
        view: picture.box_round(((left + right) / 2, (up + down) / 2), (width, height))
        for view, (left, up, right, down) in bounds.items()
    }


def marks(
    point: tuple[str, float, float] | None, region: Sequence[tuple[str, Area]], boxes: Mapping[str, str]
) -> tuple[MarkPicture, ...]:
    """What was asked about, by view; empty marks where nothing was."""
    return tuple(
        MarkPicture(view, box, _ring(view, point, box), _edge(view, region), lines_for(box))
        for view, box in boxes.items()
    )


def lines_for(box: str) -> Lines:
    size = {name: f"{width * _scale(box):.1f}" for name, width in WIDTHS.items()}
    dash, dots = f"{size['on']} {size['off']}", f"{size['dot']} {size['off']}"
    return Lines(size["halo"], size["edge"], size["light"], dash, dots, size["outline"])


def _scale(box: str) -> float:
    """1 for the whole figure, less for a part of it."""
    _, _, width, height = (float(edge) for edge in box.split())
    return max(width / WHOLE_WIDTH, height / WHOLE_HEIGHT)


def _by_view(areas: Iterable[tuple[str, Area]]) -> dict[str, list[Area]]:
    found: dict[str, list[Area]] = {}
    for view, area in areas:
        if not area.is_empty:
            found.setdefault(view, []).append(area)
    return {view: found[view] for view in picture.TITLES if view in found}


def places_of(entry: Entry, side: str, site: str, known: Atlas) -> list[Place]:
    """Where its points lie on a side; what there is once lies where it lies."""
    if isinstance(entry, Dermatome):
        drawn = [entry.key_point]
    elif isinstance(entry, Muscle):
        drawn = [each.at for each in entry.sites if site in (ALL_SITES, each.id)]
    else:
        drawn = [entry.at] if entry.at else []
    if side != "left" or (isinstance(entry, Structure) and entry.sides != "paired"):
        return drawn
    return [
        Place(place.view, 2 * known.midlines[place.view] - place.x, place.y)
        for place in drawn
        if place.view in known.midlines
    ]


def _ring(view: str, point: tuple[str, float, float] | None, box: str) -> str:
    """A circle with four ticks that leave the point itself free."""
    if point is None or point[0] != view:
        return ""
    _, x, y = point
    reach = MARK_REACH * _scale(box)
    near, far = 0.55 * reach, 1.5 * reach
    circle = f"M{x - reach:.1f} {y:.1f}a{reach:.1f} {reach:.1f} 0 1 0 {2 * reach:.1f} 0"
    circle += f"a{reach:.1f} {reach:.1f} 0 1 0 {-2 * reach:.1f} 0"
    ticks = "".join(
        f"M{x + near * dx:.1f} {y + near * dy:.1f}L{x + far * dx:.1f} {y + far * dy:.1f}"
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))
    )
    return circle + ticks


def _edge(view: str, region: Sequence[tuple[str, Area]]) -> str:
    return "".join(svg.path(area) for at, area in region if at == view)

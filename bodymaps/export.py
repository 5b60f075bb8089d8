"""The whole atlas as one GeoJSON-shaped FeatureCollection in figure millimetres, for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bodymaps import figure, geometry, regions
from bodymaps.atlas import SIDES, VIEWS, Atlas
from bodymaps.geometry import Area

Feature = dict[str, Any]


def feature_collection(atlas: Atlas) -> dict[str, Any]:
    """Layers `outline`, `region`, `pattern`, `dermatome`, `peripheral_nerve`, `plexus`, `joint_referral` and
    `visceral`; both sides; frames and midlines at the top level.

    `side` is the patient's: of the body for outlines and regions, of the muscle for patterns (a pattern may
    cross the midline), of the root for dermatomes, of the nerve, joint or organ; `midline` for a single one
    in the middle. In the front view the patient's right has the smaller x, in the back view the larger.
    """
    body = figure.load()
    return {
        "type": "FeatureCollection",
        "atlas": atlas.version,
        "figure": body.version,
        "units": "mm",
        "frames": {
            view: {
                "width": body.view(view).width,
                "height": body.view(view).height,
                "midline_x": body.view(view).midline_x,
            }
            for view in VIEWS
        },
        "features": [
            {
                "type": "Feature",
                "properties": {**one["properties"], "atlas": atlas.version},
                "geometry": one["geometry"],
            }
            for one in _all(atlas)
        ],
    }


def _all(atlas: Atlas) -> Iterator[Feature]:
    yield from _outlines()
    for one in regions.load():
        yield _feature("region", one.id, one.view, one.side, geometry.as_area(one.area))
    for muscle in atlas.muscles:
        for side in SIDES:
            for zone in atlas.zones(muscle, side):
                yield _feature("pattern", muscle, zone.view, side, zone.area, zone=zone.zone, site=zone.site)
    for root in atlas.dermatomes:
        for side in SIDES:
            for view, area in atlas.dermatome(root, side).items():
                yield _feature("dermatome", root, view, side, area)
    yield from _structures(atlas)


def _structures(atlas: Atlas) -> Iterator[Feature]:
    for layer, structures in atlas.structures.items():
        for name, structure in structures.items():
            for side in structure.held_sides:
                for zone in atlas.structure_zones(layer, name, side):
                    yield _feature(layer, name, zone.view, side, zone.area, zone=zone.zone)


def _outlines() -> Iterator[Feature]:
    for view in VIEWS:
        yield _feature("outline", "body", view, "midline", geometry.as_area(figure.load().view(view).body))
        for side, sole in figure.load().view(view).soles.items():
            yield _feature("outline", "sole", view, side, geometry.as_area(sole))


def _feature(layer: str, name: str, view: str, side: str, area: Area, **more: str) -> Feature:
    polygons = geometry.rings_of(area)
    shape = (
        {"type": "Polygon", "coordinates": polygons[0]}
        if len(polygons) == 1
        else {"type": "MultiPolygon", "coordinates": polygons}
    )
    return {"properties": {"layer": layer, "id": name, "view": view, "side": side, **more}, "geometry": shape}

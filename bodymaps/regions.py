"""Where each named region of the skin lies: polygons that fill each view without gap or overlap."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps import figure, geometry
from bodymaps.geometry import Area

# Regions at the edge of the figure that are the same skin in both views: their definitions name one surface
# "as seen from the front" and "as seen from behind". Other edge regions are defined by different landmarks.
TWINS = (
    ("front:head_vertex", "back:head_vertex"),
    ("front:arm_lateral", "back:arm_lateral"),
    ("front:thigh_lateral", "back:thigh_lateral"),
)


# For the device: vertices that may go from a ring, and gaps (between toes) that are closed to make it one.
RING_TOLERANCE_MM, RING_GAP_MM = 0.6, 5.0


@dataclass(frozen=True)
class Name:
    """An entry of the vocabulary. chart: area of the Lund-Browder chart, see lund_browder.toml."""

    id: str
    midline: bool
    chart: str
    definition: str


@dataclass(frozen=True)
class Region:
    """A region on one side ("right", "left" of the patient, or "midline"), in figure millimetres."""

    id: str
    view: str
    side: str
    area: Area

    @property
    def key(self) -> str:
        """Region and side in one word: "front:shoulder_anterior right"."""
        return f"{self.id} {self.side}"


@cache
def names() -> tuple[Name, ...]:
    """The vocabulary of regions in the order of the body, from data/figure/names.toml."""
    entries = tomllib.loads((figure.FOLDER / "names.toml").read_text())["region"]
    return tuple(Name(**entry) for entry in entries)


@cache
def load() -> tuple[Region, ...]:
    """All regions of both views, from data/figure/regions.json, read once."""
    data = json.loads((figure.FOLDER / "regions.json").read_text())
    return tuple(Region(entry["id"], entry["view"], entry["side"], _area(entry)) for entry in data["regions"])


@cache
def known() -> frozenset[str]:
    """The key of every region on every side."""
    return frozenset(one.key for one in load())


def ring(region: Region) -> list[list[float]]:
    """The edge of a region as one ring of at most 120 points (mm, not closed), within 1.5 mm of it.

    Toes that stand apart are joined: what lies between them is no body and is clipped when it is painted.
    """
    whole = geometry.as_area(region.area)
    if len(whole.geoms) > 1:
        whole = geometry.widen(geometry.widen(whole, RING_GAP_MM / 2), -RING_GAP_MM / 2)
    # One patch without holes, as a test sees for every region.
    return geometry.rings_of(geometry.thinned_outline(whole, RING_TOLERANCE_MM))[0][0][:-1]


def _area(entry: dict[str, Any]) -> Area:
    return geometry.area_from_polygons(entry.get("multipolygon") or [entry["polygon"]])

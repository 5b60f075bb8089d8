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


def _area(entry: dict[str, Any]) -> Area:
    return geometry.area_from_polygons(entry.get("multipolygon") or [entry["polygon"]])

"""What the body looks like: its two views, their outlines and the named landmarks.

Figure millimetres: y down, x to the viewer's right, origin top left of a frame 1000 wide and 1700 high,
midline at x = 500. In the front view the patient's right has the smaller x, in the back view the larger.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import geometry
from bodymaps.geometry import Area

FOLDER = Path(__file__).parent / "data" / "figure"
VIEWS = ("front", "back")

Place = tuple[float, float]


@dataclass(frozen=True)
class View:
    """One view of the body. outline: the body and, in the back view, both soles; body: without the soles."""

    name: str
    width: float
    height: float
    midline_x: float
    outline: Area
    body: Area
    soles: Mapping[str, Area]
    relief: str


@dataclass(frozen=True)
class Figure:
    """The figure of one data version. landmarks and joint centres by view, of the patient's right side and
    the midline.
    """

    version: str
    views: Mapping[str, View]
    landmarks: Mapping[str, Mapping[str, Place]]
    joints: Mapping[str, Mapping[str, Place]]

    def view(self, name: str) -> View:
        return self.views[name]

    def landmark(self, view: str, name: str, side: str = "right") -> Place:
        """(x, y) of a landmark; side "left" gives its mirror image. KeyError for an unknown name."""
        x, y = self.landmarks[view][name]
        return (2 * self.views[view].midline_x - x, y) if side == "left" else (x, y)


@cache
def load() -> Figure:
    """The figure from data/figure/figure.json, read once."""
    data = json.loads((FOLDER / "figure.json").read_text())
    views = {name: _view(name, entry) for name, entry in data["views"].items()}
    return Figure(data["version"], views, _places(data["landmarks"]), _places(data["joints"]))


def _places(entries: dict[str, dict[str, list[float]]]) -> dict[str, dict[str, Place]]:
    return {
        view: {name: (float(x), float(y)) for name, (x, y) in named.items()}
        for view, named in entries.items()
    }


def _view(name: str, entry: dict[str, Any]) -> View:
    body = geometry.area_from_rings(entry["outline"])
    soles = {side: geometry.area_from_rings(rings) for side, rings in entry.get("soles", {}).items()}
    return View(
        name=name,
        width=entry["width"],
        height=entry["height"],
        midline_x=entry["midline_x"],
        outline=geometry.unite([body, *soles.values()]),
        body=body,
        soles=soles,
        relief=entry["relief"],
    )

"""Where each named landmark lies: reads landmarks.toml against the joints and the outline of one figure."""

from __future__ import annotations

import tomllib
from pathlib import Path

import shapely
from shapely import Geometry
from shapely.geometry import LineString

from bodymaps.making.outline import MIDLINE

SOURCE = Path(__file__).with_name("landmarks.toml")
SHIFTS = ("lat", "med", "up", "down")
Place = tuple[float, float]


class LandmarkError(ValueError):
    """A place that cannot be read; the message names view, landmark and words."""


def located(view: str, joints: dict[str, Place], outline: Geometry) -> dict[str, Place]:
    """All landmarks of a view in reading order, to 0.1 mm. joints: "j:knee" etc. in the same frame."""
    places = dict(joints)
    names = tomllib.loads(SOURCE.read_text())[view]
    for name, words in names.items():
        try:
            places[name] = place(words, places, outline, view)
        except (KeyError, IndexError, ValueError) as trouble:
            raise LandmarkError(f"{view} {name}: cannot read {words!r} ({trouble})") from trouble
    return {name: (round(places[name][0], 1), round(places[name][1], 1)) for name in names}


def place(words: str | list[float], places: dict[str, Place], outline: Geometry, view: str) -> Place:
    """One place from its words; see the head of landmarks.toml."""
    if not isinstance(words, str):
        return float(words[0]), float(words[1])
    tokens = words.split()
    x, y = places[tokens.pop(0)]
    outward = -1 if view == "front" else 1
    while tokens:
        word = tokens.pop(0)
        if word == "edge":
            direction = outward if tokens.pop(0) == "lat" else -outward
            x = _edge(outline, x, y, direction) - direction * float(tokens.pop(0))
        elif word == "across":
            lateral = _edge(outline, x, y, outward)
            x = lateral + float(tokens.pop(0)) * (_edge(outline, x, y, -outward) - lateral)
        elif word in SHIFTS:
            step = float(tokens.pop(0))
            x += {"lat": outward, "med": -outward}.get(word, 0) * step
            y += {"down": 1, "up": -1}.get(word, 0) * step
        else:
            (tx, ty), part = places[tokens.pop(0)], float(word)
            x, y = x + (tx - x) * part, y + (ty - y) * part
    return x, y


def _edge(outline: Geometry, x: float, y: float, direction: int) -> float:
    """x where the outline ends, level with (x, y), going in the direction from there."""
    level = LineString([(-100, y), (2 * MIDLINE + 100, y)]).intersection(outline)
    spans = [shapely.bounds(part) for part in shapely.get_parts(level)]
    left, _, right, _ = next(span for span in spans if span[0] <= x <= span[2])
    return right if direction > 0 else left

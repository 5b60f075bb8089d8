"""The kinds of pain a patient can draw and the findings a clinician can, in the one fixed order of
data/kinds.toml: words, colours, textures, weights.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "data" / "kinds.toml"
ZONES_FILE = FILE.with_name("zones.toml")

Polyline = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Texture:
    """A tile (mm) of polylines that repeats in both directions, drawn `width` mm wide with round ends."""

    tile: tuple[float, float]
    lines: tuple[Polyline, ...]
    width: float


@dataclass(frozen=True)
class Kind:
    """One kind of pain, or a finding. `colour` fills, `ink` (a darker shade) draws the texture and the edge.

    `weight` (0..1] is how much an area of this kind says about a muscle; `nerve` kinds are also held
    against roots. A finding has no weight: it is shown and printed, never ranked.
    """

    id: str
    label: str
    patient_words: str
    colour: str
    ink: str
    texture: Texture
    weight: float
    nerve: bool
    finding: bool = False


@cache
def load() -> tuple[Kind, ...]:
    """All of them: the kinds of pain, then the findings."""
    with FILE.open("rb") as file:
        return tuple(_kind(entry) for entry in tomllib.load(file)["kind"])


@cache
def zones() -> tuple[Kind, ...]:
    """Core and spillover, as they are drawn when a pattern is: kinds of no drawing of a patient."""
    with ZONES_FILE.open("rb") as file:
        return tuple(_kind(entry) for entry in tomllib.load(file)["zone"])


def _kind(entry: dict[str, Any]) -> Kind:
    return Kind(**{**entry, "texture": _texture(entry["texture"])})


def _texture(entry: dict[str, Any]) -> Texture:
    lines = tuple(tuple((float(x), float(y)) for x, y in line) for line in entry["lines"])
    return Texture((float(entry["tile"][0]), float(entry["tile"][1])), lines, float(entry["width"]))


def kind(kind_id: str) -> Kind:
    """Raises KeyError for an unknown id."""
    return {one.id: one for one in load()}[kind_id]


def symptoms() -> tuple[Kind, ...]:
    """The kinds of pain alone: what is ranked, grouped into areas and asked about."""
    return tuple(one for one in load() if not one.finding)


# The kinds of pain, the findings, and both: what a stroke may show.
IDS: tuple[str, ...] = tuple(one.id for one in symptoms())
FINDINGS: tuple[str, ...] = tuple(one.id for one in load() if one.finding)
ALL_IDS: tuple[str, ...] = IDS + FINDINGS


def as_json(shown: tuple[Kind, ...] | None = None) -> list[dict[str, object]]:
    """Everything the drawing board needs to know of the kinds and findings (or those given), as JSON."""
    return [
        {
            "id": one.id,
            "label": one.label,
            "patient_words": one.patient_words,
            "colour": one.colour,
            "ink": one.ink,
            "texture": {
                "tile": one.texture.tile,
                "lines": one.texture.lines,
                "width": one.texture.width,
                "dots": [],
            },
            "weight": one.weight,
            "nerve": one.nerve,
            "finding": one.finding,
        }
        for one in (load() if shown is None else shown)
    ]

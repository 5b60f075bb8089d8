"""What the atlas is made of: muscles with their sites and zones, dermatomes, sources; and the muscles known
by name.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bodymaps import geometry
from bodymaps.geometry import Area

FOLDER = Path(__file__).parent / "data" / "atlas"
MUSCLES = FOLDER / "muscles.toml"

VIEWS = ("front", "back")
ZONES = ("core", "spillover")
# The name under which all sites of a muscle stand together in a ranking.
ALL_SITES = "all"
SIDES = ("right", "left")
HOW_COMMON = ("very common", "common", "occasional", "rare")
STATUS = ("from memory", "checked")


class AtlasError(ValueError):
    """A file of the atlas that cannot be used: which file, which entry in it, and why."""

    def __init__(self, file: str, entry: str, reason: str) -> None:
        super().__init__(f"{file}: {entry}: {reason}")
        self.file, self.entry, self.reason = file, entry, reason


@dataclass(frozen=True)
class Source:
    work: str
    chapter: str
    status: str


@dataclass(frozen=True)
class Innervation:
    nerve: str
    roots: tuple[str, ...]


@dataclass(frozen=True)
class Place:
    """A point (mm) on the patient's right side, or on the midline."""

    view: str
    x: float
    y: float


@dataclass(frozen=True)
class Site:
    """One trigger-point site: where it lies and the zones (by view and zone) it refers to, right side."""

    id: str
    where: str
    how_common: str
    note: str
    at: Place
    zones: Mapping[tuple[str, str], Area]


@dataclass(frozen=True)
class Muscle:
    id: str
    name: str
    group: str
    attachments: tuple[str, ...]
    action: str
    innervation: Innervation
    cautions: tuple[str, ...]
    commonly_mistaken_for: tuple[str, ...]
    sources: tuple[Source, ...]
    sites: tuple[Site, ...]


@dataclass(frozen=True)
class Dermatome:
    """The skin of one nerve root, right side, with its published key sensory point."""

    id: str
    note: str
    source: str
    key_point: Place
    described: str
    areas: Mapping[str, Area]


@dataclass(frozen=True)
class Zone:
    """One zone of one site of a muscle of the given side, in one view."""

    view: str
    side: str
    site: str
    zone: str
    area: Area


@dataclass(frozen=True, eq=False)
class Atlas:
    """Compared by identity, so that what is computed from an atlas can be kept beside it."""

    version: str
    figure: str
    muscles: Mapping[str, Muscle]
    dermatomes: Mapping[str, Dermatome]
    midlines: Mapping[str, float]

    def zones(self, muscle_id: str, side: str) -> list[Zone]:
        """The zones of all sites of a muscle; for the left side they are the mirror of the right."""
        return [
            Zone(view, side, site.id, zone, self.on_side(area, view, side))
            for site in self.muscles[muscle_id].sites
            for (view, zone), area in site.zones.items()
        ]

    def dermatome(self, root: str, side: str) -> dict[str, Area]:
        """The areas of a nerve root by view."""
        areas = self.dermatomes[root].areas
        return {view: self.on_side(area, view, side) for view, area in areas.items()}

    def on_side(self, area: Area, view: str, side: str) -> Area:
        """An area drawn for the right side, for the side asked for."""
        return area if side == "right" else geometry.mirrored(area, self.midlines[view])


@cache
def known_muscles() -> dict[str, tuple[str, str]]:
    """Name and group of every muscle the product knows, by id, in the fixed order of ties."""
    with MUSCLES.open("rb") as file:
        return {entry["id"]: (entry["name"], entry["group"]) for entry in tomllib.load(file)["muscle"]}

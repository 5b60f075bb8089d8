"""What the atlas is made of: muscles with their sites and zones, dermatomes, sources; and the muscles known
by name.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
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
# Structures a needle can hurt; "none" says why there is nothing.
AT_RISK = (
    "pleura",
    "vessel",
    "nerve",
    "kidney",
    "cord",
    "abdominal organ",
    "pelvic organ",
    "eye",
    "airway",
    "gland",
    "joint",
    "none",
)
# What can hurt like a muscle, beside the nerve roots.
LAYERS = ("peripheral_nerve", "plexus", "joint_referral", "visceral")
# A pair is drawn for the right side and mirrored; a single one lies where it lies.
STRUCTURE_SIDES = ("paired", "right", "left", "midline")
FELT = ("skin", "deep")


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
class AtRisk:
    """A structure a needle in this muscle can hurt (one of AT_RISK), how it is avoided, and who says so."""

    structure: str
    words: str
    source: str


@dataclass(frozen=True)
class Muscle:
    """A muscle with its trigger-point sites. `synergists` and `often_with` (commonly involved with it) are
    ids of muscles.
    """

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
    synergists: tuple[str, ...] = ()
    often_with: tuple[str, ...] = ()
    brings_on: tuple[str, ...] = ()
    eases: tuple[str, ...] = ()
    position: str = ""
    find: str = ""
    depth: str = ""
    neighbours: tuple[str, ...] = ()
    at_risk: tuple[AtRisk, ...] = ()

    @property
    def dangers(self) -> tuple[str, ...]:
        """Every caution in words: the structures at risk, then the rest."""
        return (*(one.words for one in self.at_risk), *self.cautions)

    def zones_of(self, site: str = ALL_SITES) -> dict[tuple[str, str], Area]:
        """What is felt from one site, or from all together, right side, by view and zone.

        Together: every core, and every spillover that is no core of another site.
        """
        if site != ALL_SITES:
            return dict(next(one.zones for one in self.sites if one.id == site))
        zones: dict[tuple[str, str], Area] = {}
        for view in VIEWS:
            core, spill = (
                geometry.unite(one.zones[view, zone] for one in self.sites if (view, zone) in one.zones)
                for zone in ZONES
            )
            zones |= {(view, "core"): core, (view, "spillover"): geometry.take_away(spill, core)}
        return {key: area for key, area in zones.items() if not area.is_empty}


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
class Structure:
    """A nerve, plexus, joint or organ, and where its pain or numbness is felt.

    `sides` is one of STRUCTURE_SIDES. Zones of a pair are drawn for the right side, those of a single one as
    they lie. `urgent`: may need a physician the same day. `felt`: one of FELT, asked of nerves: "deep" when
    what it hurts like is an ache, not a change of the skin's feeling.
    """

    id: str
    name: str
    layer: str
    sides: str
    roots: tuple[str, ...]
    points_to: tuple[str, ...]
    examine: tuple[str, ...]
    told_apart: tuple[str, ...]
    urgent: bool
    note: str
    sources: tuple[Source, ...]
    at: Place | None
    zones: Mapping[tuple[str, str], Area]
    felt: str = "skin"

    @property
    def held_sides(self) -> tuple[str, ...]:
        return SIDES if self.sides == "paired" else (self.sides,)


@dataclass(frozen=True)
class Zone:
    """One zone in one view, of one site of a muscle of the given side or of a structure (site "")."""

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
    structures: Mapping[str, Mapping[str, Structure]] = field(default_factory=dict)

    def zones(self, muscle_id: str, side: str) -> list[Zone]:
        """The zones of all sites of a muscle; for the left side they are the mirror of the right."""
        return [
            Zone(view, side, site.id, zone, self.on_side(area, view, side))
            for site in self.muscles[muscle_id].sites
            for (view, zone), area in site.zones.items()
        ]

    def structure_zones(self, layer: str, name: str, side: str) -> list[Zone]:
        """The zones of a nerve, plexus, joint or organ; `side` is one of its `held_sides`."""
        one = self.structures[layer][name]
        return [
            Zone(
                view,
                side,
                "",
                zone,
                self.on_side(area, view, side) if one.sides == "paired" else area,
            )
            for (view, zone), area in one.zones.items()
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


def status_counts(atlas: Atlas) -> dict[str, dict[str, int]]:
    """How many cited sources of each layer were seen for this work ("checked") and how many are "from
    memory"; a dermatome, whose source is one sentence, counts as from memory when it says so.
    """
    entries = {
        "pattern": [source.status for one in atlas.muscles.values() for source in one.sources],
        "dermatome": [
            STATUS[0] if STATUS[0] in one.source else STATUS[1] for one in atlas.dermatomes.values()
        ],
        **{
            layer: [source.status for one in found.values() for source in one.sources]
            for layer, found in atlas.structures.items()
        },
    }
    return {
        layer: {status: found.count(status) for status in STATUS} for layer, found in entries.items() if found
    }

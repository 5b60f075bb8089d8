"""What refers here? Everything of an atlas whose pattern holds a point, or is felt in a region of the skin.

A point is answered exactly (edges count). Pairs are drawn for the right side: for the left the question is
mirrored, not the pattern.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

from bodymaps import geometry, regions
from bodymaps.geometry import Area
from bodymaps.patterns import HOW_COMMON, LAYERS, SIDES, Atlas
from bodymaps.skin import Patch

FILE = Path(__file__).parent / "data" / "where.toml"
# The layers of an answer, in its order.
ORDER = ("pattern", "dermatome", *LAYERS)
# A dermatome has one zone, the usual skin of its root: it stands with the cores.
SKIN = "skin"
FIRST_ZONES = ("core", SKIN)

Test = Callable[[Sequence[Area], bool], list[bool]]


@dataclass(frozen=True)
class Holder:
    """One muscle, root, nerve, plexus, joint or organ on one side that is felt here.

    layer: one of ORDER. side: "right", "left" or "midline" of the structure, not of the place asked about.
    zone: "core", "spillover", or "skin" for a dermatome; the core where both hold. sites: the sites of a
    muscle that have this zone here, in the order of the atlas; () for the rest.
    """

    layer: str
    id: str
    side: str
    zone: str
    sites: tuple[str, ...] = ()


@dataclass(frozen=True)
class Piece:
    """One zone in one view as it is drawn: of a pair for the right side, of a single one as it lies."""

    layer: str
    id: str
    site: str
    view: str
    zone: str
    side: str
    is_paired: bool
    area: Area


def refers_here(atlas: Atlas, view: str, x: float, y: float) -> tuple[Holder, ...]:
    """Everything whose core or spillover holds the point (mm of `view`), cores first.

    Within cores and within spillovers: by layer (ORDER), muscles by how common the site is, then the order of
    the atlas, right before left. Empty off the body. About a millisecond for a whole atlas.
    """
    across = 2 * atlas.midlines[view] - x

    def holds(areas: Sequence[Area], mirrored: bool) -> list[bool]:
        return geometry.which_hold(areas, across if mirrored else x, y)

    return _ordered(atlas, _held(atlas, view, holds))


def refers_into(atlas: Atlas, patch: Patch) -> tuple[Holder, ...]:
    """Everything that is felt in a notable part of a region, in the order of `refers_here`.

    A region that both views show (`Patch.ids`) is asked about in both. What is notable: data/where.toml.
    """
    found: list[tuple[Piece, str]] = []
    for one in regions.load():
        if one.id in patch.ids and one.side == patch.side:
            found += _held(atlas, one.view, _touching(atlas, one.view, geometry.as_area(one.area)))
    return _ordered(atlas, found)


def _touching(atlas: Atlas, view: str, region: Area) -> Test:
    across = geometry.mirrored(region, atlas.midlines[view])
    limits = _limits()

    def touches(areas: Sequence[Area], mirrored: bool) -> list[bool]:
        shared = geometry.overlap_sizes(across if mirrored else region, areas)
        return [
            size > 0 and (size >= limits["of_region"] * region.area or size >= limits["of_zone"] * area.area)
            for size, area in zip(shared, areas, strict=True)
        ]

    return touches


def _held(atlas: Atlas, view: str, test: Test) -> list[tuple[Piece, str]]:
    """The pieces that pass, each with the side of the body its pattern belongs to."""
    here = [piece for piece in pieces(atlas) if piece.view == view]
    pairs = [piece for piece in here if piece.is_paired]
    as_drawn = zip(here, test([piece.area for piece in here], False), strict=True)
    mirrored = zip(pairs, test([piece.area for piece in pairs], True), strict=True)
    return [
        *((piece, piece.side) for piece, passes in as_drawn if passes),
        *((piece, "left") for piece, passes in mirrored if passes),
    ]


def _ordered(atlas: Atlas, found: Iterable[tuple[Piece, str]]) -> tuple[Holder, ...]:
    by_holder: dict[tuple[str, str, str], list[Piece]] = {}
    for piece, side in found:
        by_holder.setdefault((piece.layer, piece.id, side), []).append(piece)
    places = _places(atlas)
    holders = [_holder(key, held) for key, held in by_holder.items()]
    return tuple(sorted(holders, key=lambda one: _rank(one, atlas, places)))


def _holder(key: tuple[str, str, str], held: Sequence[Piece]) -> Holder:
    cores = [piece for piece in held if piece.zone in FIRST_ZONES]
    telling = cores or held
    sites = dict.fromkeys(piece.site for piece in telling if piece.site)
    return Holder(*key, zone=telling[0].zone, sites=tuple(sites))


def _rank(one: Holder, atlas: Atlas, places: Mapping[tuple[str, str], int]) -> tuple[int, ...]:
    common = 0
    if one.layer == "pattern":
        sites = [site for site in atlas.muscles[one.id].sites if site.id in one.sites]
        # A practice's own pattern says something else there, and stands first.
        common = min(HOW_COMMON.index(s.how_common) if s.how_common in HOW_COMMON else -1 for s in sites)
    side = SIDES.index(one.side) if one.side in SIDES else 0
    return (one.zone not in FIRST_ZONES, ORDER.index(one.layer), common, places[one.layer, one.id], side)


@lru_cache(maxsize=8)
def _places(atlas: Atlas) -> dict[tuple[str, str], int]:
    return {
        key: place for place, key in enumerate(dict.fromkeys((one.layer, one.id) for one in pieces(atlas)))
    }


@lru_cache(maxsize=8)
def pieces(atlas: Atlas) -> tuple[Piece, ...]:
    """Every zone of every layer, once; empty areas are left out."""
    muscles = (
        Piece("pattern", muscle.id, site.id, view, zone, "right", True, area)
        for muscle in atlas.muscles.values()
        for site in muscle.sites
        for (view, zone), area in site.zones.items()
    )
    skins = (
        Piece("dermatome", root.id, "", view, SKIN, "right", True, area)
        for root in atlas.dermatomes.values()
        for view, area in root.areas.items()
    )
    others = (
        Piece(layer, one.id, "", view, zone, one.held_sides[0], one.sides == "paired", area)
        for layer, held in atlas.structures.items()
        for one in held.values()
        for (view, zone), area in one.zones.items()
    )
    return tuple(piece for piece in (*muscles, *skins, *others) if not piece.area.is_empty)


@cache
def _limits() -> dict[str, float]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))

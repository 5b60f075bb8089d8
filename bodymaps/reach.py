"""Which regions, quadrants and sites of widespread pain a drawing touches: the 19 sites and 5 parts of the
criteria of 2016, read from data/extent.toml.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Any

from bodymaps import geometry, regions
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import Skin

FILE = Path(__file__).parent / "data" / "extent.toml"
SIDES = ("right", "left")
QUADRANTS = ("upper right", "upper left", "lower right", "lower left")
AXIAL = "axial"


class ReachError(ValueError):
    """A table of sites that does not fit the figure; the message names the entry."""


@dataclass(frozen=True)
class PainSite:
    """A site on one side, or of the whole body (side ""); `part` is a quadrant or "axial", `halves` which
    segments it lies in by region id. `to_parts`: counts towards the five parts and the 15 sites.
    `listed`: one of the 19; else a place beside them.
    """

    id: str
    side: str
    words: str
    part: str
    to_parts: bool
    axial_1990: bool
    listed: bool
    halves: tuple[tuple[str, str], ...]

    @property
    def label(self) -> str:
        return f"{self.side} {self.words}".strip()

    def holds(self, region_id: str, side: str) -> bool:
        return (self.side in ("", side) or side == "midline") and region_id in dict(self.halves)


@dataclass(frozen=True)
class Reach:
    """Where pain is drawn. `regions`: how many patches of skin; `quadrants`: which of the four (limbs with
    their girdles, and the head), `axial`: the neck and trunk. `sites`: those of the 19 that are touched, of
    which `flagged` (jaw, chest, abdomen) do not count in `counted` (of 15) or `parts` (of 5). `beside`:
    touched, but none of the 19. The last three are conditions on the area alone.
    """

    regions: int
    quadrants: tuple[str, ...]
    axial: bool
    sites: tuple[PainSite, ...]
    flagged: tuple[PainSite, ...]
    beside: tuple[PainSite, ...]
    parts: tuple[str, ...]
    acr_1990: bool
    generalised_2016: bool
    wp_2019: bool

    @property
    def counted(self) -> int:
        """Sites out of the 15 that jaw, chest and abdomen are not among."""
        return len(self.sites) - len(self.flagged)

    def as_json(self) -> dict[str, Any]:
        return {
            "regions": self.regions,
            "quadrants": list(self.quadrants),
            "axial": self.axial,
            "sites": {
                "count": len(self.sites),
                "of": 19,
                "labels": [one.label for one in self.sites],
                "not_counted_in_parts": [one.label for one in self.flagged],
                "counted_of_15": self.counted,
                "beside": [one.label for one in self.beside],
            },
            "parts": {"count": len(self.parts), "of": 5, "labels": list(self.parts)},
            "area_of_widespread_pain": {
                "acr_1990": self.acr_1990,
                "generalised_2016": self.generalised_2016,
                "wp_2019": self.wp_2019,
            },
        }


@cache
def tables() -> Mapping[str, Any]:
    """data/extent.toml, checked: every region of the figure belongs to exactly one site or stands beside."""
    with FILE.open("rb") as file:
        found = tomllib.load(file)
    named = [region for entry in (*found["site"], *found["beside"]) for region in entry["regions"]]
    for region in {one.id for one in regions.load()} ^ set(named):
        raise ReachError(f"{region} is in no site and not beside one, or is no region of the figure")
    for region in named:
        if named.count(region) > 1:
            raise ReachError(f"{region} belongs to two sites")
    return found


@cache
def sites() -> tuple[PainSite, ...]:
    """The 19 sites, then what stands beside them."""
    found: dict[tuple[str, str], PainSite] = {}
    for entry in tables()["site"]:
        halves = tuple((region, entry["segment"]) for region in entry["regions"])
        for side in SIDES if entry["each_side"] else ("",):
            known = found[entry["id"], side].halves if (entry["id"], side) in found else ()
            found[entry["id"], side] = _site(entry, side, (*known, *halves))
    beside = [
        _site({**entry, "to_parts": False, "axial_1990": False}, side, _halves(entry), listed=False)
        for entry in tables()["beside"]
        for side in (("",) if entry["part"] == AXIAL else SIDES)
    ]
    return (*found.values(), *beside)


def _halves(entry: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    segment = entry["part"] if entry["part"] != AXIAL else "lower"
    return tuple((region, segment) for region in entry["regions"])


def _site(
    entry: Mapping[str, Any], side: str, halves: tuple[tuple[str, str], ...], listed: bool = True
) -> PainSite:
    part = AXIAL if entry["part"] == AXIAL else f"{entry['part']} {side}"
    return PainSite(
        entry["id"],
        side,
        entry["words"],
        part,
        entry["to_parts"],
        entry["axial_1990"],
        listed,
        halves,
    )


def of(marks: Sequence[Mark], skin: Skin) -> Reach:
    """Where the marks lie, whatever their kind: give it pain only."""
    touched = _Touched(_by_view(marks, skin), skin)
    found = [one for one in sites() if touched.site(one)]
    listed = tuple(one for one in found if one.listed)
    counted = [one for one in listed if one.to_parts]
    parts = tuple(part for part in (*QUADRANTS, AXIAL) if any(one.part == part for one in counted))
    quadrants = tuple(part for part in QUADRANTS if any(one.part == part for one in found))
    generalised = len(parts) >= tables()["widespread"]["generalised_2016"]["parts"]
    return Reach(
        regions=touched.regions(),
        quadrants=quadrants,
        axial=any(one.part == AXIAL for one in found),
        sites=listed,
        flagged=tuple(one for one in listed if not one.to_parts),
        beside=tuple(one for one in found if not one.listed),
        parts=parts,
        acr_1990=_acr_1990(listed, touched, quadrants),
        generalised_2016=generalised,
        wp_2019=_wp_2019(counted),
    )


def is_widespread(marks: Sequence[Mark], skin: Skin, covered: Mapping[int, float] | None = None) -> bool:
    """The area condition of 2019 alone. Where too few sites are touched at all, in hardly more time than
    cutting the drawing takes; `covered` (mm² by patch of the same marks) is for who has it already.
    """
    touched = _Touched(_by_view(marks, skin), skin, covered)
    some = [one for one in sites() if one.to_parts and touched.at_all(one)]
    return _wp_2019(some) and _wp_2019([one for one in some if touched.site(one)])


def _wp_2019(counted: Sequence[PainSite]) -> bool:
    wide = tables()["widespread"]["wp_2019"]
    return len({one.part for one in counted}) >= int(wide["parts"]) and len(counted) >= int(wide["sites"])


def _acr_1990(listed: Sequence[PainSite], touched: _Touched, quadrants: Sequence[str]) -> bool:
    """Right and left, above and below the waist, and axial. Neck and trunk are on neither side, but above or
    below; a head or a hand is.
    """
    segments = {part.split()[0] for part in quadrants}
    segments |= {half for one in listed for half in touched.segments(one)}
    sides = {part.split()[1] for part in quadrants}
    return len(sides) == 2 and len(segments) == 2 and any(one.axial_1990 for one in listed)


def _by_view(marks: Iterable[Mark], skin: Skin) -> dict[str, Area]:
    drawn = list(marks)
    found = {view: geometry.together(m.area for m in drawn if m.view == view) for view in skin.views}
    return {view: area for view, area in found.items() if not area.is_empty}


class _Touched:
    """What a drawing covers of each patch, in all and piece by piece (mm²)."""

    def __init__(
        self, drawn: Mapping[str, Area], skin: Skin, covered: Mapping[int, float] | None = None
    ) -> None:
        self.drawn, self.skin, numbers = drawn, skin, tables()
        self.least, self.of_piece = numbers["least_share"], numbers["least_of_piece"]
        if covered is None:
            covered = {patch: float(area.area) for patch, area in skin.cut(drawn).items()}
        self.covered = covered

    @cached_property
    def pieces(self) -> list[dict[int, float]]:
        """Most of the time goes here, so only when the share of a place alone does not decide."""
        gap = tables()["piece_gap_mm"]
        return [
            {patch: float(area.area) for patch, area in self.skin.cut({view: piece}).items()}
            for view, area in self.drawn.items()
            for piece in pieces(area, gap)
        ]

    def regions(self) -> int:
        return sum(self.enough([patch]) for patch in self.covered)

    def at_all(self, one: PainSite) -> bool:
        return any(patch in self.covered for patch in _patches(self.skin)[one])

    def site(self, one: PainSite) -> bool:
        return self.enough(_patches(self.skin)[one])

    def segments(self, one: PainSite) -> set[str]:
        """In which halves of the body a site is touched."""
        halves = dict(one.halves)
        found: dict[str, list[int]] = {}
        for patch in _patches(self.skin)[one]:
            region = next(region for region in self.skin.patches[patch].ids if region in halves)
            found.setdefault(halves[region], []).append(patch)
        return {half for half, here in found.items() if self.enough(here)}

    def enough(self, patches: Sequence[int]) -> bool:
        """True when patches together are covered enough, or hold enough of one piece."""
        whole = sum(self.skin.patches[patch].size for patch in patches)
        covered = sum(self.covered.get(patch, 0.0) for patch in patches)
        if not covered:
            return False
        return covered >= self.least * whole or any(
            sum(piece.get(patch, 0.0) for patch in patches) >= self.of_piece * sum(piece.values())
            for piece in self.pieces
            if any(patch in piece for patch in patches)
        )


@lru_cache(maxsize=4)
def _patches(skin: Skin) -> dict[PainSite, list[int]]:
    """The patches of each site, by their place in the skin."""
    return {
        one: [
            number
            for number, patch in enumerate(skin.patches)
            if any(one.holds(region, patch.side) for region in patch.ids)
        ]
        for one in sites()
    }


def pieces(area: Area, gap_mm: float) -> list[Area]:
    """The area as pieces that lie at least `gap_mm` apart."""
    joined = geometry.patches_of(geometry.widen(area, gap_mm / 2))
    return [area] if len(joined) == 1 else [geometry.overlap(area, one) for one in joined]

"""The numbers of data/compare.toml, read once and checked."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import parts, regions

FILE = Path(__file__).parent / "data" / "compare.toml"
STATUSES = ("checked", "from memory", "common practice")


class CompareError(ValueError):
    """A file that cannot be used; the message names the entry to mend."""


@dataclass(frozen=True)
class Redraw:
    """What a study printed of two drawings of one person: mean and standard deviation of their Jaccard."""

    mean: float
    sd: float
    minutes: int
    people: str
    source: str
    status: str


@dataclass(frozen=True)
class LimbPlaces:
    """A limb from its root outward: (parts, words) of each place."""

    id: str
    root: tuple[str, ...]
    root_words: str
    places: tuple[tuple[tuple[str, ...], str], ...]


@dataclass(frozen=True)
class Rules:
    """The file, checked. Lengths in mm, areas in mm² of the figure."""

    version: str
    crumb_mm2: float
    region_share: float
    redraw: Redraw
    spine_regions: tuple[str, ...]
    heel_regions: tuple[str, ...]
    sole_regions: tuple[str, ...]
    least_mm: float
    limbs: tuple[LimbPlaces, ...]


@cache
def rules() -> Rules:
    """Raises CompareError when the file cannot be used."""
    return checked(tomllib.loads(FILE.read_text(encoding="utf-8")))


def checked(data: Mapping[str, Any]) -> Rules:
    """The numbers of a file, or CompareError naming the entry to mend."""
    try:
        found = _read(data)
    except KeyError as missing:
        raise CompareError(f"compare.toml: {missing.args[0]} is missing") from None
    _check_numbers(found)
    _check_names(found)
    _check_statuses(data)
    return found


def _read(data: Mapping[str, Any]) -> Rules:
    spine = data["spine"]
    return Rules(
        version=data["version"],
        crumb_mm2=float(data["crumb_mm2"]),
        region_share=float(data["region_share"]),
        redraw=_redraw(data["redraw"]),
        spine_regions=tuple(spine["regions"]),
        heel_regions=tuple(spine["heel"]),
        sole_regions=tuple(spine["sole"]),
        least_mm=float(spine["least_mm"]),
        limbs=tuple(_limb(entry) for entry in data["limb"]),
    )


def _redraw(entry: Mapping[str, Any]) -> Redraw:
    return Redraw(
        float(entry["mean"]),
        float(entry["sd"]),
        int(entry["minutes"]),
        entry["people"],
        entry["source"],
        entry["status"],
    )


def _limb(entry: Mapping[str, Any]) -> LimbPlaces:
    places = tuple((tuple(place["parts"]), place["words"]) for place in entry["places"])
    return LimbPlaces(entry["id"], tuple(entry["root"]), entry["root_words"], places)


def _check_numbers(found: Rules) -> None:
    wanted = {
        "crumb_mm2 must not be below 0": found.crumb_mm2 >= 0,
        "region_share must lie above 0.5 and not above 1": 0.5 < found.region_share <= 1,
        "redraw.mean must lie between 0 and 1": 0 < found.redraw.mean < 1,
        "redraw.sd must lie between 0 and 1": 0 < found.redraw.sd < 1,
        "redraw.source must say where the figures stand": bool(found.redraw.source.strip()),
        "spine.least_mm must be above 0": found.least_mm > 0,
    }
    for words, holds in wanted.items():
        if not holds:
            raise CompareError(f"compare.toml: {words}")


def _check_names(found: Rules) -> None:
    known = {one.id for one in regions.names()}
    for name in (*found.spine_regions, *found.heel_regions, *found.sole_regions):
        if name not in known:
            raise CompareError(f"compare.toml: spine: {name} is not a region of the figure")
    held = {one.id for one in parts.load().parts}
    for limb in found.limbs:
        for name in (*limb.root, *(part for places, _ in limb.places for part in places)):
            if name not in held:
                raise CompareError(f"compare.toml: limb {limb.id}: {name} is not a part of the body")


def _check_statuses(data: Mapping[str, Any]) -> None:
    entries = {"redraw": data["redraw"], "spine": data["spine"]}
    entries |= {f"limb {entry['id']}": entry for entry in data["limb"]}
    for name, entry in entries.items():
        if entry.get("status") not in STATUSES:
            raise CompareError(f"compare.toml: {name}: status must be one of {', '.join(STATUSES)}")

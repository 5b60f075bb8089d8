"""Coarse parts of the body in a patient's words, and the places that "look closer" buttons show.

Parts stand in data/parts.toml and hold regions; every region of every side belongs to exactly one of them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import figure, geometry, regions, words
from bodymaps.geometry import Area
from bodymaps.marks import Mark, symptoms
from bodymaps.regions import Region

FILE = Path(__file__).parent / "data" / "parts.toml"
SIDES = ("right", "left")
MIDLINE = "midline"

Box = tuple[float, float, float, float]


class PartsError(ValueError):
    """A file of parts that cannot be used; the message names the entry to mend."""


@dataclass(frozen=True)
class Part:
    """One part of the body on one side; side "midline" holds what lies on both. `regions`: (id, side)."""

    id: str
    label: str
    side: str
    regions: tuple[tuple[str, str], ...]

    @property
    def key(self) -> str:
        """ "neck", "shoulder right"."""
        return self.id if self.side == MIDLINE else f"{self.id} {self.side}"


@dataclass(frozen=True)
class Place:
    """What one button shows: a box (left, top, right, bottom; mm) in each view where there is any of it."""

    id: str
    label: str
    boxes: Mapping[str, Box]


@dataclass(frozen=True)
class Parts:
    """The file, checked."""

    parts: tuple[Part, ...]
    places: tuple[Place, ...]
    of_patch: float
    of_part: float


@cache
def load() -> Parts:
    """Raises PartsError when the file cannot be used."""
    return checked(tomllib.loads(FILE.read_text(encoding="utf-8")), regions.load())


def checked(data: Mapping[str, Any], body: Sequence[Region]) -> Parts:
    """The parts of a file; every region of `body` in exactly one, or PartsError naming what to mend."""
    parts = tuple(part for entry in data["part"] for part in _parts(entry, body))
    _check_keys(parts)
    _check_regions(parts, body)
    margin = float(data["margin_mm"])
    places = tuple(place for entry in data["place"] for place in _places(entry, parts, body, margin))
    return Parts(parts, places, float(data["of_patch"]), float(data["of_part"]))


def _parts(entry: Mapping[str, Any], body: Sequence[Region]) -> list[Part]:
    known = {one.id for one in body}
    for region in entry["regions"]:
        if region not in known:
            raise PartsError(f"part {entry['id']}: {region} is not a region of the figure")
    return [
        Part(entry["id"], _labelled(entry, side), side, _regions(entry["regions"], side, body))
        for side in _sides(entry)
    ]


def _sides(entry: Mapping[str, Any]) -> Sequence[str]:
    return SIDES if entry["sides"] else (MIDLINE,)


def _labelled(entry: Mapping[str, Any], side: str) -> str:
    if entry["sides"] is not ("{side}" in entry["label"]):
        raise PartsError(f"{entry['id']}: the label must hold {{side}} when it has sides, and only then")
    return words.sentence_case(str(entry["label"]).format(side=side))


def _regions(ids: Iterable[str], side: str, body: Sequence[Region]) -> tuple[tuple[str, str], ...]:
    """Those of one side, or of every side for a part that holds both; in the order of the file."""
    return tuple(
        (one.id, one.side) for name in ids for one in body if one.id == name and side in (one.side, MIDLINE)
    )


def _check_keys(parts: Sequence[Part]) -> None:
    keys = [part.key for part in parts]
    for key in keys:
        if keys.count(key) > 1:
            raise PartsError(f"part {key} is there twice")


def _check_regions(parts: Sequence[Part], body: Sequence[Region]) -> None:
    for one in body:
        holders = [part.key for part in parts if (one.id, one.side) in part.regions]
        if len(holders) != 1:
            said = f"is in {words.listed(holders)}" if holders else "is in no part"
            raise PartsError(f"{one.key} {said}; every region must be in exactly one part")


def _places(
    entry: Mapping[str, Any], parts: Sequence[Part], body: Sequence[Region], margin: float
) -> list[Place]:
    for name in entry["parts"]:
        if name not in {part.id for part in parts}:
            raise PartsError(f"place {entry['id']}: {name} is not a part")
    found = []
    for side in _sides(entry):
        mine = [part for part in parts if part.id in entry["parts"] and side in (part.side, MIDLINE)]
        held = {region for part in mine for region in part.regions}
        shown = [one for one in body if (one.id, one.side) in held]
        place_id = entry["id"] if side == MIDLINE else f"{entry['id']}_{side}"
        found.append(Place(place_id, _labelled(entry, side), _boxes(shown, margin)))
    return found


def _boxes(shown: Sequence[Region], margin: float) -> dict[str, Box]:
    boxes = {}
    for name in figure.VIEWS:
        bounds = [one.area.bounds for one in shown if one.view == name]
        if bounds:
            view = figure.load().view(name)
            boxes[name] = (
                max(0.0, min(box[0] for box in bounds) - margin),
                max(0.0, min(box[1] for box in bounds) - margin),
                min(float(view.width), max(box[2] for box in bounds) + margin),
                min(float(view.height), max(box[3] for box in bounds) + margin),
            )
    return boxes


KEYS: tuple[str, ...] = tuple(part.key for part in load().parts)


def part(key: str) -> Part:
    """Raises KeyError for an unknown key."""
    return {one.key: one for one in load().parts}[key]


def part_of(region_id: str, side: str) -> Part:
    """The part that holds a region on a side. Raises KeyError when the figure has no such region."""
    return _holders()[region_id, side]


@cache
def _holders() -> dict[tuple[str, str], Part]:
    return {region: one for one in load().parts for region in one.regions}


def parts_drawn(marks: Iterable[Mark]) -> tuple[str, ...]:
    """Keys of the parts that a drawing of pain touches by a notable amount, in the order of the body.

    Findings on examination touch nothing: they are not the patient's word.
    """
    touched: set[str] = set()
    for mark in symptoms(marks):
        for patch in geometry.patches_of(mark.area):
            touched |= _touched(mark.view, patch)
    return tuple(key for key in KEYS if key in touched)


def sides_drawn(marks: Iterable[Mark]) -> frozenset[tuple[str, str]]:
    """(id of a part, side of the skin in it) that a drawing of pain touches, by the same rule, also of the
    parts that lie on both sides: ("neck", "left"). Skin over the midline has the side "midline".
    """
    return frozenset(
        half
        for mark in symptoms(marks)
        for patch in geometry.patches_of(mark.area)
        for half in _halves_touched(mark.view, patch)
    )


def still_clear(keys: Iterable[str], marks: Iterable[Mark]) -> tuple[str, ...]:
    """Of the parts somebody called free of pain those that no pain is drawn on, in the order of the body."""
    free = set(keys) - set(parts_drawn(marks))
    return tuple(key for key in KEYS if key in free)


def _touched(view: str, patch: Area) -> set[str]:
    here = [one for one in regions.load() if one.view == view]
    shared: dict[str, float] = {}
    for one, size in zip(here, geometry.overlap_sizes(patch, [one.area for one in here]), strict=True):
        key = part_of(one.id, one.side).key
        shared[key] = shared.get(key, 0.0) + size
    limits = load()
    return {
        key
        for key, size in shared.items()
        if size > 0 and (size >= limits.of_patch * patch.area or size >= limits.of_part * _sizes()[key])
    }


def _halves_touched(view: str, patch: Area) -> set[tuple[str, str]]:
    here = [one for one in regions.load() if one.view == view]
    shared: dict[tuple[str, str], float] = {}
    for one, size in zip(here, geometry.overlap_sizes(patch, [one.area for one in here]), strict=True):
        half = part_of(one.id, one.side).id, one.side
        shared[half] = shared.get(half, 0.0) + size
    limits = load()
    return {
        half
        for half, size in shared.items()
        if size > 0 and (size >= limits.of_patch * patch.area or size >= limits.of_part * _half_sizes()[half])
    }


@cache
def _half_sizes() -> dict[tuple[str, str], float]:
    """mm² of each part on each side, both views."""
    sizes: dict[tuple[str, str], float] = {}
    for one in regions.load():
        half = part_of(one.id, one.side).id, one.side
        sizes[half] = sizes.get(half, 0.0) + float(one.area.area)
    return sizes


@cache
def _sizes() -> dict[str, float]:
    """mm² of each part, both views."""
    areas = {(one.id, one.side): float(one.area.area) for one in regions.load()}
    return {one.key: sum(areas[region] for region in one.regions) for one in load().parts}


@cache
def as_json() -> dict[str, Any]:
    """Parts with the words and rings of their regions, and places, for the board; about 60 KB. Do not change
    what it gives: it is made once.
    """
    body = {(one.id, one.side): one for one in regions.load()}
    return {
        "parts": [
            {
                "key": one.key,
                "label": one.label,
                "side": one.side,
                "regions": [_region_json(body[region]) for region in one.regions],
            }
            for one in load().parts
        ],
        "places": [
            {
                "id": one.id,
                "label": one.label,
                "boxes": {view: [round(edge, 1) for edge in box] for view, box in one.boxes.items()},
            }
            for one in load().places
        ],
    }


def _region_json(one: Region) -> dict[str, Any]:
    return {
        "id": one.id,
        "side": one.side,
        "view": one.view,
        "words": words.region_on(one.id, one.side),
        "ring": regions.ring(one),
    }

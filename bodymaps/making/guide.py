"""The rows of the handbook's pain guides: a place of pain drawn in three ways, and who is named for it.

Rows, their source and how certain it is: tests/bodymaps/guide_rows.toml. They test the ranking and are no
part of the atlas.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bodymaps import atlas, geometry, regions
from bodymaps.geometry import Area
from bodymaps.making import trials
from bodymaps.marks import Mark

FILE = Path(__file__).parents[2] / "tests" / "bodymaps" / "guide_rows.toml"
# A row is drawn as its whole regions, as their inner half, as their upper end.
WAYS = ("whole", "inner half", "upper 60 %")


@dataclass(frozen=True)
class Row:
    """A place of pain (regions of the right side or the midline) and the muscles named, likeliest first."""

    id: str
    regions: tuple[str, ...]
    muscles: tuple[str, ...]


@cache
def rows() -> tuple[Row, ...]:
    with FILE.open("rb") as file:
        found = tomllib.load(file)["row"]
    return tuple(Row(row["id"], tuple(row["regions"]), tuple(row["muscles"])) for row in found)


@cache
def places(row: Row, way: str) -> dict[str, dict[str, int]]:
    """By index: the place of each muscle of the row among the muscles of the right side (0: none)."""
    drawn = trials.together([Mark(one.split(":")[0], "ache", _drawn(one, way)) for one in row.regions])
    found = {}
    for metric, order in trials.lines(drawn).items():
        right = [line for line in order if line[1] == "right"]
        found[metric] = {muscle: trials.place((muscle, "right"), right) for muscle in held(row)}
    return found


def held(row: Row) -> list[str]:
    """The muscles of the row that the atlas holds."""
    return [muscle for muscle in row.muscles if muscle in atlas.load().muscles]


def _drawn(region_id: str, way: str) -> Area:
    area = next(
        geometry.as_area(one.area)
        for one in regions.load()
        if one.id == region_id and one.side in ("right", "midline")
    )
    if way == "inner half":
        return inner(area, 0.5)
    return upper(area, 0.6) if way == "upper 60 %" else area


def inner(area: Area, share: float) -> Area:
    """The part that is left when an area is drawn in evenly from its edge until `share` of it is left."""
    low, high = 0.0, 200.0
    for _ in range(30):
        middle = (low + high) / 2
        if geometry.widen(area, -middle).area > share * area.area:
            low = middle
        else:
            high = middle
    return geometry.widen(area, -low)


def upper(area: Area, share: float) -> Area:
    """The upper end of an area along its long axis, `share` of its extent."""
    return geometry.slice_between(area, geometry.long_axis(area), 0.0, share)

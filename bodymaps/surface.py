"""How much of the body surface a drawing covers, by the chart of Lund and Browder.

Every region of the skin has a share of its chart area, in proportion to its size on the figure. Shares are
whole numbers of 1/10,000 %, so that the body is exactly 1,000,000 and nothing is lost in rounding.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from bodymaps import figure, geometry, kinds, regions
from bodymaps.geometry import Area

PERCENT = 10_000
WHOLE = 100 * PERCENT
FACES = {"front": 48 * PERCENT, "back": 52 * PERCENT}


class SurfaceError(ValueError):
    """A table that does not add up, or a region without a share; the message names the entry."""


class MarkLike(Protocol):
    @property
    def view(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def area(self) -> Area: ...


@dataclass(frozen=True)
class Share:
    """What one region on one side is worth. chart: area of the chart; units: 1/10,000 % of the body."""

    region: str
    side: str
    chart: str
    face: str
    units: int


def share(marks: Iterable[MarkLike]) -> float:
    """Percent of the body surface in pain; skin under several marks counts once, findings count nothing.

    Half a region covered on the figure counts half its share.
    """
    drawn = [mark for mark in marks if mark.kind not in kinds.FINDINGS]
    units = 0.0
    for view in figure.VIEWS:
        area = geometry.unite(mark.area for mark in drawn if mark.view == view)
        if area.is_empty:
            continue
        here = [one for one in regions.load() if one.view == view]
        for one, shared in zip(here, geometry.overlap_sizes(area, [one.area for one in here]), strict=True):
            units += shared / one.area.area * shares()[one.id, one.side].units
    return units / PERCENT


@cache
def shares() -> Mapping[tuple[str, str], Share]:
    """Share by (region id, side) from data/figure/surface.toml. Raises SurfaceError unless all adds up."""
    table = checked_table(tomllib.loads((figure.FOLDER / "lund_browder.toml").read_text())["area"])
    entries = tomllib.loads((figure.FOLDER / "surface.toml").read_text())["region"]
    found = {(one.region, one.side): one for entry in entries for one in _read(entry)}
    check_shares(found, table)
    return found


def checked_table(table: Mapping[str, Mapping[str, int]]) -> Mapping[str, Mapping[str, int]]:
    """The chart as it stands, or SurfaceError when its faces do not add up to exactly 48 and 52 %."""
    for face, wanted in FACES.items():
        total = sum(area[face] for area in table.values())
        if total != wanted:
            raise SurfaceError(
                f"The chart's {face} adds up to {total / PERCENT} %, not {wanted / PERCENT} %. "
                "A hand printed as 1.5 % a face instead of 1.25 % is the usual reason."
            )
    return table


def check_shares(found: Mapping[tuple[str, str], Share], table: Mapping[str, Mapping[str, int]]) -> None:
    """Every region of the figure has its share, and each face of each chart area is used up exactly."""
    for one in regions.load():
        if (one.id, one.side) not in found:
            raise SurfaceError(f"{one.id} ({one.side}) has no share of the body surface")
    for chart, faces in table.items():
        for face, wanted in faces.items():
            total = sum(one.units for one in found.values() if (one.chart, one.face) == (chart, face))
            if total != wanted:
                raise SurfaceError(f"The regions of {chart}, {face}, add up to {total}, not {wanted}")
    if sum(one.units for one in found.values()) != WHOLE:
        raise SurfaceError("A region belongs to an area that the chart does not have")


def _read(entry: Mapping[str, Any]) -> list[Share]:
    sides = [side for side in ("right", "left", "midline") if side in entry]
    return [Share(entry["id"], side, entry["chart"], entry["face"], entry[side]) for side in sides]

"""How far joints move: movements, units, published error of measurement (data/reasoning/ranges.toml).

Each movement gives three findings: "active:<id>" and "passive:<id>", numbers in its unit, and "pain_on:<id>".
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent.parent / "data" / "reasoning" / "ranges.toml"
ACTIVE, PASSIVE, PAIN_ON = "active", "passive", "pain_on"


class RangesError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Change:
    """The least change, in the unit of the movement, that is more than error at `level`."""

    value: float
    level: str
    instrument: str
    population: str
    source: str
    status: str


@dataclass(frozen=True)
class Movement:
    id: str
    joint: str
    label: str
    sided: bool
    unit: str
    least: float
    most: float
    how: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Joint:
    id: str
    title: str


@dataclass(frozen=True)
class Ranges:
    version: str
    joints: tuple[Joint, ...]
    movements: Mapping[str, Movement]

    def of(self, joint: str) -> tuple[Movement, ...]:
        return tuple(each for each in self.movements.values() if each.joint == joint)


@cache
def load() -> Ranges:
    """The file, checked. Raises RangesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Ranges:
    """Raises RangesError with the entry and the reason."""
    movements = [_movement(entry) for entry in data["movement"]]
    return Ranges(
        version=data["version"],
        joints=tuple(Joint(entry["id"], entry["title"]) for entry in data["joint"]),
        movements={each.id: each for each in movements},
    )


def _movement(entry: Mapping[str, Any]) -> Movement:
    return Movement(
        id=entry["id"],
        joint=entry["joint"],
        label=entry["label"],
        sided=entry["sided"],
        unit=entry["unit"],
        least=entry["least"],
        most=entry["most"],
        how=entry["how"],
        changes=tuple(Change(**one) for one in entry.get("change", ())),
    )

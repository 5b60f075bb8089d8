"""How far joints move: movements, instruments, published error of measurement (data/reasoning/ranges.toml).

Each movement gives three findings: "active:<id>" and "passive:<id>", numbers in its unit, and "pain_on:<id>".
What a change means beside the error of measurement: bodymaps.reasoning.range_change.
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
UNITS = ("°", "mm", "cm")
LEVELS = ("90 %", "95 %", "not stated")
STATUSES = ("checked", "from memory", "common practice")


class RangesError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Instrument:
    id: str
    title: str
    units: tuple[str, ...]


@dataclass(frozen=True)
class EndFeel:
    id: str
    words: str
    meaning: str


@dataclass(frozen=True)
class Change:
    """The least change, in the unit of the movement, that is more than error of measurement at `level`.

    `lower`: where a study prints a span, its smaller end, and `value` the larger; else both are the same.
    `of`: ACTIVE, PASSIVE, or "" where the study does not say.
    """

    value: float
    lower: float
    level: str
    instrument: str
    of: str
    population: str
    source: str
    status: str


@dataclass(frozen=True)
class Usual:
    """What a study or handbook prints for a movement, from `youngest` to `oldest` in years, None for any age.
    It says what is published, and never that somebody is outside it.
    """

    value: float
    youngest: int | None
    oldest: int | None
    population: str
    source: str
    status: str

    def is_for(self, age: int | None) -> bool:
        if self.youngest is None or self.oldest is None:
            return True
        return age is not None and self.youngest <= age <= self.oldest


@dataclass(frozen=True)
class Movement:
    """`instruments`: ids, the usual one first. `same_as`: the key of a finding that is this same measurement
    (active), "" mostly.
    """

    id: str
    joint: str
    label: str
    sided: bool
    unit: str
    least: float
    most: float
    how: str
    instruments: tuple[str, ...]
    usual: tuple[Usual, ...]
    changes: tuple[Change, ...]
    same_as: str = ""

    def with_unit(self, value: float) -> str:
        """ "58°", "9.5 cm" """
        return f"{value:g}{'' if self.unit == '°' else ' '}{self.unit}"

    def published_for(self, age: int | None) -> tuple[Usual, ...]:
        """What is published for somebody of this age; what is for any age included."""
        return tuple(each for each in self.usual if each.is_for(age))

    def changes_with(self, instrument: str, how: str) -> tuple[Change, ...]:
        """The published figures for one instrument, read actively or passively (ACTIVE, PASSIVE)."""
        return tuple(each for each in self.changes if each.instrument == instrument and each.of in ("", how))


@dataclass(frozen=True)
class Joint:
    """`drawn`: parts of the body (bodymaps.parts) for which it is asked, its own first. `tests`: the groups
    of findings on page "joint" that belong to it. `mind`: a caution.
    """

    id: str
    title: str
    drawn: tuple[str, ...]
    tests: tuple[str, ...]
    mind: str


@dataclass(frozen=True)
class Ranges:
    version: str
    joints: tuple[Joint, ...]
    movements: Mapping[str, Movement]
    instruments: Mapping[str, Instrument]
    end_feels: Mapping[str, EndFeel]

    def of(self, joint: str) -> tuple[Movement, ...]:
        return tuple(each for each in self.movements.values() if each.joint == joint)

    def joint(self, name: str) -> Joint:
        """Raises KeyError for an unknown joint."""
        found = {each.id: each for each in self.joints}
        return found[name]

    def instruments_of(self, joint: str) -> tuple[Instrument, ...]:
        """What any movement of a joint can be read with, in the order of the file."""
        used = {name for movement in self.of(joint) for name in movement.instruments}
        return tuple(each for each in self.instruments.values() if each.id in used)


@cache
def load() -> Ranges:
    """The file, checked. Raises RangesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Ranges:
    """Raises RangesError with the entry and the reason."""
    studies = {each["id"]: each for each in _entries(data, "study", ("id", "work", "population", "status"))}
    for name, study in studies.items():
        if study["status"] not in STATUSES:
            raise RangesError(f"ranges.toml: study {name}: status must be one of {', '.join(STATUSES)}")
    instruments = [_instrument(each) for each in _entries(data, "instrument", ("id", "title"))]
    feels = [EndFeel(**each) for each in _entries(data, "end_feel", ("id", "words", "meaning"))]
    joints = [_joint(each) for each in _entries(data, "joint", ("id", "title", "mind"))]
    found = Ranges(
        version=_text(data, "version", "ranges.toml"),
        joints=tuple(joints),
        movements={},
        instruments={each.id: each for each in instruments},
        end_feels={each.id: each for each in feels},
    )
    needed = ("id", "joint", "label", "unit", "how")
    movements = [_movement(each, found, studies) for each in _entries(data, "movement", needed)]
    return Ranges(
        found.version,
        found.joints,
        {each.id: each for each in movements},
        found.instruments,
        found.end_feels,
    )


def with_same(values: Mapping[tuple[str, str], Any]) -> dict[tuple[str, str], Any]:
    """Findings by key and side, and for each active reading also the finding that is the same measurement,
    where that one is not measured itself: what was measured once is not asked again.
    """
    also = {
        (movement.same_as, side): values[key, side]
        for movement in load().movements.values()
        for key, side in [(f"{ACTIVE}:{movement.id}", side) for side in ("right", "left", "")]
        if movement.same_as and isinstance(values.get((key, side)), int | float)
    }
    measured = {cell: value for cell, value in values.items() if cell not in also or value != "NT"}
    return {**also, **measured}


def _entries(data: Mapping[str, Any], kind: str, texts: tuple[str, ...]) -> list[Mapping[str, Any]]:
    """The entries of one kind, each with an id of its own and the texts it needs."""
    entries = data.get(kind, [])
    if not entries:
        raise RangesError(f"ranges.toml: at least one {kind} is needed")
    seen: set[str] = set()
    for entry in entries:
        where = f"ranges.toml: {kind} {entry.get('id', '?')}"
        for name in texts:
            _text(entry, name, where)
        if entry["id"] in seen:
            raise RangesError(f"{where}: there are two of this id")
        seen.add(entry["id"])
    return list(entries)


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise RangesError(f"{where}: {name} must be a text")
    return value


def _instrument(entry: Mapping[str, Any]) -> Instrument:
    units = tuple(entry.get("units", ()))
    if not units or not set(units) <= set(UNITS):
        raise RangesError(f"ranges.toml: instrument {entry['id']}: units must be of {', '.join(UNITS)}")
    return Instrument(entry["id"], entry["title"], units)


def _joint(entry: Mapping[str, Any]) -> Joint:
    drawn, tests = (tuple(entry.get(name, ())) for name in ("drawn", "tests"))
    if not drawn:
        raise RangesError(f"ranges.toml: joint {entry['id']}: drawn must name a part of the body")
    return Joint(entry["id"], entry["title"], drawn, tests, entry["mind"])


MOVEMENT = {
    "id", "joint", "label", "sided", "unit", "least", "most", "how", "instruments", "usual", "changes",
    "same_as",
}  # fmt: skip


def _movement(entry: Mapping[str, Any], known: Ranges, studies: Mapping[str, Any]) -> Movement:
    where = f"ranges.toml: movement {entry['id']}"
    if unknown := set(entry) - MOVEMENT:
        raise RangesError(f"{where}: unknown member {', '.join(sorted(unknown))}")
    if entry["joint"] not in {joint.id for joint in known.joints}:
        raise RangesError(f"{where}: no such joint: {entry['joint']}")
    if not isinstance(entry.get("sided"), bool):
        raise RangesError(f"{where}: sided must be true or false")
    if entry["unit"] not in UNITS:
        raise RangesError(f"{where}: unit must be one of {', '.join(UNITS)}")
    least, most = (_number(entry, name, where) for name in ("least", "most"))
    if least >= most:
        raise RangesError(f"{where}: least must be below most")
    usual = tuple(_usual(each, studies, where) for each in entry.get("usual", ()))
    if any(not least <= each.value <= most for each in usual):
        raise RangesError(f"{where}: a usual value lies outside {least:g} to {most:g}")
    return Movement(
        id=entry["id"],
        joint=entry["joint"],
        label=entry["label"],
        sided=entry["sided"],
        unit=entry["unit"],
        least=least,
        most=most,
        how=entry["how"],
        instruments=_instruments(entry, known, where),
        usual=usual,
        changes=tuple(_change(each, entry, studies, where) for each in entry.get("changes", ())),
        same_as=entry.get("same_as", ""),
    )


def _instruments(entry: Mapping[str, Any], known: Ranges, where: str) -> tuple[str, ...]:
    named = tuple(entry.get("instruments", ()))
    fit = [name for name in named if name in known.instruments]
    if not named or len(fit) < len(named):
        raise RangesError(f"{where}: instruments must be of {', '.join(known.instruments)}")
    if wrong := [name for name in named if entry["unit"] not in known.instruments[name].units]:
        raise RangesError(f"{where}: {', '.join(wrong)} does not read {entry['unit']}")
    return named


def _usual(entry: Mapping[str, Any], studies: Mapping[str, Any], where: str) -> Usual:
    study = _study(entry, studies, where)
    youngest, oldest = entry.get("from"), entry.get("to")
    if (youngest is None) != (oldest is None) or (youngest is not None and youngest > oldest):
        raise RangesError(f"{where}: usual: from and to are years of age, both or neither")
    value = _number(entry, "value", where)
    return Usual(value, youngest, oldest, study["population"], study["work"], study["status"])


def _change(
    entry: Mapping[str, Any], movement: Mapping[str, Any], studies: Mapping[str, Any], where: str
) -> Change:
    study = _study(entry, studies, where)
    if entry.get("instrument") not in movement["instruments"]:
        raise RangesError(f"{where}: a change needs one of its instruments, not {entry.get('instrument')!r}")
    if entry.get("level") not in LEVELS:
        raise RangesError(f"{where}: the level of a change must be one of {', '.join(LEVELS)}")
    if entry.get("of", "") not in ("", ACTIVE, PASSIVE):
        raise RangesError(f"{where}: a change is of {ACTIVE} or {PASSIVE} movement, or of is left out")
    value = _number(entry, "value", where)
    lower = _number({"lower": value, **entry}, "lower", where)
    if not 0 < lower <= value:
        raise RangesError(f"{where}: a change must be above 0, and lower not above value")
    said = (study["population"], study["work"], study["status"])
    return Change(value, lower, entry["level"], entry["instrument"], entry.get("of", ""), *said)


def _study(entry: Mapping[str, Any], studies: Mapping[str, Any], where: str) -> Mapping[str, Any]:
    found = studies.get(entry.get("study", ""))
    if found is None:
        raise RangesError(f"{where}: no such study: {entry.get('study', '?')}")
    return dict(found)


def _number(entry: Mapping[str, Any], name: str, where: str) -> float:
    value = entry.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RangesError(f"{where}: {name} must be a number")
    return float(value)

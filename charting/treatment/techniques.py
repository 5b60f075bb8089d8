"""What can be done at a treatment and what is asked about it (techniques.toml), checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "techniques.toml"
PLACES = ("muscle", "area", "whole")
PROCEDURES = ("manual", "needling", "")
KINDS = ("number", "choice", "many", "text")
STATUSES = ("common practice", "checked", "from memory")
MEMBERS = {"id", "label", "procedure", "on", "timed", "twitch", "needle", "pain", "treats", "mind", "asks"}
ASK_MEMBERS = {
    "id",
    "label",
    "kind",
    "needed",
    "brief",
    "choices",
    "longest",
    "least",
    "most",
    "unit",
    "status",
}
# What the columns can hold.
LONGEST_ID, LONGEST_DIRECTION = 40, 120


class TechniqueError(ValueError):
    """An entry that cannot be used: file, entry, what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class Limit:
    """A whole number between two others, in a unit ("s", "mm", "" for a plain count)."""

    least: int
    most: int
    unit: str
    status: str

    def wrong(self, value: Any) -> str:
        """ "" when the value may stay, else what to mend."""
        is_whole = isinstance(value, int) and not isinstance(value, bool)
        if is_whole and self.least <= value <= self.most:
            return ""
        return f"Enter a whole number from {self.least} to {self.most}{' ' * bool(self.unit)}{self.unit}."


@dataclass(frozen=True)
class Ask:
    """One thing asked about a dose. `choices`: id to words; `brief`: how a sentence says it, with "{}"."""

    id: str
    label: str
    kind: str
    needed: bool
    brief: str
    limit: Limit | None
    choices: Mapping[str, str]
    longest: int
    status: str


@dataclass(frozen=True)
class Technique:
    """`on`: of PLACES; `procedure`: of the consent it needs, "" for none; `treats`: it waits while a sign of
    danger does; `pain`: asked before and after.
    """

    id: str
    label: str
    procedure: str
    on: tuple[str, ...]
    timed: bool
    twitch: bool
    needle: bool
    pain: bool
    treats: bool
    mind: str
    asks: tuple[Ask, ...]

    def ask(self, name: str) -> Ask | None:
        return next((each for each in self.asks if each.id == name), None)


@dataclass(frozen=True)
class NeedleSizes:
    """Trade sizes in mm; `directions` are offered, others can be typed."""

    gauges_mm: tuple[float, ...]
    lengths_mm: tuple[int, ...]
    depth_mm: Limit
    count: Limit
    directions: tuple[str, ...]


@dataclass(frozen=True)
class Techniques:
    all: tuple[Technique, ...]
    pain: Limit
    minutes: Limit
    needle: NeedleSizes

    def get(self, name: str) -> Technique | None:
        return next((each for each in self.all if each.id == name), None)

    def on(self, place: str) -> tuple[Technique, ...]:
        """Those that can be done to a place of this kind."""
        return tuple(each for each in self.all if place in each.on)


@cache
def load() -> Techniques:
    """The file, checked. Raises TechniqueError."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> Techniques:
    """Raises TechniqueError with the entry and what to mend."""
    data = tomllib.loads(text)
    made = tuple(_technique(each) for each in _member(data, "technique", "the file"))
    names = [each.id for each in made]
    if twice := {name for name in names if names.count(name) > 1}:
        raise TechniqueError(twice.pop(), "stands twice")
    limits = _member(data, "limits", "the file")
    return Techniques(
        all=made,
        pain=_limit(_member(limits, "pain", "limits"), "limits.pain"),
        minutes=_limit(_member(limits, "minutes", "limits"), "limits.minutes"),
        needle=_needle(_member(data, "needle", "the file")),
    )


def label_of(name: str) -> str:
    """ "Dry needling"; the id in plain letters for one that is offered no more."""
    one = load().get(name)
    return one.label if one else name.replace("_", " ").capitalize()


def _technique(data: Mapping[str, Any]) -> Technique:
    name = str(_member(data, "id", "a technique"))
    if len(name) > LONGEST_ID:
        raise TechniqueError(name, f"id: at most {LONGEST_ID} letters")
    _only(data, MEMBERS, name)
    made = Technique(
        id=name,
        label=str(_member(data, "label", name)),
        procedure=_one_of(PROCEDURES, _member(data, "procedure", name), name, "procedure"),
        on=tuple(_one_of(PLACES, each, name, "on") for each in _member(data, "on", name)),
        timed=_yes_no(_member(data, "timed", name), name, "timed"),
        twitch=_yes_no(_member(data, "twitch", name), name, "twitch"),
        needle=_yes_no(data.get("needle", False), name, "needle"),
        pain=_yes_no(data.get("pain", True), name, "pain"),
        treats=_yes_no(data.get("treats", True), name, "treats"),
        mind=str(_member(data, "mind", name)),
        asks=tuple(_ask(name, each) for each in data.get("asks", ())),
    )
    _check(made)
    return made


def _check(made: Technique) -> None:
    if not made.on:
        raise TechniqueError(made.id, f"on: name at least one of {', '.join(PLACES)}")
    if made.needle and (made.procedure != "needling" or made.on != ("muscle",)):
        raise TechniqueError(
            made.id, 'a needle goes into one muscle: procedure = "needling", on = ["muscle"]'
        )
    if made.procedure == "needling" and not made.needle:
        raise TechniqueError(made.id, "needling goes through the gates: needle = true")
    if made.procedure and not made.treats:
        raise TechniqueError(made.id, "what needs consent treats: take treats = false out")
    if made.procedure and "whole" in made.on:
        raise TechniqueError(made.id, "what needs consent needs a place: take whole out of on")
    names = [each.id for each in made.asks]
    if twice := {name for name in names if names.count(name) > 1}:
        raise TechniqueError(made.id, f"asks twice for {twice.pop()}")


def _ask(technique: str, data: Mapping[str, Any]) -> Ask:
    entry = f"{technique}.{_member(data, 'id', technique)}"
    _only(data, ASK_MEMBERS, entry)
    kind = _one_of(KINDS, _member(data, "kind", entry), entry, "kind")
    brief = str(data.get("brief", "{}"))
    if "{}" not in brief:
        raise TechniqueError(entry, 'brief: has to hold "{}", where the value stands')
    choices = dict(_member(data, "choices", entry)) if kind in ("choice", "many") else {}
    if kind in ("choice", "many") and not choices:
        raise TechniqueError(entry, "choices: name at least one")
    return Ask(
        id=str(data["id"]),
        label=str(_member(data, "label", entry)),
        kind=kind,
        needed=_yes_no(data.get("needed", False), entry, "needed"),
        brief=brief,
        limit=_limit(data, entry) if kind == "number" else None,
        choices=choices,
        longest=int(_member(data, "longest", entry)) if kind == "text" else 0,
        status=_one_of(STATUSES, _member(data, "status", entry), entry, "status"),
    )


def _needle(data: Mapping[str, Any]) -> NeedleSizes:
    _one_of(STATUSES, _member(data, "status", "needle"), "needle", "status")
    gauges = tuple(_size(each, "needle.gauges_mm") for each in _member(data, "gauges_mm", "needle"))
    lengths = tuple(_size(each, "needle.lengths_mm") for each in _member(data, "lengths_mm", "needle"))
    directions = tuple(str(each) for each in _member(data, "directions", "needle"))
    if too_long := [each for each in directions if len(each) > LONGEST_DIRECTION]:
        raise TechniqueError("needle.directions", f"at most {LONGEST_DIRECTION} letters: {too_long[0]!r}")
    return NeedleSizes(
        gauges_mm=gauges,
        lengths_mm=tuple(int(each) for each in lengths),
        depth_mm=_limit(_member(data, "depth_mm", "needle"), "needle.depth_mm"),
        count=_limit(_member(data, "count", "needle"), "needle.count"),
        directions=directions,
    )


def _limit(data: Mapping[str, Any], entry: str) -> Limit:
    least, most = (_member(data, edge, entry) for edge in ("least", "most"))
    if not (isinstance(least, int) and isinstance(most, int)) or least > most:
        raise TechniqueError(
            entry, f"least and most: two whole numbers, the lower first, not {least}, {most}"
        )
    status = _one_of(STATUSES, _member(data, "status", entry), entry, "status")
    return Limit(least, most, str(_member(data, "unit", entry)), status)


def _size(value: Any, entry: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or value <= 0:
        raise TechniqueError(entry, f"a size in mm, not {value!r}")
    return float(value)


def _member(data: Any, name: str, entry: str) -> Any:
    if not isinstance(data, Mapping) or name not in data:
        raise TechniqueError(entry, f"{name} is missing")
    return data[name]


def _only(data: Mapping[str, Any], known: set[str], entry: str) -> None:
    if strange := sorted(set(data) - known):
        raise TechniqueError(entry, f"{strange[0]} is not known here: one of {', '.join(sorted(known))}")


def _one_of(known: tuple[str, ...], value: Any, entry: str, name: str) -> str:
    if value not in known:
        raise TechniqueError(entry, f"{name}: one of {', '.join(map(repr, known))}, not {value!r}")
    return str(value)


def _yes_no(value: Any, entry: str, name: str) -> bool:
    if not isinstance(value, bool):
        raise TechniqueError(entry, f"{name}: true or false, not {value!r}")
    return value

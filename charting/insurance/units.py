"""Minutes of timed procedures, and the units they make (units.toml), checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from charting.treatment import techniques

FILE = Path(__file__).parent / "units.toml"
STATUSES = ("checked", "common practice", "from memory")


class UnitsError(ValueError):
    """An entry that cannot be used: file, entry, what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class Row:
    """Minutes `first` to `last`, both included, make so many units."""

    first: int
    last: int
    units: int


@dataclass(frozen=True)
class Timed:
    """Whether the minutes of a technique count, and why (not)."""

    counts: bool
    why: str
    status: str


@dataclass(frozen=True)
class Rule:
    """`minutes_each` of one unit; `least` minutes make the first. `published`: the table as printed."""

    minutes_each: int
    least: int
    published: tuple[Row, ...]
    techniques: Mapping[str, Timed]
    source: str
    status: str

    def units_of(self, minutes: int) -> int:
        """Whole units of all timed minutes of a day together. Raises ValueError below 0."""
        if minutes < 0:
            raise ValueError("minutes cannot be less than 0")
        return max(0, minutes + self.minutes_each - self.least) // self.minutes_each

    def counts(self, technique: str) -> bool:
        """Whether its minutes count; not for one that is offered no more and stands nowhere here."""
        known = self.techniques.get(technique)
        return known is not None and known.counts


@cache
def load() -> Rule:
    """The file, checked. Raises UnitsError."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> Rule:
    """Raises UnitsError with the entry and what to mend."""
    data = tomllib.loads(text)
    told = _member(data, "eight_minutes", "the file")
    rule = Rule(
        minutes_each=_minutes(told, "minutes_each"),
        least=_minutes(told, "least"),
        published=tuple(_row(each) for each in _member(told, "published", "eight_minutes")),
        techniques={_member(one, "id", "a technique"): _timed(one) for one in data.get("technique", ())},
        source=_words(told, "source", "eight_minutes"),
        status=_status(told, "eight_minutes"),
    )
    _check_table(rule)
    _check_techniques(rule)
    return rule


def _check_table(rule: Rule) -> None:
    for row in rule.published:
        for minutes in range(row.first, row.last + 1):
            if rule.units_of(minutes) != row.units:
                said = (
                    f"{minutes} minutes are {row.units} units here, {rule.units_of(minutes)} by the numbers"
                )
                raise UnitsError("eight_minutes.published", f"{said}: mend the row or the numbers")


def _check_techniques(rule: Rule) -> None:
    known = {one.id for one in techniques.load().all}
    if strange := sorted(set(rule.techniques) - known):
        raise UnitsError(strange[0], f"is no technique of {techniques.FILE.name}")
    if without := sorted(known - set(rule.techniques)):
        raise UnitsError(without[0], "say whether its minutes count")


def _row(data: Any) -> Row:
    first, last, units = (_member(data, name, "eight_minutes.published") for name in ("from", "to", "units"))
    if not all(isinstance(each, int) for each in (first, last, units)) or first > last:
        raise UnitsError("eight_minutes.published", f"whole numbers, the lower first, not {first}, {last}")
    return Row(first, last, units)


def _timed(data: Any) -> Timed:
    entry = str(_member(data, "id", "a technique"))
    counts = _member(data, "counts", entry)
    if not isinstance(counts, bool):
        raise UnitsError(entry, f"counts: true or false, not {counts!r}")
    return Timed(counts, _words(data, "why", entry), _status(data, entry))


def _minutes(data: Any, name: str) -> int:
    value = _member(data, name, "eight_minutes")
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise UnitsError(f"eight_minutes.{name}", f"a whole number of minutes, not {value!r}")
    return value


def _words(data: Any, name: str, entry: str) -> str:
    value = _member(data, name, entry)
    if not isinstance(value, str) or not value.strip():
        raise UnitsError(entry, f"{name}: say it in words")
    return value


def _status(data: Any, entry: str) -> str:
    value = _member(data, "status", entry)
    if value not in STATUSES:
        raise UnitsError(entry, f"status: one of {', '.join(STATUSES)}, not {value!r}")
    return str(value)


def _member(data: Any, name: str, entry: str) -> Any:
    if not isinstance(data, Mapping) or name not in data:
        raise UnitsError(entry, f"{name} is missing")
    return data[name]

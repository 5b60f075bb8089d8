"""What the law asks of a request for amendment, read from amendments.toml and checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from charting.notes.models import AmendmentStep

FILE = Path(__file__).parent / "amendments.toml"
STATUSES = ("checked", "from memory", "common practice")
LONGEST_ID = AmendmentStep._meta.get_field("ground").max_length or 0


class AmendmentsError(ValueError):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Time:
    """How many days there are to act on a request, and how many more may be taken once."""

    days: int
    further_days: int
    source: str
    status: str


@dataclass(frozen=True)
class Ground:
    """On which a request may be denied."""

    id: str
    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Told:
    """Something that a person is told of the decision. `when`: accepted, denied."""

    when: str
    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Amendments:
    time: Time
    grounds: Mapping[str, Ground]
    tell: tuple[Told, ...]

    def due_on(self, received_on: date, *, extended: bool = False) -> date:
        """The last day to act. 1 March 2026: 30 April, extended 30 May."""
        more = self.time.further_days if extended else 0
        return received_on + timedelta(days=self.time.days + more)


@cache
def load() -> Amendments:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Amendments:
    """Check and freeze decoded data. Raises AmendmentsError."""
    time = _made(Time, data.get("time", {}), "time")
    grounds = [_made(Ground, one, _named(one, "ground")) for one in data.get("ground", [])]
    tell = tuple(_made(Told, one, f"tell {number}") for number, one in enumerate(data.get("tell", []), 1))
    if not grounds or len({one.id for one in grounds}) < len(grounds):
        raise AmendmentsError(f"{FILE.name}, ground: name each ground once, and at least one")
    for one in grounds:
        if len(one.id) > LONGEST_ID:
            raise AmendmentsError(f"{FILE.name}, ground {one.id}: its id has more than {LONGEST_ID} letters")
    decided = (AmendmentStep.What.ACCEPTED, AmendmentStep.What.DENIED)
    for number, told in enumerate(tell, 1):
        if told.when not in decided:
            raise AmendmentsError(f"{FILE.name}, tell {number}: when is one of {', '.join(decided)}")
    return Amendments(time, {one.id: one for one in grounds}, tell)


def _named(said: Mapping[str, Any], kind: str) -> str:
    return f"{kind} {said.get('id', '?')}"


def _made(shape: Any, said: Mapping[str, Any], entry: str) -> Any:
    """One entry as its dataclass: every member there, of its type, and nothing else."""
    wanted = {field.name: field.type for field in fields(shape)}
    if set(said) != set(wanted):
        raise AmendmentsError(f"{FILE.name}, {entry}: needs {', '.join(wanted)}, and nothing else")
    for name, type_ in wanted.items():
        if type_ is int and not (type(said[name]) is int and said[name] > 0):
            raise AmendmentsError(f"{FILE.name}, {entry}: {name} is a number of days above 0")
        if type_ is str and not (isinstance(said[name], str) and said[name].strip()):
            raise AmendmentsError(f"{FILE.name}, {entry}: {name} is in words")
    if said["status"] not in STATUSES:
        raise AmendmentsError(f"{FILE.name}, {entry}: status is one of {', '.join(STATUSES)}")
    return shape(**said)

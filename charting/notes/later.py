"""The four things that are written into a signed note afterwards, from later.toml, checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any

from charting.notes.models import Addendum

FILE = Path(__file__).parent / "later.toml"
STATUSES = ("checked", "from memory", "common practice")


class LaterError(ValueError):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Kind:
    """`choose`: when it is this one; `text`, `help`: what is written then, one sentence."""

    id: str
    choose: str
    text: str
    help: str
    source: str
    status: str

    @property
    def label(self) -> str:
        return str(Addendum.Kind(self.id).label)


@cache
def load() -> Mapping[str, Kind]:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Mapping[str, Kind]:
    """Check and freeze decoded data. Raises LaterError."""
    told = data.get("kind", {})
    if set(told) != set(Addendum.Kind.values):
        raise LaterError(f"{FILE.name}: name each of {', '.join(Addendum.Kind.values)} once under [kind.]")
    return {name: _kind(name, told[name]) for name in Addendum.Kind.values}


def _kind(name: str, said: Mapping[str, Any]) -> Kind:
    wanted = {field.name for field in fields(Kind)} - {"id"}
    if set(said) != wanted or not all(isinstance(said[key], str) and said[key].strip() for key in wanted):
        raise LaterError(f"{FILE.name}, kind {name}: needs {', '.join(sorted(wanted))}, each in words")
    if said["status"] not in STATUSES:
        raise LaterError(f"{FILE.name}, kind {name}: status is one of {', '.join(STATUSES)}")
    return Kind(id=name, **said)

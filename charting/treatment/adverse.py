"""Kinds and severities of adverse events, read from adverse.toml and checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from charting.treatment.models import AdverseEvent

FILE = Path(__file__).parent / "adverse.toml"
STATUSES = ("checked", "from memory", "common practice")


class AdverseError(ValueError):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Severity:
    """`follow_up_days`: after how many days a follow-up is proposed, 0 for none."""

    id: str
    label: str
    words: str
    follow_up_days: int
    source: str
    status: str


@dataclass(frozen=True)
class Kind:
    """What happened. `think`: what to think of first, "" for nothing."""

    id: str
    label: str
    think: str
    source: str
    status: str


@dataclass(frozen=True)
class Adverse:
    severities: Mapping[str, Severity]
    kinds: Mapping[str, Kind]


@cache
def load() -> Adverse:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Adverse:
    """Check and freeze decoded data. Raises AdverseError."""
    severities = {
        name: _made(Severity, {"id": name, **said}, f"severity {name}")
        for name, said in data.get("severity", {}).items()
    }
    if set(severities) != set(AdverseEvent.Severity.values):
        raise AdverseError(f"severity: exactly {', '.join(AdverseEvent.Severity.values)} are wanted")
    kinds: dict[str, Kind] = {}
    for said in data.get("kind", []):
        kind = _made(Kind, said, f"kind {said.get('id', '?')}")
        if kind.id in kinds:
            raise AdverseError(f"kind {kind.id} stands twice")
        kinds[kind.id] = kind
    if not kinds:
        raise AdverseError("there is no kind")
    return Adverse(severities, kinds)


def label_of(kind: str) -> str:
    """A kind that is no longer in the file is called by its id."""
    found = load().kinds.get(kind)
    return found.label if found else kind


def _made(shape: Any, said: Mapping[str, Any], where: str) -> Any:
    try:
        made = shape(**said)
    except TypeError as problem:
        wanted = ", ".join(shape.__dataclass_fields__)
        raise AdverseError(f"{where}: its members are {wanted}") from problem
    if made.status not in STATUSES or not made.source or not made.label:
        raise AdverseError(f"{where}: needs label, source, and a status of {', '.join(STATUSES)}")
    return made

"""How certain a source is, in words (certainty.toml). The clinician chooses; nothing is chosen beforehand."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "certainty.toml"
STATUS = ("checked", "from memory", "common practice")
TEXTS = ("id", "words", "explains", "source", "status")


class CertaintyError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Certainty:
    """`excludes`: it says that the source is not it."""

    id: str
    words: str
    explains: str
    excludes: bool
    source: str
    status: str


@dataclass(frozen=True)
class Certainties:
    version: str
    words: tuple[Certainty, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        return tuple(each.id for each in self.words)

    def of(self, name: str) -> Certainty | None:
        return next((each for each in self.words if each.id == name), None)

    def words_for(self, name: str) -> str:
        """The words of an id; the id itself when no such word is offered any more."""
        known = self.of(name)
        return known.words if known else name

    def excludes(self, name: str) -> bool:
        known = self.of(name)
        return bool(known and known.excludes)


@cache
def load() -> Certainties:
    """The file, checked. Raises CertaintyError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any], file: str = FILE.name) -> Certainties:
    """Check and freeze decoded data. Raises CertaintyError with file, entry and reason."""
    found = tuple(_certainty(entry, file) for entry in data.get("certainty", ()))
    if len(found) < 2 or not isinstance(data.get("version"), str):
        raise CertaintyError(f"{file}: a version and at least two words of certainty are needed")
    for name in ("id", "words"):
        said = [getattr(each, name) for each in found]
        if len(set(said)) < len(said):
            raise CertaintyError(f"{file}: two certainties have the same {name}; give each its own")
    return Certainties(data["version"], found)


def _certainty(entry: Mapping[str, Any], file: str) -> Certainty:
    where = f"{file}: certainty {entry.get('id', '?')}"
    for name in TEXTS:
        if not isinstance(entry.get(name), str) or not entry[name].strip():
            raise CertaintyError(f"{where}: {name} must be a text")
    if not isinstance(entry.get("excludes"), bool):
        raise CertaintyError(f"{where}: excludes must be true or false")
    if entry["status"] not in STATUS:
        raise CertaintyError(f"{where}: status must be one of {', '.join(STATUS)}")
    return Certainty(**{name: entry[name] for name in TEXTS}, excludes=entry["excludes"])

"""Beside which part of the drawing a sentence stands that is about no single source (near.toml)."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import parts

FILE = Path(__file__).parent / "near.toml"


class NearError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Near:
    """Ids of parts by group of tests or joint, and by what a cluster is about."""

    groups: Mapping[str, frozenset[str]]
    about: Mapping[str, frozenset[str]]

    def group(self, name: str) -> frozenset[str]:
        return self.groups.get(name, frozenset())


@cache
def load() -> Near:
    """The file, checked. Raises NearError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any], file: str = FILE.name) -> Near:
    return Near(_table(data, "groups", file), _table(data, "about", file))


def _table(data: Mapping[str, Any], name: str, file: str) -> dict[str, frozenset[str]]:
    known = {part.id for part in parts.load().parts}
    found = data.get(name)
    if not isinstance(found, Mapping):
        raise NearError(f"{file}: [{name}] is missing")
    for key, listed in found.items():
        if not listed or not set(listed) <= known:
            wrong = ", ".join(sorted(set(listed) - known)) or "nothing"
            raise NearError(f"{file}: {name}.{key}: {wrong} is no part of bodymaps/data/parts.toml")
    return {key: frozenset(listed) for key, listed in found.items()}

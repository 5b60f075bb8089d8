"""Lists of regions that the rules share (data/reasoning/places.toml): one name stands for all of its regions,
and "anywhere" for every region of the body.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps import regions
from bodymaps.reasoning.items import FOLDER

FILE = "places.toml"
ANYWHERE = "anywhere"


class PlacesError(ValueError):
    """A file that cannot be used; the message names the list and what to mend."""


@dataclass(frozen=True)
class Place:
    """`called`: what the list of rules calls it."""

    called: str
    regions: tuple[str, ...]


@cache
def known() -> Mapping[str, Place]:
    """Every list of the file by its name, and "anywhere"."""
    return read(tomllib.loads((FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Mapping[str, Place]:
    """Check and freeze decoded data. Raises PlacesError."""
    all_regions = tuple(dict.fromkeys(one.id for one in regions.names()))
    found = {ANYWHERE: Place(ANYWHERE, all_regions)}
    for name, told in data.get("places", {}).items():
        listed, called = told.get("regions"), told.get("called")
        if name == ANYWHERE or set(told) != {"called", "regions"} or not called or not listed:
            raise PlacesError(f"{FILE}: {name}: needs called and regions, and a name of its own")
        if wrong := set(listed) - set(all_regions):
            raise PlacesError(f"{FILE}: {name}: no such region: {', '.join(sorted(wrong))}")
        found[name] = Place(called, tuple(listed))
    return found


def spelled_out(names: Iterable[str]) -> list[str]:
    """The regions that names stand for, each once; what is no name of a list stays as it is."""
    places = known()
    return list(
        dict.fromkeys(
            region for name in names for region in (places[name].regions if name in places else (name,))
        )
    )


def called(names: Iterable[str]) -> str:
    """What lists of regions are called together; "" when one of the names is no list."""
    places, names = known(), list(names)
    return " or ".join(places[name].called for name in names) if all(name in places for name in names) else ""

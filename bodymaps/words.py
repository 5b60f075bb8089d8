"""Plain words for regions and sides, the same in reasons, notes and descriptions."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Protocol

FILE = Path(__file__).parent / "data" / "region_words.toml"


class PatchLike(Protocol):
    @property
    def ids(self) -> tuple[str, ...]: ...
    @property
    def side(self) -> str: ...


@cache
def _entries() -> dict[str, dict[str, str]]:
    with FILE.open("rb") as file:
        return tomllib.load(file)


def region_on(region_id: str, side: str) -> str:
    """("back:elbow_lateral", "right") -> "right lateral elbow"; raises KeyError for an unknown region."""
    return _entries()[region_id]["words"].format(side=side)


def listed(items: list[str]) -> str:
    """["a", "b", "c"] -> "a, b and c"."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"


def root(root_id: str) -> str:
    """ "S4_5" -> "S4-S5"; the others as they are."""
    return "S4-S5" if root_id == "S4_5" else root_id


def sentence_case(text: str) -> str:
    """ "right temple" -> "Right temple"; the rest is left as it is."""
    return text[:1].upper() + text[1:]


def percent(share: float) -> str:
    """0.8 -> "80 %"; a share that is not nothing is never printed as 0 %, nor one short of the whole as 100
    %.
    """
    rounded = round(100 * share)
    if share > 0 and rounded == 0:
        return "under 1 %"
    if share < 1 and rounded == 100:
        return "over 99 %"
    return f"{rounded} %"


def patch(one: PatchLike) -> str:
    """A patch of skin with its side, named after its first region."""
    return region_on(one.ids[0], one.side)

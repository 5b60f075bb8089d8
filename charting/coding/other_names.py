"""Names that the list does not have (other_names.toml), and in which order chapters are shown."""

import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from charting.coding import table
from charting.coding.table import Table

FILE = Path(__file__).parent / "other_names.toml"
# A word in so many names says little by itself ("pain").
COMMON = 4


class NamesError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Names:
    """`names`: (what is said, its words, the codes meant). `common`: words that say little by themselves,
    being in many names; `little`: those that say nothing. `places`: of beginnings of codes, low ones are
    shown first.
    """

    names: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...]
    spelled: tuple[tuple[str, str], ...]
    encounters: frozenset[str]
    common: frozenset[str]
    little: frozenset[str]
    places: Mapping[str, int]

    def meaning(self, words: Sequence[str]) -> list[tuple[str, tuple[str, ...], tuple[str, ...]]]:
        """(the name, its codes, which words it does not say) of every name that fits, the one that fits best
        first: all of the name was typed, or all that was typed begins words of it and is at least half of it.
        """
        found = []
        for said, parts, codes in self.names:
            others = tuple(word for word in words if not _begins_one(word, parts))
            left = len(parts) - len(words) + len(others)
            is_begun = (
                not others and 2 * left <= len(parts) and (len(words) > 1 or words[0] not in self.common)
            )
            if left <= 0 or is_begun:
                found.append((left, len(others), said, codes, others))
        found.sort(key=lambda one: one[:2])
        return [one[2:] for one in found]

    def respelled(self, text: str) -> str:
        for british, american in self.spelled:
            text = text.replace(british, american)
        return text

    def place_of(self, code: str) -> int:
        """Of the longest beginning that `first` or `last` has; those it does not name come between."""
        held = next((code[:length] for length in range(len(code), 0, -1) if code[:length] in self.places), "")
        return self.places.get(held, len(self.places))


@cache
def load() -> Names:
    """The file, checked against the list. Raises NamesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")), table.load())


def read(data: Mapping[str, Any], known: Table, file: str = FILE.name) -> Names:
    """Check and freeze decoded data. Raises NamesError with file, entry and reason."""
    for member in ("common_codes", "first", "last", "encounters", "little", "spelled", "name"):
        if not data.get(member):
            raise NamesError(f"{file}: {member} is missing")
    names = tuple(one for entry in data["name"] for one in _names(entry, known, file))
    counted = Counter(word for _, words, _ in names for word in words)
    return Names(
        names=names,
        spelled=tuple((british, american) for british, american in data["spelled"]),
        encounters=frozenset(data["encounters"]),
        common=frozenset(word for word, count in counted.items() if count >= COMMON),
        little=frozenset(data["little"]),
        places=_places(data, known, file),
    )


def _places(data: Mapping[str, Any], known: Table, file: str) -> dict[str, int]:
    """0 for what is common, then the chapters of `first`; those of `last` after all others."""
    for code in data["common_codes"]:
        if known.entry(code) is None:
            raise NamesError(f"{file}: common_codes: {code} is no code of the list of {known.release}")
    first = {letter: place for place, letter in enumerate(data["first"], 1)}
    last = {letter: 100 + place for place, letter in enumerate(data["last"])}
    return {**dict.fromkeys(data["common_codes"], 0), **first, **last}


def _names(
    entry: Mapping[str, Any], known: Table, file: str
) -> list[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    says, codes = entry.get("says"), entry.get("codes")
    if not says or not codes:
        raise NamesError(f"{file}: name {says or codes or '?'}: says and codes are needed")
    for code in codes:
        if known.entry(code) is None:
            raise NamesError(f"{file}: name {says[0]}: {code} is no code of the list of {known.release}")
    return [(said, tuple(said.casefold().replace("'", " ").split()), tuple(codes)) for said in says]


def _begins_one(word: str, words: Sequence[str]) -> bool:
    return any(each.startswith(word) for each in words)

"""Results that one tap records (one_tap.toml): which signs each sets."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt

FILE = Path(__file__).parent / "one_tap.toml"


class OneTapError(ValueError):
    """An entry that cannot be used: file, entry, what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class OneTap:
    """`sets`: answers by id of a sign. `gives`: the result that they make, one of felt.RESULTS."""

    id: str
    words: str
    gives: str
    sets: Mapping[str, str]

    @property
    def says(self) -> str:
        """ "taut band felt, sensitive spot found": every sign it sets, in words."""
        signs = [felt.load().sign(name) for name in self.sets]
        return ", ".join(f"{sign.label.lower()} {sign.words_for(self.sets[sign.id])}" for sign in signs)

    @property
    def as_text(self) -> str:
        """ "band=yes spot=no": for the script of the page."""
        return " ".join(f"{name}={answer}" for name, answer in self.sets.items())

    def is_what(self, values: Mapping[str, str]) -> bool:
        """Whether the signs stand just so."""
        return all(values.get(name) == answer for name, answer in self.sets.items())


@cache
def load() -> tuple[OneTap, ...]:
    """The file, checked. Raises OneTapError."""
    return read(FILE.read_text(encoding="utf-8"))


def read(text: str) -> tuple[OneTap, ...]:
    """Raises OneTapError with the entry and what to mend."""
    made = tuple(
        OneTap(str(entry["id"]), str(entry["words"]), str(entry["gives"]), dict(entry["sets"]))
        for entry in tomllib.loads(text)["result"]
    )
    for each in made:
        _check(each)
    return made


def named(name: str) -> OneTap | None:
    return next((each for each in load() if each.id == name), None)


def _check(each: OneTap) -> None:
    known = {sign.id for sign in felt.load().signs}
    if unknown := set(each.sets) - known:
        raise OneTapError(each.id, f"unknown sign {', '.join(sorted(unknown))}")
    if not set(each.sets.values()) <= set(felt.ANSWERS):
        raise OneTapError(each.id, f"a sign is one of {', '.join(felt.ANSWERS)}")
    made = felt.verdict(Felt("", "", "", each.sets)).result
    if made != each.gives:
        raise OneTapError(each.id, f"its signs give {made}, not {each.gives}")

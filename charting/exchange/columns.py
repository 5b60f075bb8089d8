"""Which columns a list of people may have (columns.toml), and what stands in them."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from charting.patients.forms import PatientForm
from charting.patients.models import Patient

FILE = Path(__file__).parent / "columns.toml"


class ColumnsError(ValueError):
    """The data file is wrong: file, entry, what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class Column:
    name: str
    words: tuple[str, ...]
    needed: bool


@dataclass(frozen=True)
class Columns:
    """`sex`: {what may stand there: code}. Limits of one file: people, bytes, people to decide about."""

    columns: tuple[Column, ...]
    sex: Mapping[str, str]
    most_people: int
    most_bytes: int
    most_alike: int

    def called(self, head: str) -> Column | None:
        return next((one for one in self.columns if plain(head) in one.words), None)


def plain(text: str) -> str:
    """ " Family_Name" -> "family name": as the words of a head are compared."""
    return " ".join(re.sub(r"[-_./]", " ", text.casefold()).split())


@cache
def load() -> Columns:
    """The file, checked. Raises ColumnsError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Columns:
    """Raises ColumnsError with the entry and what to mend."""
    columns = tuple(
        Column(str(one["name"]), tuple(plain(word) for word in one["words"]), bool(one.get("needed")))
        for one in data["column"]
    )
    _check(columns)
    sex = {plain(word): code for code, words in data["sex"].items() for word in words}
    if strange := set(sex.values()) - set(Patient.Sex.values):
        raise ColumnsError("sex", f"no such code: {', '.join(sorted(strange))}")
    limits = {name: data["limits"].get(name) for name in ("people", "megabytes", "alike")}
    for name, most in limits.items():
        if not isinstance(most, int) or most < 1:
            raise ColumnsError(f"limits.{name}", "a whole number above nought is needed")
    return Columns(columns, sex, limits["people"], limits["megabytes"] * 1_000_000, limits["alike"])


def _check(columns: tuple[Column, ...]) -> None:
    words = [word for one in columns for word in one.words]
    for one in columns:
        if one.name not in PatientForm.ABOUT:
            raise ColumnsError(one.name, f"name one of {', '.join(PatientForm.ABOUT)}")
        if twice := [word for word in one.words if words.count(word) > 1]:
            raise ColumnsError(one.name, f"{twice[0]!r} stands twice")

"""What a payer asks for (missing.toml), checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from charting.insurance.missing_checks import CHECKS

FILE = Path(__file__).parent / "missing.toml"
STATUSES = ("checked", "common practice", "from memory")
PAPERS = ("note", "progress")
EVERY, ASKED, NO_PAYER = "", "asked", "no payer"
PLACES = ("treatment", "registration-numbers")
PARTS = ("payer", "injury", "referral", "work", "plan", "certification", "authorisations")
MEMBERS = {"id", "words", "at", "papers", "needs", "label", "source", "status"}


class MissingError(ValueError):
    """An entry that cannot be used: file, entry, what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class Entry:
    """One thing to look for; members as the file says them."""

    id: str
    words: str
    at: str
    papers: tuple[str, ...]
    needs: str
    label: str
    source: str
    status: str


@cache
def load() -> Mapping[str, Entry]:
    """The entries by id, in the order of the file. Raises MissingError."""
    return read(FILE.read_text(encoding="utf-8"))


def asked() -> tuple[Entry, ...]:
    """What a payer may ask for beyond what every payer does."""
    return tuple(one for one in load().values() if one.needs == ASKED)


def read(text: str) -> dict[str, Entry]:
    """Raises MissingError with the entry and what to mend."""
    made = [_entry(each) for each in tomllib.loads(text).get("missing", ())]
    names = [one.id for one in made]
    if twice := {name for name in names if names.count(name) > 1}:
        raise MissingError(twice.pop(), "stands twice")
    if strange := sorted(set(names) ^ set(CHECKS)):
        raise MissingError(strange[0], "has to stand here and in missing_checks.py, where it is looked for")
    return {one.id: one for one in made}


def _entry(data: Mapping[str, Any]) -> Entry:
    name = _words(data, "id", "an entry")
    if strange := sorted(set(data) - MEMBERS):
        raise MissingError(name, f"{strange[0]} is not known here: one of {', '.join(sorted(MEMBERS))}")
    needs = _one_of((EVERY, ASKED, NO_PAYER), data.get("needs"), name, "needs")
    papers = tuple(_one_of(PAPERS, each, name, "papers") for each in data.get("papers", ()))
    if not papers:
        raise MissingError(name, f"papers: name at least one of {', '.join(PAPERS)}")
    return Entry(
        id=name,
        words=_words(data, "words", name),
        at=_place(data.get("at"), name),
        papers=papers,
        needs=needs,
        label=_words(data, "label", name) if needs == ASKED else "",
        source=_words(data, "source", name),
        status=_one_of(STATUSES, data.get("status"), name, "status"),
    )


def _place(value: Any, name: str) -> str:
    known = (*PLACES, *(f"insurance#{part}" for part in PARTS))
    return _one_of(known, value, name, "at")


def _words(data: Mapping[str, Any], member: str, name: str) -> str:
    value = data.get(member)
    if not isinstance(value, str) or not value.strip():
        raise MissingError(name, f"{member}: say it in words")
    return value


def _one_of(known: tuple[str, ...], value: Any, name: str, member: str) -> str:
    if value not in known:
        raise MissingError(name, f"{member}: one of {', '.join(map(repr, known))}, not {value!r}")
    return str(value)

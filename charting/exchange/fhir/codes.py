"""Addresses of code systems and foreign codes (codes.toml), checked as they are read."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "codes.toml"
STATUS = ("checked", "from memory", "common practice")
TEXTS = ("id", "system", "code", "display", "source", "status")


class CodesError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class Code:
    id: str
    system: str
    code: str
    display: str
    source: str
    status: str


@dataclass(frozen=True)
class Codes:
    """`systems`: name to address; `codes`: by id, each with the address of its system; `units`: to UCUM."""

    systems: Mapping[str, str]
    codes: Mapping[str, Code]
    pain_kinds: frozenset[str]
    units: Mapping[str, str]


@cache
def load() -> Codes:
    """The file, checked. Raises CodesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any], file: str = FILE.name) -> Codes:
    """Check and freeze decoded data. Raises CodesError with file, entry and reason."""
    try:
        systems = {name: _address(name, said, file) for name, said in data["system"].items()}
        codes = [_code(entry, systems, file) for entry in data["code"]]
        kinds, units = frozenset(data["pain"]["kinds"]), dict(data["units"])
    except KeyError as missing:
        raise CodesError(f"{file}: {missing} is missing") from missing
    by_id = {code.id: code for code in codes}
    if len(by_id) < len(codes):
        raise CodesError(f"{file}: two codes have the same id; give each its own")
    return Codes(systems, by_id, kinds, units)


def system(name: str) -> str:
    return load().systems[name]


def coding(name: str) -> dict[str, str]:
    """A foreign code as FHIR writes it. Raises KeyError for one that is not in the file."""
    code = load().codes[name]
    return {"system": code.system, "code": code.code, "display": code.display}


def _address(name: str, said: Any, file: str) -> str:
    if not isinstance(said, str) or not said.startswith(("http://", "https://", "urn:")):
        raise CodesError(f"{file}: system {name!r} must be an address that begins with http: or urn:")
    return said


def _code(entry: Mapping[str, Any], systems: Mapping[str, str], file: str) -> Code:
    named = f"{file}: code {entry.get('id', '?')!r}"
    for text in TEXTS:
        if not isinstance(entry.get(text), str) or not entry[text].strip():
            raise CodesError(f"{named}: give it a {text}")
    if entry["system"] not in systems:
        raise CodesError(f"{named}: {entry['system']!r} is not among the systems above")
    if entry["status"] not in STATUS:
        raise CodesError(f"{named}: the status must be one of {', '.join(STATUS)}")
    return Code(**{text: entry[text] for text in TEXTS if text != "system"}, system=systems[entry["system"]])

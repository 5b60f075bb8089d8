"""rules.toml, read once and checked as it is read."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "rules.toml"
# What a rule may hold: lists of words, or lists by member.
LISTS, TABLES = ("required", "status"), ("refers", "concepts")


class RulesError(ValueError):
    """The file cannot be used; the message names file, entry and what to mend."""


@cache
def rules() -> dict[str, Any]:
    """The file, checked. Raises RulesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any], file: str = FILE.name) -> dict[str, Any]:
    for name in ("narrative", "resource", "nested"):
        if not data.get(name):
            raise RulesError(f"{file}: {name} is missing")
    _words(data["narrative"], f"{file}: narrative")
    for path, values in data["nested"].items():
        _words(values, f"{file}: nested {path!r}")
    for type_, rule in data["resource"].items():
        _rule(rule, f"{file}: resource {type_}")
    return dict(data)


def _rule(rule: Mapping[str, Any], named: str) -> None:
    if "required" not in rule:
        raise RulesError(f"{named}: say which members are required, [] for none")
    for name, said in rule.items():
        if name in LISTS:
            _words(said, f"{named}, {name}")
        elif name in TABLES:
            for member, values in said.items():
                _words(values, f"{named}, {name} {member!r}")
        else:
            raise RulesError(f"{named}: {name!r} is none of {', '.join((*LISTS, *TABLES))}")


def _words(said: Any, named: str) -> None:
    if not isinstance(said, list) or not all(isinstance(each, str) and each for each in said):
        raise RulesError(f"{named} must be a list of words")

"""The questions of the danger screen, read from danger_screen.toml and checked on load."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "danger_screen.toml"
TEXTS = ("id", "topic", "question", "why", "on_yes", "urgency")


class DangerScreenError(Exception):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Question:
    """One question. `urgency` is one of the screen's levels, `urgency_words` what it says."""

    id: str
    topic: str
    question: str
    why: str
    on_yes: str
    urgency: str
    urgency_words: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class DangerScreen:
    version: str
    unsure: str
    local_rules: str
    questions: tuple[Question, ...]


@cache
def load() -> DangerScreen:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: dict[str, Any]) -> DangerScreen:
    """Check and freeze decoded data. Raises DangerScreenError with the entry and the reason."""
    questions = tuple(_question(entry, data.get("urgency", {})) for entry in data.get("question", []))
    if not questions:
        raise DangerScreenError("the danger screen has no questions")
    ids = [each.id for each in questions]
    if len(set(ids)) < len(ids):
        raise DangerScreenError(f"two questions have the same id: {sorted(ids)}")
    for name in ("version", "unsure", "local_rules"):
        _text(data, name, "the danger screen")
    return DangerScreen(data["version"], data["unsure"], data["local_rules"], questions)


def _question(entry: dict[str, Any], levels: dict[str, str]) -> Question:
    where = f"question {entry.get('id', '?')}"
    texts = {name: _text(entry, name, where) for name in TEXTS}
    if texts["urgency"] not in levels:
        raise DangerScreenError(f"{where}: urgency must be one of {', '.join(levels)}")
    sources = entry.get("sources")
    if not isinstance(sources, list) or not sources or not all(isinstance(s, str) and s for s in sources):
        raise DangerScreenError(f"{where}: sources must name a published work or 'common practice'")
    return Question(**texts, urgency_words=levels[texts["urgency"]], sources=tuple(sources))


def _text(entry: dict[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise DangerScreenError(f"{where}: {name} must be a text")
    return value

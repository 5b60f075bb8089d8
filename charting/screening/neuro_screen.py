"""What the neurological screen tests and how it is graded: neuro_screen.toml, checked on load."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "neuro_screen.toml"


class NeuroScreenError(Exception):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Grade:
    value: str
    words: str
    status: str


@dataclass(frozen=True)
class Item:
    """One test. `key` is how a finding is stored: "touch:C6"."""

    key: str
    label: str
    roots: tuple[str, ...]
    how: str

    @property
    def roots_words(self) -> str:
        return ", ".join(self.roots)


@dataclass(frozen=True)
class Section:
    """Tests graded on one scale. `grades` ends with NT (not tested)."""

    id: str
    title: str
    scale: str
    source: str
    status: str
    normal: str
    within_normal: tuple[str, ...]
    grades: tuple[Grade, ...]
    items: tuple[Item, ...]

    def words_for(self, value: str) -> str:
        return next((grade.words for grade in self.grades if grade.value == value), "")


@dataclass(frozen=True)
class NeuroScreen:
    version: str
    not_tested: str
    sections: tuple[Section, ...]

    def tests(self) -> Iterator[tuple[Section, Item]]:
        return ((section, item) for section in self.sections for item in section.items)


@cache
def load() -> NeuroScreen:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: dict[str, Any]) -> NeuroScreen:
    """Check and freeze decoded data. Raises NeuroScreenError with the section and the reason."""
    try:
        sections = tuple(_section(entry, data["not_tested"]) for entry in data["section"])
        screen = NeuroScreen(data["version"], data["not_tested"], sections)
    except KeyError as problem:
        raise NeuroScreenError(f"the neuro screen lacks {problem}") from problem
    keys = [item.key for _, item in screen.tests()]
    if not keys or len(set(keys)) < len(keys):
        raise NeuroScreenError("every test needs an id of its own")
    return screen


def _section(entry: dict[str, Any], not_tested: str) -> Section:
    where = f"section {entry.get('id', '?')}"
    lacking = {
        "id",
        "title",
        "scale",
        "source",
        "status",
        "normal",
        "within_normal",
        "grades",
        "items",
    } - set(entry)
    if lacking:
        raise NeuroScreenError(f"{where} lacks {', '.join(sorted(lacking))}")
    grades = tuple(
        Grade(grade["value"], grade["words"], grade.get("status", entry["status"]))
        for grade in entry["grades"]
    )
    if entry["normal"] not in {grade.value for grade in grades}:
        raise NeuroScreenError(f"{where}: normal must be one of its grades")
    if not {entry["normal"]} <= set(entry["within_normal"]) <= {grade.value for grade in grades}:
        raise NeuroScreenError(f"{where}: within_normal must be grades of it, normal among them")
    if not entry["source"].strip():
        raise NeuroScreenError(f"{where}: a scale needs its source")
    return Section(
        id=entry["id"],
        title=entry["title"],
        scale=entry["scale"],
        source=entry["source"],
        status=entry["status"],
        normal=entry["normal"],
        within_normal=tuple(entry["within_normal"]),
        grades=(*grades, Grade(not_tested, "not tested; say why", "common practice")),
        items=tuple(_item(entry["id"], item) for item in entry["items"]),
    )


def _item(section: str, entry: dict[str, Any]) -> Item:
    if not entry["roots"]:
        raise NeuroScreenError(f"{section}:{entry['id']} names no root")
    return Item(f"{section}:{entry['id']}", entry["label"], tuple(entry["roots"]), entry["how"])

"""The consent texts, read from texts.toml and checked on load: changed words need a new version."""

import hashlib
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "texts.toml"


class ConsentTextError(Exception):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Part:
    heading: str
    words: str
    sources: tuple[str, ...]

    @property
    def sources_words(self) -> str:
        """The published works, "" when there are none."""
        return "; ".join(source for source in self.sources if source != "common practice")


@dataclass(frozen=True)
class ConsentText:
    """One text in one version. `treats`: it is consent to more than examination."""

    id: str
    version: int
    title: str
    for_what: str
    parts: tuple[Part, ...]
    treats: bool

    @property
    def body(self) -> str:
        """The whole text as it is stored with a signature."""
        return "\n\n".join(_paragraph(part) for part in self.parts)


@cache
def load() -> dict[str, ConsentText]:
    """The texts in use, by id, in the order of the file."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: dict[str, Any]) -> dict[str, ConsentText]:
    """Check and freeze decoded data. Raises ConsentTextError naming the text and the reason."""
    texts: dict[str, ConsentText] = {}
    for entry in data.get("text", []):
        text = _text(entry)
        if text.id in texts:
            raise ConsentTextError(f"{text.id} stands twice")
        texts[text.id] = text
    if not texts:
        raise ConsentTextError("there is no consent text")
    return texts


def fingerprint(text: ConsentText) -> str:
    """SHA-256 of the words as they are stored."""
    return hashlib.sha256(f"{text.title}\n\n{text.body}".encode()).hexdigest()


def _text(entry: dict[str, Any]) -> ConsentText:
    where = f"text {entry.get('id', '?')}"
    try:
        parts = tuple(_part(part, where) for part in entry["part"])
        text = ConsentText(
            entry["id"], entry["version"], entry["title"], entry["for_what"], parts, entry["treats"]
        )
        expected = entry["sha256"]
    except KeyError as problem:
        raise ConsentTextError(f"{where} lacks {problem}") from problem
    if fingerprint(text) != expected:
        raise ConsentTextError(
            f"{where}: the words are not those of version {text.version}. "
            f"Raise the version and set sha256 to {fingerprint(text)}."
        )
    return text


def _part(part: dict[str, Any], where: str) -> Part:
    if not part.get("sources"):
        raise ConsentTextError(f"{where}, {part.get('heading', '?')}: name a source or 'common practice'")
    return Part(part["heading"], part["words"], tuple(part["sources"]))


def _paragraph(part: Part) -> str:
    source = f" (Source: {part.sources_words}.)" if part.sources_words else ""
    return f"{part.heading}. {part.words}{source}"

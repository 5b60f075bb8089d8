"""The consent texts, read from texts.toml and checked on load: changed words need a new version."""

import hashlib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import consent_areas

FILE = Path(__file__).parent / "texts.toml"
# A rate, which needs a published source: "19.18 %", "22 in 100", "36.7 for 100", "one in a thousand".
RATE = re.compile(
    r"\d\s*(%|per\s*cent)|\d\s+(in|of|out of|for|per)\s+(every\s+)?\d"
    r"|\b(one|two|three|four|five|\d+)\s+(in|out of)\s+(a|every|one|ten|twenty|fifty)\b"
    r"|\b(in|of) a (hundred|thousand|million)\b",
    re.IGNORECASE,
)
COMMON = "common practice"
PLAIN = ("id", "version", "title", "for_what", "treats", "procedure", "sensitive")


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
        return "; ".join(source for source in self.sources if source != COMMON)

    @property
    def lacks_source(self) -> bool:
        """Whether it tells a rate and names nobody who counted."""
        return bool(RATE.search(self.words)) and not self.sources_words


@dataclass(frozen=True)
class Procedure:
    """What somebody can agree to. `by_area`: only for the areas that the consent names."""

    id: str
    words: str
    by_area: bool


@dataclass(frozen=True)
class ConsentText:
    """One text in one version. `treats`: it is consent to more than examination.

    `procedure`: what it allows; "" where it is asked on signing, for a text about one `sensitive` area.
    """

    id: str
    version: int
    title: str
    for_what: str
    parts: tuple[Part, ...]
    treats: bool
    procedure: str = ""
    sensitive: str = ""

    @property
    def body(self) -> str:
        """The whole text as it is stored with a signature."""
        return "\n\n".join(_paragraph(part) for part in self.parts)


@cache
def load() -> dict[str, ConsentText]:
    """The texts in use, by id, in the order of the file."""
    return read(_decoded())


@cache
def procedures() -> dict[str, Procedure]:
    """What can be agreed to, by id."""
    return read_procedures(_decoded())


def read_procedures(data: dict[str, Any]) -> dict[str, Procedure]:
    """Check and freeze decoded data. Raises ConsentTextError naming the entry and the reason."""
    try:
        found = [Procedure(each["id"], each["words"], each["by_area"]) for each in data["procedure"]]
    except KeyError as problem:
        raise ConsentTextError(f"a procedure lacks {problem}") from problem
    return {each.id: each for each in found}


def _decoded() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def read(data: dict[str, Any]) -> dict[str, ConsentText]:
    """Check and freeze decoded data. Raises ConsentTextError naming the text and the reason."""
    known = read_procedures(data) if data.get("text") else {}
    texts: dict[str, ConsentText] = {}
    for entry in data.get("text", []):
        text = _text(entry, known)
        if text.id in texts:
            raise ConsentTextError(f"{text.id} stands twice")
        texts[text.id] = text
    if not texts:
        raise ConsentTextError("there is no consent text")
    return texts


def fingerprint(text: ConsentText) -> str:
    """SHA-256 of the words as they are stored."""
    return hashlib.sha256(f"{text.title}\n\n{text.body}".encode()).hexdigest()


def _is_sensitive(area: str) -> bool:
    return area in consent_areas.areas() and consent_areas.areas()[area].sensitive


def _text(entry: dict[str, Any], known: Mapping[str, Procedure]) -> ConsentText:
    where = f"text {entry.get('id', '?')}"
    try:
        parts = tuple(_part(part, where) for part in entry["part"])
        text = ConsentText(**{name: entry[name] for name in PLAIN}, parts=parts)
        expected = entry["sha256"]
    except KeyError as problem:
        raise ConsentTextError(f"{where} lacks {problem}") from problem
    if bool(text.procedure) == bool(text.sensitive):
        raise ConsentTextError(f"{where}: names one procedure, or is about one sensitive area")
    if text.procedure and text.procedure not in known:
        raise ConsentTextError(f"{where}: no such procedure: {text.procedure}")
    if text.sensitive and not _is_sensitive(text.sensitive):
        raise ConsentTextError(f"{where}: no sensitive area of that name: {text.sensitive}")
    if fingerprint(text) != expected:
        raise ConsentTextError(
            f"{where}: the words are not those of version {text.version}. "
            f"Raise the version and set sha256 to {fingerprint(text)}."
        )
    return text


def _part(part: dict[str, Any], where: str) -> Part:
    if not part.get("sources"):
        raise ConsentTextError(f"{where}, {part.get('heading', '?')}: name a source or 'common practice'")
    read = Part(part["heading"], part["words"], tuple(part["sources"]))
    if read.lacks_source:
        raise ConsentTextError(f"{where}, {read.heading}: a rate needs a published source")
    return read


def _paragraph(part: Part) -> str:
    source = f" (Source: {part.sources_words}.)" if part.sources_words else ""
    return f"{part.heading}. {part.words}{source}"

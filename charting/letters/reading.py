"""How easy a text is to read: Flesch reading ease, counted by rules of thumb for English."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "reading.toml"
STATUSES = ("checked", "from memory", "common practice")
# Of a sentence; a dot within a number or an abbreviation of one letter ends none.
ENDS = re.compile(r"(?<![A-Z])[.!?]+(?=\s|$|[”\")])|[;:](?=\s)|\n+")
WORD = re.compile(r"[A-Za-zÀ-ɏ0-9%][A-Za-zÀ-ɏ0-9%'’.,]*")
VOWELS = re.compile(r"[aeiouyà-ü]+")
# Written vowels that are not spoken, and two vowels that are spoken apart.
SILENT = re.compile(
    r"(?:[^aeiouy]es|[^aeiouytd]ed|[^aeiouyl]e|[aeiouy]le|[^aeiouy]e(?=ly$|ful|ment|less)\w+)$"
)
SPOKEN_ES = re.compile(r"(?:(?:[sxz]|ch|sh|[cg])es|[^aeiouy]les)$")
APART = re.compile(r"ia(?!l$)|io(?!n|us)|[^qg]ua|ui(?=ng|ty)|eo(?!u|p)|iu|[aeouy]ing|ism$|(?<=\w\w)ea$|iet")
# What no rule above counts right, among the words of these papers.
KNOWN = {"every": 2, "something": 2, "sometimes": 2, "someone": 2, "whole": 1, "lion": 2, "science": 2}


class ReadingError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Rules:
    version: str
    base: float
    per_sentence: float
    per_word: float
    at_least: float
    age: int
    source: str
    status: str


@dataclass(frozen=True)
class Reading:
    """`ease` is None for a text without words. `longest`: its longest sentence, `hard`: its longest words."""

    ease: float | None
    words: int
    sentences: int
    syllables: int
    longest: str = ""
    hard: tuple[str, ...] = ()

    @property
    def is_easy(self) -> bool:
        return self.ease is None or self.ease >= rules().at_least


@cache
def rules() -> Rules:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: dict[str, Any]) -> Rules:
    """Check decoded data. Raises ReadingError."""
    ease, goal = data.get("ease", {}), data.get("goal", {})
    named = (
        *((f"[ease] {name}", ease.get(name)) for name in ("base", "per_sentence", "per_word")),
        *((f"[goal] {name}", goal.get(name)) for name in ("at_least", "age")),
    )
    for name, value in named:
        if not isinstance(value, int | float) or isinstance(value, bool) or value <= 0:
            raise ReadingError(f"{FILE.name}: {name}: write a number above 0.")
    for name, part in (("[ease]", ease), ("[goal]", goal)):
        if not part.get("source") or part.get("status") not in STATUSES:
            raise ReadingError(
                f"{FILE.name}: {name}: name the source, and its status: {', '.join(STATUSES)}."
            )
    return Rules(
        str(data.get("version", "")),
        ease["base"],
        ease["per_sentence"],
        ease["per_word"],
        goal["at_least"],
        int(goal["age"]),
        ease["source"],
        ease["status"],
    )


def ease(words: int, sentences: int, syllables: int) -> float:
    """206.835 - 1.015 (words by sentences) - 84.6 (syllables by words); at least one of each."""
    by = rules()
    return by.base - by.per_sentence * words / sentences - by.per_word * syllables / words


def of(text: str) -> Reading:
    """Figures and signs count as words of one syllable, what is shortened or joined as one word."""
    sentences = [part.strip() for part in ENDS.split(text) if part and WORD.search(part)]
    words = [word for part in sentences for word in WORD.findall(part)]
    if not words:
        return Reading(None, 0, 0, 0)
    count = sum(syllables_of(word) for word in words)
    hard = sorted({word.strip(".,").lower() for word in words if syllables_of(word) > 3})
    longest = max(sentences, key=lambda part: len(WORD.findall(part)))
    return Reading(
        round(ease(len(words), len(sentences), count), 1),
        len(words),
        len(sentences),
        count,
        longest,
        tuple(hard),
    )


def syllables_of(word: str) -> int:
    """By its written vowels: silent endings taken off, pairs that are spoken apart added."""
    plain = re.sub(r"[^a-zà-ü]", "", word.lower())
    if not plain or any(sign.isdigit() for sign in word):
        return 1
    if plain in KNOWN:
        return KNOWN[plain]
    count = len(VOWELS.findall(plain)) + len(APART.findall(plain))
    if SILENT.search(plain) and not SPOKEN_ES.search(plain) and not plain.endswith("le"):
        count -= 1
    return max(1, count)

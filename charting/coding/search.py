"""Finding a code by what somebody types: a code or its beginning, or words in any order.

A word is found at the beginning of any word of a title or an inclusion term of the list, or of our own other
names (other_names.toml). What stands first says `_place`.
"""

from __future__ import annotations

import unicodedata
from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from charting.coding import other_names, table
from charting.coding.other_names import Names
from charting.coding.table import CODE_SIGNS, Entry, Table

MOST_HITS, MOST_BELOW, MOST_RANKED, LONGEST_ASKED = 25, 12, 1200, 120
SHORTEST = 2
# Of every byte: letters small, digits and the end of a line as they are, a space for everything else.
LETTERS = bytes(ord(sign.lower()) if sign.isalnum() or sign == "\n" else 32 for sign in map(chr, range(128)))
LETTERS = LETTERS.ljust(256)


@dataclass(frozen=True)
class Hit:
    """A code that was found. `term`: the inclusion term or other name it was found by, where the title does
    not say it. `below`: of one that is not billable the billable ones to choose from, () where they are
    very many.
    """

    entry: Entry
    term: str = ""
    below: tuple[Entry, ...] = ()


@dataclass(frozen=True)
class Found:
    """`more`: how many were found beyond those shown."""

    hits: tuple[Hit, ...] = ()
    more: int = 0


@dataclass(frozen=True)
class Index:
    """All titles and terms in plain letters, a line each row; where each begins."""

    text: str
    starts: array[int]

    def rows_with(self, words: Sequence[str]) -> list[int]:
        """The rows that have every word at the beginning of one of theirs; the rarest word is looked for."""
        rarest = min(words, key=lambda word: self.text.count(f" {word}"))
        rows = dict.fromkeys(self._rows_of(f" {rarest}"))
        others = [f" {word}" for word in words if word != rarest]
        return [row for row in rows if all(word in self.line(row) for word in others)]

    def line(self, row: int) -> str:
        return self.text[self.starts[row] : self.text.index("\n", self.starts[row])]

    def _rows_of(self, word: str) -> Iterator[int]:
        place = self.text.find(word)
        while place >= 0:
            yield bisect_right(self.starts, place) - 1
            place = self.text.find(word, self.text.index("\n", place))


def find(asked: str) -> Found:
    """What fits best, best first; nothing for less than two letters."""
    asked = asked[:LONGEST_ASKED].strip()
    known = table.load()
    if len(asked) < SHORTEST:
        return Found()
    if CODE_SIGNS.fullmatch(asked) and (found := _by_code(asked, known)).hits:
        return found
    return _by_words(plain(asked).split(), known)


def plain(text: str) -> str:
    """Small letters without accents, American spelling, single spaces: "Paraesthesia, hand" as "paresthesia
    hand".
    """
    return other_names.load().respelled(" ".join(_letters(text).split()))


def _letters(text: str) -> str:
    """Everything but letters, digits and the ends of lines as spaces. Works on the whole list at once."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").translate(LETTERS).decode()


def _by_code(asked: str, known: Table) -> Found:
    """The code itself, then what stands below it; for a beginning that is no code, all that begins so."""
    begins = table.dotted(asked)
    exact = known.entry(begins)
    if exact:
        found = [exact, *(known.below(exact) if not exact.billable and not few_below(exact, known) else ())]
    else:
        found = [*_beginning(begins, known), *_extended(begins, known)]
    return _shown(found, known, {})


def _beginning(begins: str, known: Table) -> Iterator[Entry]:
    """The codes that begin so, without those below another one of them."""
    rows = {row for row in known.beginning(begins) if known.is_code(row)}
    yield from (known.at(row) for row in sorted(rows) if known.parents[row] not in rows)


def _extended(begins: str, known: Table) -> Iterator[Entry]:
    """Codes with a seventh character that begin so: "S13.4X"."""
    above = known.entry(begins.rstrip("X."))
    if above and not above.billable:
        yield from (each for each in known.billable_below(above) if each.code.startswith(begins))


def _by_words(words: list[str], known: Table) -> Found:
    names = other_names.load()
    words = [_single(word) for word in words if word not in names.little]
    meant = frozenset(word for word in words if word in names.encounters)
    words = [word for word in words if word not in meant]
    if not words:
        return Found()
    titles = dict(_named(words, known, names))
    rows = _likely(_index().rows_with(words), known, names)
    order = sorted(rows, key=lambda row: _place(row, words, known, names))
    found = [known.entry(code) for code in titles]
    others = (entry for row in order if (entry := known.at(row)).code not in titles)
    return _shown([*filter(None, found), *others], known, titles, words, meant)


def _single(word: str) -> str:
    """ "headaches" as "headache": words are found by their beginning."""
    return word[:-1] if len(word) > 4 and word.endswith("s") and word[-2] not in "sui" else word


def _named(words: Sequence[str], known: Table, names: Names) -> Iterator[tuple[str, str]]:
    """(code, our own name for it); what else was typed ("right") has to stand in the title of the code."""
    for said, codes, others in names.meaning(words):
        for entry in filter(None, map(known.entry, codes)):
            if not others:
                yield entry.code, said
                continue
            for below in known.billable_below(entry) if not entry.billable else (entry,):
                if all(f" {word}" in f" {plain(below.title)}" for word in others):
                    yield below.code, said


def _likely(rows: list[int], known: Table, names: Names) -> list[int]:
    """Of very many rows those of the chapters that stand first."""
    if len(rows) <= MOST_RANKED:
        return rows
    return sorted(rows, key=lambda row: (names.place_of(known.at(row).code), row))[:MOST_RANKED]


def _place(row: int, words: Sequence[str], known: Table, names: Names) -> tuple[object, ...]:
    """What is common in a practice for muscle pain first, words in the title before words in a term, the
    title that says little else before the long one, then the order of the list.
    """
    entry = known.at(row)
    title = f" {plain(entry.title)} "
    missing = any(f" {word}" not in title for word in words)
    parts = sum(f" {word} " not in title for word in words)
    return (missing, names.place_of(entry.code), parts, len(title.split()), row)


def _shown(
    found: Sequence[Entry],
    known: Table,
    titles: Mapping[str, str],
    words: Sequence[str] = (),
    meant: frozenset[str] = frozenset(),
) -> Found:
    """As hits: what stands below one that is shown is not shown again."""
    hits: list[Hit] = []
    covered: set[str] = set()
    for place, entry in enumerate(found):
        if len(hits) == MOST_HITS:
            return Found(tuple(hits), len(found) - place)
        if entry.code not in covered:
            hit = _hit(entry, known, titles.get(entry.code) or _term(entry, words), meant)
            hits.append(hit)
            covered |= {entry.code, *(each.code for each in hit.below)}
    return Found(tuple(hits))


def _hit(entry: Entry, known: Table, term: str, meant: frozenset[str]) -> Hit:
    below = few_below(entry, known)
    narrowed = tuple(each for each in below if meant <= set(plain(each.title).split()))
    return Hit(entry, term, narrowed or below)


def few_below(entry: Entry, known: Table) -> tuple[Entry, ...]:
    """Every billable code below one that is not billable, where they are few; else none."""
    below: list[Entry] = []
    for each in known.billable_below(entry):
        below.append(each)
        if len(below) > MOST_BELOW:
            return ()
    return tuple(below)


def _term(entry: Entry, words: Sequence[str]) -> str:
    """The term that says what was asked, where the title does not."""
    title = f" {plain(entry.title)}"
    missing = [word for word in words if f" {word}" not in title]
    held = (term for term in entry.terms if any(f" {word}" in f" {plain(term)}" for word in missing))
    return next(held, "")


@cache
def _index() -> Index:
    """Some 0.1 s at the first search, 3 MB."""
    lines = _letters("\n".join(table.load().words())).split("\n")
    return Index("\n".join(lines) + "\n", array("I", _starts(lines)))


def _starts(lines: Iterable[str]) -> Iterator[int]:
    place = 0
    for line in lines:
        yield place
        place += len(line) + 1

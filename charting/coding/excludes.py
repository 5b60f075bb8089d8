"""Which codes may not stand together (Excludes1) and which are another thing (Excludes2), from the notes of
the list.

A note at a code holds for every code below it, and against every code that it names: one ("M79.7"), all
below one ("M60.-"), a range ("M50-M51", "G56-G58", in the order of the list), and those of them that go on
in a way ("E08-E13 with .44", "S02.- with 7th character B"). A pair is found from either side. A note
without a code ("current injury, see injury by body region") can only be read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from charting.coding import table
from charting.coding.table import Entry, Note, Table

NEVER, APART = "excludes1", "excludes2"
ONE = r"[A-Z][0-9][0-9A-Z](?:\.[0-9A-Z]{1,4})?"
# A code, or two with a hyphen between them; each may end in ".-", "-" or both twice, as the list prints them.
RANGE = re.compile(rf"({ONE})\.?(?:\s?-\s?\s?-?\s?({ONE}))?\.?(?:\s?-+)?(?![0-9A-Za-z])")
NAMED = re.compile(r"\(([^()]*[A-Z][0-9][0-9A-Z][^()]*)\)")
WITH = re.compile(r",?\s*\bwith\b(.*)$")
NTH = {"4th": 4, "fourth": 4, "5th": 5, "fifth": 5, "6th": 6, "sixth": 6, "7th": 7, "seventh": 7}
WORDS = re.compile(r"(?:final|fifth|sixth|seventh|5th|6th|7th|to|or|and|-)*\s*characters?", re.IGNORECASE)
OPEN = "open fracture"


@dataclass(frozen=True)
class Reference:
    """The codes that a note names: from `first` to `last` with all below it. `going_on`: how they have to
    go on.
    """

    first: str
    last: str
    going_on: str = ""


@dataclass(frozen=True)
class Pair:
    """Two codes, and the note that says what they are to each other; `at` is the code the note stands at."""

    one: Entry
    other: Entry
    note: Note

    @property
    def words(self) -> str:
        """ "fibromyalgia (M79.7), at M79.1"."""
        return f"“{self.note.words}”, at {self.note.at}"


def pairs(codes: Iterable[Entry], kind: str) -> tuple[Pair, ...]:
    """Every two of these codes that a note of this kind (NEVER, APART) is about, each two once."""
    held = tuple(codes)
    found = (
        next(_between(one, other, kind), None)
        for place, one in enumerate(held)
        for other in held[place + 1 :]
    )
    return tuple(filter(None, found))


def _between(one: Entry, other: Entry, kind: str) -> Iterator[Pair]:
    known = table.load()
    for at, named in ((one, other), (other, one)):
        for note in known.notes_of(at):
            if note.kind == kind and _is_about(note, named, known):
                yield Pair(at, named, note)


def _is_about(note: Note, named: Entry, known: Table) -> bool:
    return any(_holds(each, named, known) for each in references(note.words))


@cache
def references(words: str) -> tuple[Reference, ...]:
    """What a note names, () where it names no code."""
    groups = NAMED.findall(words) or [words]
    return tuple(each for group in groups for each in _in_group(group))


def _in_group(group: str) -> Iterator[Reference]:
    going_on = next((found.group(1).strip() for found in [WITH.search(group)] if found), "")
    for first, last in RANGE.findall(WITH.sub("", group)):
        yield Reference(first, last or first, going_on)


def _holds(said: Reference, named: Entry, known: Table) -> bool:
    first, last = known.span(said.first), known.span(said.last)
    if not _is_between(said, named, first, last):
        return False
    return not said.going_on or _goes_on(said.going_on, named)


def _is_between(
    said: Reference, named: Entry, first: tuple[int, int] | None, last: tuple[int, int] | None
) -> bool:
    """By the order of the list; a code that the list names and does not have (a slip of its own) by its
    letters.
    """
    if said.first == said.last:
        return named.code.startswith(said.first)
    if first and last:
        return first[0] <= named.row < last[1]
    return said.first <= named.code[: max(len(said.first), len(said.last))] <= f"{said.last}~"


def _goes_on(how: str, named: Entry) -> bool:
    """ ".44", ".51-.52", "7th character B or C", "final characters -23", "fifth or sixth character 1-4 or
    6".
    """
    if OPEN in how:
        return OPEN in named.title.casefold()
    wanted = _wanted(WORDS.sub("", how))
    if not wanted:
        return how.casefold() in named.title.casefold()
    return any(fits(named) for fits in _tests(how, wanted))


def _tests(how: str, wanted: tuple[str, ...]) -> Iterator[Callable[[Entry], bool]]:
    places = [NTH[word] for word in re.findall(r"[0-9a-z]+", how.casefold()) if word in NTH]
    if "final" in how:
        yield lambda named: named.code.replace(".", "").endswith(wanted)
    elif len(places) == 2 and " to " in how:
        yield lambda named: named.code.replace(".", "")[places[0] - 1 : places[1]] in wanted
    elif places:
        yield lambda named: any(named.code.replace(".", "")[place - 1 : place] in wanted for place in places)
    else:
        yield lambda named: named.code[4:].startswith(wanted)


def _wanted(said: str) -> tuple[str, ...]:
    """ "1-4 or 6" as ("1", "2", "3", "4", "6"); ".51-.52" as ("51", "52")."""
    found: list[str] = []
    for first, last in re.findall(r"\.?([0-9A-Z]+)(?:\s?-\s?\.?([0-9A-Z]+))?", said):
        if last and first.isdecimal() and last.isdecimal():
            found += [str(one).zfill(len(first)) for one in range(int(first), int(last) + 1)]
        else:
            found += [first, *([last] if last else [])]
    return tuple(found)

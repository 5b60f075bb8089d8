"""The tabular list of ICD-10-CM, read from one compressed file (data/icd10cm.txt.gz; `make codes` writes
it).

Read at the first use and kept for the process: one string with a line a code, and where each line begins.
Codes with a seventh character stand for no lines of their own; they follow from the code above them: filled
up with X to six signs, the character after it, its meaning after the title (the tabular list, "7th
characters and placeholder X").
"""

from __future__ import annotations

import gzip
import re
import zlib
from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

FILE = Path(__file__).parent / "data" / "icd10cm.txt.gz"
# What stands before a line of notes, and the member of the package it comes from.
NOTES = {
    "1": "excludes1",
    "2": "excludes2",
    "i": "includes",
    "f": "code_first",
    "u": "use_additional_code",
    "a": "code_also",
    "n": "notes",
}
CODE = "d"
CODE_SIGNS = re.compile(r"(?=.*[0-9])[A-Z][0-9A-Z]([0-9A-Z](\.?[0-9A-Z]{0,4})?)?", re.IGNORECASE)
LONGEST = 7


class TableError(ValueError):
    """The file of codes cannot be used; the message names line and what to mend."""


@dataclass(frozen=True)
class Entry:
    """One code. `row`: its line, or that of the code above it for one with a seventh character. `billable`:
    no code stands below it.
    """

    code: str
    title: str
    billable: bool
    row: int
    terms: tuple[str, ...] = ()


@dataclass(frozen=True)
class Note:
    """One line of a note of the tabular list: `kind` a value of NOTES, `at` the code (or block) it stands
    at.
    """

    kind: str
    words: str
    at: str


@dataclass(frozen=True)
class Table:
    """`starts`, `parents`, `ends`: of each row where its line begins, the row above it (-1: none), and the
    first row that is not below it. `order`: the rows by code. `notes`: of a row, a line each.
    """

    release: str
    text: str
    starts: array[int]
    parents: array[int]
    ends: array[int]
    order: array[int]
    sevenths: tuple[Mapping[str, str], ...]
    notes: Mapping[int, tuple[str, ...]] = field(repr=False)

    def entry(self, code: str) -> Entry | None:
        """A code as somebody types it ("m7918", "S13.4XXA"); None where there is none."""
        known = dotted(code)
        row = self._row_of(known)
        if row is not None:
            return self.at(row) if self.is_code(row) else None
        return self._extended(known)

    def at(self, row: int) -> Entry:
        """The code, chapter or block of a row."""
        parts = self._line(row)
        billable = not parts[3] and self.ends[row] == row + 1 and parts[0][0] == CODE
        return Entry(parts[1], parts[2], billable, row, tuple(parts[4:]))

    def above(self, entry: Entry) -> Iterator[Entry]:
        """The codes, block and chapter above one, nearest first."""
        if len(self._line(entry.row)[1]) != len(entry.code):
            yield self.at(entry.row)
        row = self.parents[entry.row]
        while row >= 0:
            yield self.at(row)
            row = self.parents[row]

    def below(self, entry: Entry) -> tuple[Entry, ...]:
        """The codes directly below one."""
        if entry.billable:
            return ()
        if seventh := self._seventh(entry.row):
            return tuple(_extended(entry, char, meant) for char, meant in seventh.items())
        first, last = entry.row + 1, self.ends[entry.row]
        return tuple(self.at(row) for row in range(first, last) if self.parents[row] == entry.row)

    def billable_below(self, entry: Entry) -> Iterator[Entry]:
        """Every billable code below one, in the order of the list."""
        for each in self.below(entry):
            if each.billable:
                yield each
            else:
                yield from self.billable_below(each)

    def notes_of(self, entry: Entry) -> tuple[Note, ...]:
        """The notes at a code and at everything above it, nearest first."""
        held = (entry, *self.above(entry))
        return tuple(
            Note(NOTES[line[0]], line[2:], one.code) for one in held for line in self._notes_at(one, entry)
        )

    def span(self, code: str) -> tuple[int, int] | None:
        """The rows of a code, block or category and all below it, by its name; None where there is none."""
        row = self._row_of(code)
        return None if row is None else (row, self.ends[row])

    def beginning(self, begins: str) -> Sequence[int]:
        """The rows whose names begin so."""
        first = bisect_left(self.order, begins, key=self._name)
        last = bisect_left(self.order, f"{begins}~", key=self._name)
        return self.order[first:last]

    def is_code(self, row: int) -> bool:
        return self.text[self.starts[row]] == CODE

    def words(self) -> Iterator[str]:
        """Title and terms of each row, "" for chapters and blocks."""
        for line in self.text.splitlines():
            _, _, title, _, *terms = line.split("\t")
            yield " ".join((" " + title, *terms)) if line[0] == CODE else ""

    @property
    def rows(self) -> int:
        return len(self.starts)

    def _notes_at(self, one: Entry, asked: Entry) -> tuple[str, ...]:
        is_extended = one is asked and self._line(one.row)[1] != one.code
        return () if is_extended else self.notes.get(one.row, ())

    def _line(self, row: int) -> list[str]:
        start = self.starts[row]
        return self.text[start : self.text.index("\n", start)].split("\t")

    def _row_of(self, code: str) -> int | None:
        place = bisect_left(self.order, code, key=self._name)
        is_there = place < len(self.order) and self._name(self.order[place]) == code
        return self.order[place] if is_there else None

    def _name(self, row: int) -> str:
        start = self.starts[row] + 3
        return self.text[start : self.text.index("\t", start)]

    def _seventh(self, row: int) -> Mapping[str, str]:
        number = self._line(row)[3]
        return self.sevenths[int(number)] if number else {}

    def _extended(self, code: str) -> Entry | None:
        """ "S13.4XXA": the longest code above it that has codes with a seventh character."""
        if len(code) != LONGEST + 1:
            return None
        stem = code[:-1].rstrip("X").rstrip(".")
        for length in range(len(code) - 1, len(stem) - 1, -1):
            row = self._row_of(code[:length].rstrip("."))
            if row is not None and code[-1] in self._seventh(row):
                found = _extended(self.at(row), code[-1], self._seventh(row)[code[-1]])
                return found if found.code == code else None
        return None


def dotted(code: str) -> str:
    """ "m7918" as "M79.18"."""
    plain = code.strip().upper().replace(".", "").replace(" ", "")
    return f"{plain[:3]}.{plain[3:]}" if len(plain) > 3 else plain


def _extended(above: Entry, char: str, meant: str) -> Entry:
    stem = above.code if len(above.code) > 3 else f"{above.code}."
    return Entry(f"{stem.ljust(LONGEST, 'X')}{char}", f"{above.title}, {meant}", True, above.row)


@cache
def load() -> Table:
    """The file, checked; once for a process. Raises TableError."""
    try:
        with gzip.open(FILE, "rt", encoding="utf-8") as lines:
            return read(lines)
    except (OSError, EOFError, UnicodeDecodeError, zlib.error) as problem:
        raise TableError(f"{FILE.name} can't be read ({problem}): make it anew with `make codes`") from None


def read(lines: Iterable[str]) -> Table:
    """A table from its lines. Raises TableError with the line and what to mend."""
    head: list[list[str]] = []
    rows, notes = _rows(lines, head)
    if [parts[0] for parts in head].count("release") != 1 or not rows:
        raise TableError(f"{FILE.name}: a release and codes are needed; make it anew with `make codes`")
    levels = [int(line[1]) for line in rows]
    parents = array("i", _parents(levels))
    return Table(
        release=next(parts[1] for parts in head if parts[0] == "release"),
        text="\n".join(rows) + "\n",
        starts=array("I", _starts(rows)),
        parents=parents,
        ends=_ends(parents),
        # From the end: of a block and its one category of the same name the category comes first.
        order=array("I", sorted(range(len(rows) - 1, -1, -1), key=lambda row: rows[row].split("\t", 2)[1])),
        sevenths=tuple(_meanings(parts[1]) for parts in head if parts[0] == "seventh"),
        notes=notes,
    )


def _rows(lines: Iterable[str], head: list[list[str]]) -> tuple[list[str], dict[int, tuple[str, ...]]]:
    """The lines of codes, and the notes of each by its row; those before them go to `head`."""
    rows: list[str] = []
    notes: dict[int, tuple[str, ...]] = {}
    for number, line in enumerate((line.rstrip("\n") for line in lines), 1):
        if line.startswith(("release\t", "seventh\t")):
            head.append(line.split("\t"))
        elif line[1:2] == "\t" and line[0] in NOTES and rows:
            notes[len(rows) - 1] = (*notes.get(len(rows) - 1, ()), line)
        elif line[:1] in ("c", "s", CODE) and line[1:2].isdecimal() and line.count("\t") > 2:
            rows.append(line)
        elif line:
            said = f"{line[:40]!r} is no code and no note; make it anew with `make codes`"
            raise TableError(f"{FILE.name}, line {number}: {said}")
    return rows, notes


def _starts(rows: Iterable[str]) -> Iterator[int]:
    place = 0
    for line in rows:
        yield place
        place += len(line) + 1


def _parents(levels: Iterable[int]) -> Iterator[int]:
    """Of each row the nearest one before it of the level above."""
    last = [-1] * 11
    for row, level in enumerate(levels):
        last[level] = row
        yield last[level - 1] if level else -1


def _ends(parents: array[int]) -> array[int]:
    """Of each row the first one that is not below it: backwards, each tells the one above where it ends."""
    ends = array("I", range(1, len(parents) + 1))
    for row in range(len(parents) - 1, -1, -1):
        if parents[row] >= 0:
            ends[parents[row]] = max(ends[parents[row]], ends[row])
    return ends


def _meanings(words: str) -> Mapping[str, str]:
    return dict(part.split("=", 1) for part in words.split("|"))

"""A list of people as comma-separated values (RFC 4180, and what spreadsheets make of it), read into rows."""

import codecs
import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

from charting.exchange import columns
from charting.exchange.columns import Column
from charting.exchange.plans import Refused

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs"}
UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(frozen=True)
class Row:
    """One person as the file has it. `line`: where the row begins, counted from 1, as an editor counts."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True)
class Sheet:
    """What was read. `heads`: {name of a column: its head in this file}; `told`: how it was read."""

    rows: tuple[Row, ...]
    heads: dict[str, str]
    refused: tuple[Refused, ...]
    told: tuple[str, ...]


class Unreadable(Exception):
    """Nothing of the file can be read; the text tells what to mend."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(why)
        self.refused = Refused(where, why)


def read(content: bytes) -> Sheet:
    """Raises nothing: a file that can't be read is a sheet with one refusal."""
    try:
        text, encoding = _text(content)
        delimiter, text, skipped = _delimiter(text)
        records = list(_records(text, delimiter, skipped))
        if not records:
            raise Unreadable("The file", "There is nothing in it.")
        heads, unread = _heads(records[0][1])
    except Unreadable as problem:
        return Sheet((), {}, (problem.refused,), ())
    rows, refused = _rows(records[1:], heads, len(records[0][1]))
    told = [f"Read as {encoding}, with {DELIMITERS[delimiter]} between the columns."]
    if unread:
        told.append(f"Not read: {', '.join(unread)}. No column of that name is known here.")
    names = {column.name: records[0][1][place].strip() for place, column in heads.items()}
    return Sheet(tuple(rows), names, tuple(refused), tuple(told))


def _text(content: bytes) -> tuple[str, str]:
    if content.startswith(UTF_16):
        raise Unreadable("The file", "It is written in UTF-16. Save it as “CSV UTF-8” and bring it again.")
    try:
        text, encoding = content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        try:
            text, encoding = content.decode("cp1252"), "Windows-1252, for it is no UTF-8: look at the accents"
        except UnicodeDecodeError as problem:
            raise Unreadable("The file", "It is no text in UTF-8 or Windows-1252. Is it a CSV?") from problem
    if "\x00" in text:
        raise Unreadable("The file", "It is no text. Save the list as “CSV UTF-8” and bring that file.")
    return text, encoding


def _delimiter(text: str) -> tuple[str, str, int]:
    """What divides the columns; the text to read; how many lines were left out before it.

    A first line "sep=;" says it itself. Otherwise: by which the head gives most columns that are known.
    """
    first, _, rest = text.partition("\n")
    if first.strip().startswith("sep=") and first.strip()[4:] in DELIMITERS:
        return first.strip()[4:], rest, 1
    known = {one: _known(first, one) for one in DELIMITERS}
    return max(known, key=lambda one: known[one]), text, 0


def _known(first: str, delimiter: str) -> int:
    heads = next(csv.reader([first], delimiter=delimiter), [])
    return sum(1 for head in heads if columns.load().called(head))


def _records(text: str, delimiter: str, skipped: int) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of every row that is not blank. Raises Unreadable at a row that breaks the quotes."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line + skipped, cells
            line = reader.line_num + 1
    except csv.Error as problem:
        why = "A quotation mark stands alone here or below. Write it twice within quotes, or take it out."
        raise Unreadable(f"Line {line + skipped}", why) from problem


def _heads(cells: list[str]) -> tuple[dict[int, Column], list[str]]:
    """{place: column}, and the heads that nothing is known of. Raises Unreadable."""
    known = columns.load()
    heads = {place: found for place, head in enumerate(cells) if (found := known.called(head))}
    names = [one.name for one in heads.values()]
    for one in known.columns:
        if one.needed and one.name not in names:
            words = ", ".join(f"“{word}”" for word in one.words)
            raise Unreadable("The first line", f"A column is missing. Head it with one of {words}.")
        if names.count(one.name) > 1:
            twice = " and ".join(
                f"“{cells[place].strip()}”" for place, each in heads.items() if each.name == one.name
            )
            raise Unreadable("The first line", f"The columns {twice} mean the same. Leave one of them.")
    return heads, [
        f"“{head.strip()}”" for place, head in enumerate(cells) if head.strip() and place not in heads
    ]


def _rows(
    records: list[tuple[int, list[str]]], heads: dict[int, Column], width: int
) -> tuple[list[Row], list[Refused]]:
    rows, refused = [], []
    for line, cells in records:
        while len(cells) > width and not cells[-1].strip():
            cells = cells[:-1]
        if len(cells) != width:
            more = "A comma, semicolon or tab within a text must stand in quotes."
            why = f"It has {len(cells)} columns, the first line {width}. {more}"
            refused.append(Refused(f"Line {line}", why))
            continue
        rows.append(Row(line, {column.name: cells[place].strip() for place, column in heads.items()}))
    return rows, refused

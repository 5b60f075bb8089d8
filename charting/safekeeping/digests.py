"""What the tables of a database hold, in one number each: two databases of one kind with the same numbers
hold the same rows, in whatever order. Needs no model, so that a copy of an older release is read too.
"""

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from django.db.backends.base.base import BaseDatabaseWrapper
from psycopg.sql import SQL, Identifier

from charting.safekeeping import programs

# Whose rows are no part of the record: SQLite's own counters change with a copy's way of being written.
OWN = "sqlite_"
# What pg_dump asks the server for, so that the same row is the same text.
AS_DUMPED = (
    "SET LOCAL datestyle = ISO",
    "SET LOCAL intervalstyle = postgres",
    "SET LOCAL extra_float_digits = 3",
    "SET LOCAL timezone = 'UTC'",
    "SET LOCAL synchronize_seqscans = off",
)
# SHA-256 summed over the rows: an order that a database does not promise does not count (Clarke et al. 2003,
# MSet-Add-Hash; against accidents and single changes, and it stands in a sealed manifest).
ROOM = 2**256


@dataclass(frozen=True)
class Held:
    """One table: how many rows, and their sum in 64 hex digits."""

    rows: int
    sum: str


Tables = dict[str, Held]


def of_sqlite(database: sqlite3.Connection) -> Tables:
    """Every table, by name."""
    # Bytes as they are: what is no text any more is told apart too, and nothing is decoded in vain.
    database.text_factory = bytes
    found = database.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
    names = [name.decode() for (name,) in found]
    return {name: _held(_rows(database, name)) for name in names if not name.startswith(OWN)}


def of_postgres(database: BaseDatabaseWrapper) -> Tables:
    """The same, as the text of COPY. Inside a transaction of the caller."""
    with database.cursor() as cursor:
        for statement in AS_DUMPED:
            cursor.execute(statement)
        cursor.execute("SELECT tablename FROM pg_tables WHERE schemaname = current_schema() ORDER BY 1")
        names = [name for (name,) in cursor.fetchall()]
        return {name: _held(_copied(cursor.cursor, name)) for name in names}


def of_dump(dump: Path) -> Tables:
    """The same of a file that pg_dump wrote, without any database. Raises programs.Failed, Missing."""
    with programs.reading("pg_restore", "--data-only", "--file=-", str(dump)) as lines:
        return dict(_blocks(lines))


def differences(wanted: Tables, found: Tables) -> Iterator[str]:
    """What is not the same, in words; nothing when all is."""
    for name in sorted({*wanted, *found}):
        before, now = wanted.get(name), found.get(name)
        if before is None or now is None:
            yield f"{name}: {'not expected' if before is None else 'missing'}"
        elif before.rows != now.rows:
            yield f"{name}: {now.rows} rows, expected {before.rows}"
        elif before != now:
            yield f"{name}: other content in {now.rows} rows"


def _rows(database: sqlite3.Connection, table: str) -> Iterator[bytes]:
    quoted = table.replace('"', '""')
    for row in database.execute(f'SELECT * FROM "{quoted}"'):  # noqa: S608 - a name the database gave
        yield repr(row).encode()


def _copied(cursor: psycopg.Cursor[Any], table: str) -> Iterator[bytes]:
    with cursor.copy(SQL("COPY {} TO STDOUT").format(Identifier(table))) as copy:
        yield from _lines(copy)


def _lines(parts: Iterable[bytes | bytearray | memoryview]) -> Iterator[bytes]:
    """Whole lines without their ends, whatever parts they come in: COPY writes no line feed of a value."""
    rest = b""
    for part in parts:
        *whole, rest = (rest + bytes(part)).split(b"\n")
        yield from whole


def _blocks(lines: Iterable[bytes]) -> Iterator[tuple[str, Held]]:
    """The tables in a script of COPY statements, each ended by a line with \\. alone."""
    reading = iter(lines)
    for line in reading:
        if line.startswith(b"COPY "):
            yield _named(line.decode()), _held(_until_end(reading))


def _named(line: str) -> str:
    # COPY schema.table (columns) FROM stdin;
    return line.split(" ", 2)[1].split(".", 1)[-1].strip('"')


def _until_end(lines: Iterator[bytes]) -> Iterator[bytes]:
    for line in lines:
        if line == b"\\.\n":
            return
        yield line.rstrip(b"\n")


def _held(rows: Iterable[bytes]) -> Held:
    count = total = 0
    for row in rows:
        count += 1
        total += int.from_bytes(hashlib.sha256(row).digest(), "big")
    return Held(count, f"{total % ROOM:064x}")

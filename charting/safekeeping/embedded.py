"""The embedded SQLite file: copied while it is written to, read through, put in its place."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from charting.safekeeping import contents, digests
from charting.safekeeping.found import Found

BUSY_SECONDS = 20
COPY = "copy"


def copy(source: Path, into: Path) -> None:
    """Everything that was acknowledged up to now, by SQLite's online backup: one read of one state, whatever
    is written meanwhile, and no writer waits (sqlite.org/backup.html; all pages in one step).
    """
    with (
        closing(sqlite3.connect(_uri(source, "rw"), uri=True, timeout=BUSY_SECONDS)) as now,
        closing(sqlite3.connect(into)) as copied,
    ):
        now.backup(copied)
        # One file that stands by itself, without a log beside it.
        copied.execute("PRAGMA journal_mode=DELETE")
    on_disk(into)


def read(file: Path) -> Found:
    """Everything looked at, in a file that nobody writes to."""
    with closing(sqlite3.connect(_uri(file, "ro&immutable=1"), uri=True)) as database:
        unsound = tuple(_unsound(database))
        if unsound:
            # Whatever else is read in it means nothing.
            return Found("", {}, (), unsound)
        tables = digests.of_sqlite(database)
        last = database.execute(
            "SELECT name FROM django_migrations WHERE app = 'charting' ORDER BY name DESC LIMIT 1"
        ).fetchone()
    with beside(file) as alias:
        return Found(
            last[0].decode() if last else "", tables, contents.heads(alias), tuple(contents.problems(alias))
        )


def single(file: Path) -> None:
    """Bring what waits in the log beside the file into it. Raises sqlite3.OperationalError while in use."""
    with closing(sqlite3.connect(_uri(file, "rw"), uri=True, timeout=BUSY_SECONDS)) as database:
        database.execute("PRAGMA journal_mode=DELETE")


def is_empty(file: Path) -> bool:
    """Whether there is nothing to lose: no file, or one without a table."""
    if not file.exists():
        return True
    with closing(sqlite3.connect(_uri(file, "ro"), uri=True)) as database:
        return database.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)


@contextmanager
def beside(file: Path, mode: str = "ro&immutable=1") -> Iterator[str]:
    """A file as a second database of Django's, under the name this gives."""
    # Not one of the settings: there for this thread, as long as it is read.
    connections[COPY] = DatabaseWrapper(_settings(_uri(file, mode)), COPY)
    try:
        yield COPY
    finally:
        connections[COPY].close()
        del connections[COPY]


def on_disk(path: Path) -> None:
    """A file or folder written through to the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _unsound(database: sqlite3.Connection) -> Iterator[str]:
    try:
        for (said,) in database.execute("PRAGMA integrity_check(20)"):
            if said != "ok":
                yield f"integrity: {said}"
        for table, row, parent, _ in database.execute("PRAGMA foreign_key_check"):
            yield f"{table}: row {row} refers to a row of {parent} that is not there"
    except sqlite3.DatabaseError as problem:
        yield f"integrity: {problem}"


def _uri(file: Path, mode: str) -> str:
    return f"file:{quote(str(file.absolute()))}?mode={mode}"


def _settings(name: str) -> dict[str, object]:
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": name,
        "OPTIONS": {},
        "ATOMIC_REQUESTS": False,
        "AUTOCOMMIT": True,
        "CONN_MAX_AGE": 0,
        "CONN_HEALTH_CHECKS": False,
        "TIME_ZONE": None,
        "USER": "",
        "PASSWORD": "",
        "HOST": "",
        "PORT": "",
        "TEST": {"MIRROR": None, "NAME": None, "CHARSET": None, "COLLATION": None, "MIGRATE": True},
    }

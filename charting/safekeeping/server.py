"""A PostgreSQL database: dumped while it is written to, read through, put into an empty one."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import DEFAULT_DB_ALIAS, connection, transaction

from charting.safekeeping import contents, digests, programs
from charting.safekeeping.embedded import on_disk
from charting.safekeeping.found import Found

LAST = "SELECT name FROM django_migrations WHERE app = 'charting' ORDER BY name DESC LIMIT 1"


def copy(into: Path) -> Found:
    """Dump one state of the database, and look through that very state: pg_dump reads the same snapshot
    (postgresql.org/docs/15/functions-admin.html, pg_export_snapshot). Raises programs.Missing or Failed.
    """
    with one_state() as snapshot:
        programs.run("pg_dump", "--format=custom", f"--snapshot={snapshot}", f"--file={into}", on=connection)
        found = read()
    on_disk(into)
    return found


def read() -> Found:
    """Everything looked at, inside a transaction of the caller."""
    with connection.cursor() as cursor:
        cursor.execute(LAST)
        last = cursor.fetchone()
    tables = digests.of_postgres(connection)
    heads, problems = contents.heads(DEFAULT_DB_ALIAS), tuple(contents.problems())
    return Found(last[0] if last else "", tables, heads, problems)


@contextmanager
def one_state() -> Iterator[str]:
    """A transaction that sees one state of the database and changes nothing; its snapshot for others."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        yield cursor.fetchone()[0]


def bring_back(dump: Path) -> None:
    """Into the empty database of the settings: all of it or nothing. Raises programs.Missing or Failed."""
    connection.close()
    programs.run(
        "pg_restore",
        *("--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges", str(dump)),
        on=connection,
    )


def is_empty() -> bool:
    return not connection.introspection.table_names()

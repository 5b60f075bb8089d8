"""Append-only tables refuse even the emptying between two tests; here the tests, and only they, may do it."""

import contextlib
from collections.abc import Iterator
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper


@contextlib.contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take every trigger off, and put the same ones back."""
    sqlite = connection.vendor == "sqlite"
    with (_sqlite if sqlite else _postgres)(connection):
        yield


@contextlib.contextmanager
def _sqlite(connection: BaseDatabaseWrapper) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f'DROP TRIGGER "{name}"')
        try:
            yield
        finally:
            for _, sql in triggers:
                cursor.execute(sql)


@contextlib.contextmanager
def _postgres(connection: BaseDatabaseWrapper) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        try:
            yield
        finally:
            cursor.execute("SET session_replication_role = DEFAULT")


def allow_emptying(operations: Any) -> Any:
    """A replacement for `DatabaseOperations.execute_sql_flush` that lifts the guards around it."""
    original = operations.execute_sql_flush

    def flush(self: Any, statements: list[str]) -> None:
        with lifted(self.connection):
            original(self, statements)

    return flush

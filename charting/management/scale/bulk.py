"""Very many rows written as they are: no time is set anew, nothing is asked of the row. For invented data."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db import connection, models, transaction

AT_ONCE = 10_000
PLAIN = (str, int, float, type(None))


class Ready(str):
    """JSON that is written down already."""


def put(rows: Iterable[models.Model]) -> int:
    """Insert rows of one table, in parts; how many they were. Numbers that the database gives are
    left to it."""
    many, count = iter(rows), 0
    while part := list(islice(many, AT_ONCE)):
        _insert(type(part[0]), part)
        count += len(part)
    return count


@transaction.atomic
def _insert(model: type[models.Model], rows: list[models.Model]) -> None:
    fields = [each for each in model._meta.concrete_fields if not isinstance(each, models.AutoField)]
    quoted = ", ".join(connection.ops.quote_name(str(each.column)) for each in fields)
    table, places = connection.ops.quote_name(model._meta.db_table), ", ".join(["%s"] * len(fields))
    with connection.cursor() as cursor:
        words = f"INSERT INTO {table} ({quoted}) VALUES ({places})"  # noqa: S608 - names of our own columns
        cursor.executemany(words, list(_values(fields, rows)))


def _values(fields: list[Any], rows: list[models.Model]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        yield tuple(_value(each, getattr(row, each.attname)) for each in fields)


def _value(field: Any, value: Any) -> Any:
    """As the database takes it. Most values are plain already; asking the field took half the time."""
    if isinstance(value, Ready) or (isinstance(value, PLAIN) and not isinstance(field, models.JSONField)):
        return value
    return field.get_db_prep_save(value, connection)


def measure() -> None:
    """Let the database count what it holds, as PostgreSQL does by itself some minutes later."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")

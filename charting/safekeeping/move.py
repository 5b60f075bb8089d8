"""Everything in an embedded file into a PostgreSQL that holds nothing yet: all of it or nothing."""

import hashlib
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path

from django.apps import apps
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connection, connections, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Model
from django.db.models.sql import InsertQuery

from charting.safekeeping import contents, embedded
from charting.safekeeping.digests import ROOM, Held, Tables, differences
from charting.staff.models import User

AT_ONCE = 500


class NotMoved(Exception):
    """Nothing was moved; the message says why."""


def move(file: Path) -> Tables:
    """What is there afterwards: rows and content of each table as in the file, every chain and hash valid.

    `file` is a copy that nobody writes to; the tables of the database stand. Raises NotMoved, DatabaseError.
    """
    models = tuple(apps.get_models(include_auto_created=True))
    with embedded.beside(file) as source, transaction.atomic():
        _refuse_unlike(source)
        for model in models:
            # What a migration put there is in the file too. A trigger refuses even a DELETE of no rows.
            if model._base_manager.exists():
                model._base_manager.all()._raw_delete(DEFAULT_DB_ALIAS)
        for model in models:
            _copy(model, source)
        _count_on(models)
        return _compared(models, source)


def held(models: Sequence[type[Model]], using: str) -> Tables:
    """Rows and their sum as Python reads them: the same from either kind of database."""
    return {model._meta.db_table: _held(model, using) for model in models}


def _refuse_unlike(source: str) -> None:
    there, here = (
        set(MigrationRecorder(connections[name]).applied_migrations()) for name in (source, DEFAULT_DB_ALIAS)
    )
    if there != here:
        raise NotMoved("The file is of another release: start the practice on it once with this one.")
    if User.objects.exists():
        raise NotMoved(
            "There are people in this database already: make an empty one, name it in DATABASE_URL."
        )


def _copy(model: type[Model], source: str) -> None:
    """Row by row as it stands: no time or version is set anew. Keys are checked when all of it is there."""
    rows = model._base_manager.using(source).order_by("pk").iterator(chunk_size=AT_ONCE)
    while some := list(islice(rows, AT_ONCE)):
        query = InsertQuery(model)
        query.insert_values(model._meta.concrete_fields, some, raw=True)
        query.get_compiler(using=DEFAULT_DB_ALIAS).execute_sql()


def _count_on(models: Sequence[type[Model]]) -> None:
    """The next new row gets the number after the last."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(statement)


def _compared(models: Sequence[type[Model]], source: str) -> Tables:
    wanted, found = held(models, source), held(models, DEFAULT_DB_ALIAS)
    wrong = [*differences(wanted, found), *contents.problems()]
    if contents.heads(source) != contents.heads(DEFAULT_DB_ALIAS):
        wrong.append("the trail does not end where it ended")
    if wrong:
        raise NotMoved("; ".join(wrong))
    return found


def _held(model: type[Model], using: str) -> Held:
    count = total = 0
    for row in _rows(model, using):
        count += 1
        total += int.from_bytes(hashlib.sha256(row).digest(), "big")
    return Held(count, f"{total % ROOM:064x}")


def _rows(model: type[Model], using: str) -> Iterator[bytes]:
    for row in model._base_manager.using(using).values_list().iterator(chunk_size=AT_ONCE):
        yield repr(tuple(_plain(value) for value in row)).encode()


def _plain(value: object) -> object:
    """What the two databases give in a different dress. Members of an object have no order (RFC 8259)."""
    if isinstance(value, memoryview):
        return bytes(value)
    if isinstance(value, dict):
        return sorted((key, _plain(told)) for key, told in value.items())
    return [_plain(each) for each in value] if isinstance(value, list) else value

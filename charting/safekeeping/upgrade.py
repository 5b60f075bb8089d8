"""The embedded file brought to the tables of this release: all of it or nothing. A copy of before is kept.

Of a PostgreSQL the operator makes the copy (DEPLOY.md), and each migration is a transaction of its own.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from charting.safekeeping import embedded

FOLDER = "before-upgrades"
KEPT = 3


@contextmanager
def safely() -> Iterator[None]:
    """Around the migrations of a database that holds something. Raises what a migration raises: the file is
    then as it was. Raises OSError when there is no room for the copy: then nothing was begun.
    """
    if connection.vendor != "sqlite":
        yield
        return
    kept = keep_copy()
    print(f"Kept the database as it was: {kept}", flush=True)
    with all_or_nothing():
        yield
    forget_older()


def keep_copy() -> Path:
    """The file as it is, beside it."""
    folder = Path(settings.DATA) / FOLDER
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    into = folder / f"{timezone.now():%Y%m%dT%H%M%S%fZ}.sqlite3"
    into.touch(mode=0o600, exist_ok=False)
    try:
        embedded.copy(Path(str(connection.settings_dict["NAME"])), into)
    except BaseException:
        into.unlink(missing_ok=True)
        raise
    embedded.on_disk(folder)
    return into


def forget_older() -> None:
    """The last KEPT stay."""
    for old in sorted((Path(settings.DATA) / FOLDER).glob("*.sqlite3"))[:-KEPT]:
        old.unlink()


@contextmanager
def all_or_nothing() -> Iterator[None]:
    """One transaction around every migration: one that fails takes those before it back too."""
    # Within a transaction SQLite cannot turn these checks off, and every migration does; each checks all keys
    # itself at its end (django.db.backends.sqlite3.schema).
    connection.disable_constraint_checking()
    try:
        with transaction.atomic():
            yield
    finally:
        connection.enable_constraint_checking()

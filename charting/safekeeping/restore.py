"""A copy put where there is nothing yet. What is there already is never written over."""

import os
from collections.abc import Iterator
from pathlib import Path

from django.db import connection
from django.db.migrations.loader import MigrationLoader

from charting.safekeeping import archive, backup, embedded, server
from charting.safekeeping.backup import CERTIFICATES, SECRET
from charting.safekeeping.manifest import SQLITE, Manifest
from charting.safekeeping.sealed import Key


class NotHere(Exception):
    """It may not be put here; the message says why, and what to do."""


class NotTheSame(Exception):
    """What is in the copy is not what it says of itself; the message says what differs."""


def bring_back(file: Path, key: Key | None, data: Path) -> Manifest:
    """Database, key and certificates of a copy into an empty data folder, or an empty PostgreSQL database.

    Raises NotHere or NotTheSame, and what archive.take_out raises: then nothing was put there, save for a
    NotTheSame of PostgreSQL, which says so.
    """
    _refuse_what_is_there()
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    with backup.beside_the_data() as work:
        manifest = archive.take_out(file, work, key)
        _refuse_kind(manifest)
        _refuse_other_keys(work, data)
        database = work / archive.DATABASE[manifest.database]
        _refuse(manifest, backup.wrong_with(manifest, database))
        _put_keys(work, data)
        if manifest.database == SQLITE:
            _put_file(database, _file())
        else:
            _fill(manifest, database)
    return manifest


def _file() -> Path:
    return Path(str(connection.settings_dict["NAME"]))


def _refuse_what_is_there() -> None:
    if connection.vendor == SQLITE and not embedded.is_empty(_file()):
        raise NotHere(
            f"There are records in {_file()} already, and nothing is written over. "
            "Name an empty folder: TAUTLINE_DATA=FOLDER, or move that file away."
        )
    if connection.vendor != SQLITE and not server.is_empty():
        raise NotHere(
            "There are tables in this database already. Make an empty one and name it in DATABASE_URL."
        )


def _refuse_kind(manifest: Manifest) -> None:
    if manifest.database != connection.vendor:
        here = (
            "leave DATABASE_URL out" if manifest.database == SQLITE else "name an empty one in DATABASE_URL"
        )
        raise NotHere(f"This is a copy of a {manifest.database} database: {here}.")
    known = {name for app, name in MigrationLoader(None).disk_migrations or () if app == "charting"}
    if manifest.found.migration not in known:
        raise NotHere(
            f"This copy was made by a later release (it has {manifest.found.migration}): install that."
        )


def _refuse_other_keys(work: Path, data: Path) -> None:
    for name in _keys(work):
        if (data / name).exists() and (data / name).read_bytes() != (work / name).read_bytes():
            raise NotHere(
                f"There is another {name} in {data} already. Name an empty folder: TAUTLINE_DATA=FOLDER."
            )


def _refuse(manifest: Manifest, wrong: Iterator[str]) -> None:
    """What was wrong already when the copy was made is brought back as it was."""
    found = [each for each in wrong if each not in manifest.found.problems]
    if found:
        raise NotTheSame("; ".join(found))


def _keys(work: Path) -> list[str]:
    names = [SECRET, *(f"{CERTIFICATES}/{file.name}" for file in sorted((work / CERTIFICATES).glob("*")))]
    return [name for name in names if (work / name).exists()]


def _put_keys(work: Path, data: Path) -> None:
    for name in _keys(work):
        (data / name).parent.mkdir(mode=0o700, exist_ok=True)
        os.replace(work / name, data / name)
        embedded.on_disk((data / name).parent)


def _put_file(database: Path, into: Path) -> None:
    """Last of all, by one step: before it there are no records, after it all of them."""
    connection.close()
    # The log of an empty file would be played onto the new one.
    for ending in ("-wal", "-shm"):
        into.with_name(into.name + ending).unlink(missing_ok=True)
    os.replace(database, into)
    embedded.on_disk(into.parent)


def _fill(manifest: Manifest, dump: Path) -> None:
    server.bring_back(dump)
    with server.one_state():
        found = server.read()
    try:
        _refuse(manifest, backup.compared(manifest.found, found))
    except NotTheSame as problem:
        raise NotTheSame(f"Do not use this database, it was filled and is not the same: {problem}") from None

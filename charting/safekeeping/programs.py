"""PostgreSQL's own programs, pointed at the database of the settings. No password on a command line."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, cast

import psycopg
from django.db.backends.base.base import BaseDatabaseWrapper
from psycopg.conninfo import make_conninfo

# Debian keeps the programs of each release here; the newest reads what the older ones write.
DEBIAN = Path("/usr/lib/postgresql")


class Missing(Exception):
    """A program that is not installed; the message says which package has it."""


class Failed(Exception):
    """A program that ended in an error; the message is its own."""


def run(program: str, *arguments: str, on: BaseDatabaseWrapper | None = None) -> None:
    """Raises Missing or Failed."""
    if on is not None:
        arguments = (*arguments, f"--dbname={_address(on)}")
    done = subprocess.run(
        [_path(program), *arguments], env=_environment(on), capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise Failed(f"{program}: {done.stderr.strip()[-500:] or f'exit {done.returncode}'}")


@contextmanager
def reading(program: str, *arguments: str) -> Iterator[IO[bytes]]:
    """The output of a program, line by line while it runs. Raises Missing or Failed."""
    with TemporaryFile() as told:
        process = subprocess.Popen([_path(program), *arguments], stdout=subprocess.PIPE, stderr=told)
        with process:
            yield cast(IO[bytes], process.stdout)
        if process.returncode:
            told.seek(0)
            raise Failed(f"{program}: {told.read().decode(errors='replace').strip()[-500:]}")


def _path(program: str) -> str:
    # Not what PATH has first: on Debian that is a script that picks the release by configuration.
    found = sorted(DEBIAN.glob(f"*/bin/{program}"), key=lambda file: int(file.parts[-3].split(".")[0]))
    path = str(found[-1]) if found else shutil.which(program)
    if not path:
        raise Missing(f"{program} is not installed here: install the Debian package postgresql-client.")
    return path


def _address(on: BaseDatabaseWrapper) -> str:
    known = {option.keyword.decode() for option in psycopg.pq.Conninfo.get_defaults()}
    told = {name: value for name, value in on.get_connection_params().items() if name in known and value}
    told.pop("password", None)
    # Django asks for UTF-8 itself; the programs read it from the database.
    told.pop("client_encoding", None)
    return make_conninfo("", **told)


def _environment(on: BaseDatabaseWrapper | None) -> dict[str, str]:
    # Times are dumped as text: always in one zone.
    environment = {**os.environ, "PGTZ": "UTC"}
    password = on.get_connection_params().get("password") if on is not None else None
    return {**environment, "PGPASSWORD": str(password)} if password else environment

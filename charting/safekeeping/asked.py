"""Which key the commands are given, and where their ways of failing become sentences."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from getpass import getpass
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.db import DatabaseError

from charting.safekeeping import archive, keys, programs, sealed
from charting.safekeeping.backup import NotVerified
from charting.safekeeping.sealed import Key


def add_key_arguments(parser: CommandParser) -> None:
    way = parser.add_mutually_exclusive_group()
    way.add_argument(
        "--key-file", metavar="FILE", help="a key of 64 hex digits, made by backup --new-key FILE"
    )
    way.add_argument("--passphrase", action="store_true", help="ask for a passphrase in place of a key file")


def key_of(options: dict[str, Any], *, twice: bool = False) -> Key | None:
    """Raises keys.NoKey."""
    if options["key_file"]:
        return keys.from_file(Path(options["key_file"]))
    if not options["passphrase"]:
        return None
    words = getpass("Passphrase: ")
    if twice and getpass("The same again: ") != words:
        raise keys.NoKey("These were two different passphrases.")
    return keys.from_words(words)


def key_for(file: Path, options: dict[str, Any]) -> Key | None:
    """The key that this copy asks for. Raises keys.NoKey, OSError."""
    key = key_of(options)
    if archive.is_sealed(file) and key is None:
        raise keys.NoKey(f"{file} is encrypted: give --key-file FILE or --passphrase.")
    return key


@contextmanager
def in_sentences(otherwise: str) -> Iterator[None]:
    """Exit 2, and why; `otherwise` says what became of everything."""
    try:
        yield
    except (archive.Unreadable, keys.NoKey, sealed.Unopened, programs.Missing, programs.Failed) as problem:
        raise CommandError(f"{problem} {otherwise}", returncode=2) from None
    except NotVerified as problem:
        raise CommandError(
            f"What was written is not what was read ({problem}). {otherwise}", returncode=2
        ) from None
    except OSError as problem:
        where = f"{problem.filename}: " if problem.filename else ""
        raise CommandError(f"{where}{problem.strerror or problem}. {otherwise}", returncode=2) from None
    except (DatabaseError, sqlite3.Error) as problem:
        raise CommandError(f"The database cannot be used ({problem}). {otherwise}", returncode=2) from None

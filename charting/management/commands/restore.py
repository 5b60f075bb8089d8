"""Bring back everything from a copy, into an empty place."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.safekeeping import restore
from charting.safekeeping.asked import add_key_arguments, in_sentences, key_for

NOTHING = "Nothing was brought back."


class Command(BaseCommand):
    """manage.py restore FILE [--key-file FILE | --passphrase]

    Into the data folder of TAUTLINE_DATA and, where DATABASE_URL stands, into that database. Both must be
    empty. Exit 0: everything is there, verified. Exit 2: not brought back, and why. Exit 3: brought back as
    it was when it was copied, but it was not in order then; what, on standard error.
    """

    help = "Bring back database, key and certificates from a copy into an empty data folder or database."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="a file that backup made")
        add_key_arguments(parser)

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        with in_sentences(NOTHING):
            key = key_for(Path(file), options)
            try:
                manifest = restore.bring_back(Path(file), key, Path(settings.DATA))
            except restore.NotHere as problem:
                raise CommandError(f"{problem} {NOTHING}", returncode=2) from None
            except restore.NotTheSame as problem:
                raise CommandError(f"The copy is not what it says it is: {problem}.", returncode=2) from None
        found = manifest.found
        self.stdout.write(
            f"{found.rows:,} rows in {len(found.tables)} tables, as they were on "
            f"{manifest.made_at:%Y-%m-%d at %H:%M} UTC. What was written later is not in it.\n"
            "Start the practice as always: a database of an earlier release is brought up to date then."
        )
        if found.problems:
            raise CommandError("\n".join(found.problems), returncode=3)

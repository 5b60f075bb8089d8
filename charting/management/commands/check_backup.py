"""Read a copy through, as if it were to be used now."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.safekeeping import backup
from charting.safekeeping.asked import add_key_arguments, in_sentences, key_for


class Command(BaseCommand):
    """manage.py check_backup FILE [--key-file FILE | --passphrase]

    Exit 0: all is as it was when the copy was made. Exit 2: it cannot be read. Exit 3: it can, and is not.
    """

    help = "Open a copy and hold every row, hash and chain in it against what was found when it was made."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="a file that backup made")
        add_key_arguments(parser)

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        with in_sentences("Nothing was changed."):
            manifest, wrong = backup.check(Path(file), key_for(Path(file), options))
        found = manifest.found
        self.stdout.write(
            f"Made {manifest.made_at:%Y-%m-%d %H:%M} UTC of {manifest.database}: {found.rows:,} rows in "
            f"{len(found.tables)} tables, newest migration {found.migration}."
        )
        if wrong:
            raise CommandError("\n".join(wrong), returncode=3)
        self.stdout.write("Every row, hash and chain is as it was then.")

"""Copy everything into one file, while the practice works."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.safekeeping import backup, keys
from charting.safekeeping.asked import add_key_arguments, in_sentences, key_of

NOT_ENCRYPTED = (
    "Not encrypted: whoever has this file reads every record. Give --key-file FILE or --passphrase."
)
WITHOUT_ITS_KEY = (
    "Not in it: the key in TAUTLINE_SECRET_KEY. Keep it too, second factors cannot be read without it."
)
ELSEWHERE = (
    "Keep it on another machine, the key elsewhere. What comes after this moment is in the next one only."
)


class Command(BaseCommand):
    """manage.py backup --to FOLDER [--key-file FILE | --passphrase]
    manage.py backup --new-key FILE

    Exit 0: a verified copy stands. Exit 2: none was made, and why. Exit 3: a verified copy stands, but
    what it is a copy of is not as it was written; what, on standard error.
    """

    help = "Copy database, key and certificates into one new file; it is read back before it gets its name."

    def add_arguments(self, parser: CommandParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("--to", metavar="FOLDER", help="where the new file goes")
        what.add_argument("--new-key", metavar="FILE", help="make a key file, and nothing else")
        add_key_arguments(parser)

    def handle(self, *args: Any, to: str | None, new_key: str | None, **options: Any) -> None:
        with in_sentences("No copy was made."):
            if new_key:
                keys.make_file(Path(new_key))
                self.stdout.write(f"{new_key}: keep it apart from the copies. Without it nobody opens them.")
                return
            key = key_of(options, twice=True)
            made = backup.make(Path(str(to)), key)
        self._say(made, sealed=key is not None)
        if made.manifest.found.problems:
            told = "\n".join(made.manifest.found.problems)
            raise CommandError(f"Copied as it is, but it is not as it was written:\n{told}", returncode=3)

    def _say(self, made: backup.Made, *, sealed: bool) -> None:
        size = made.file.stat().st_size / 1e6
        found = made.manifest.found
        self.stdout.write(f"{made.file}: {found.rows:,} rows in {len(found.tables)} tables, {size:,.1f} MB.")
        self.stdout.write("Read back and found the same.")
        if not sealed:
            self.stdout.write(NOT_ENCRYPTED)
        if backup.SECRET not in made.manifest.files and settings.SECRET_KEY:
            self.stdout.write(WITHOUT_ITS_KEY)
        self.stdout.write(ELSEWHERE)

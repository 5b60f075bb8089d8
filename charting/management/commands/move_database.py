"""From the embedded file to a PostgreSQL."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from charting.safekeeping import backup, embedded
from charting.safekeeping.asked import in_sentences
from charting.safekeeping.move import NotMoved, move

SWITCH = (
    "From now on start the practice with this DATABASE_URL and the same TAUTLINE_DATA, which holds the key. "
    "The file was not touched: what is written into it after this is not in the database. Keep it as a copy."
)


class Command(BaseCommand):
    """DATABASE_URL=postgres://... manage.py move_database [--file FILE]

    Stop the practice first. Exit 0: everything is there, compared. Exit 2: nothing was moved, and why.
    """

    help = "Move everything from the embedded file into the empty PostgreSQL that DATABASE_URL names."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--file", metavar="FILE", help="another file than that of the data folder")

    def handle(self, *args: Any, file: str | None, **options: Any) -> None:
        source = Path(file) if file else Path(settings.DATA) / "tautline.sqlite3"
        if connection.vendor != "postgresql":
            raise CommandError("Name the empty PostgreSQL database in DATABASE_URL.", returncode=2)
        if not source.is_file():
            raise CommandError(f"There is no file {source}.", returncode=2)
        with in_sentences("Nothing was moved."), backup.beside_the_data() as work:
            embedded.copy(source, work / source.name)
            call_command("migrate", verbosity=0, interactive=False)
            try:
                found = move(work / source.name)
            except NotMoved as problem:
                raise CommandError(f"{problem} Nothing was moved.", returncode=2) from None
        rows = sum(table.rows for table in found.values())
        self.stdout.write(f"{rows:,} rows in {len(found)} tables moved, and found the same.\n{SWITCH}")

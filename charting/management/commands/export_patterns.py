"""Write the own patterns that a practice has in use to one file, to be imported elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bodymaps import own_file
from charting.patterns import queries
from charting.staff.queries import practice_named


class Command(BaseCommand):
    """manage.py export_patterns --output FILE ("-": standard output). Exit 2 with one line when it cannot be
    done.
    """

    help = "Write a practice's own patterns, those in use, to a file."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--output", required=True, metavar="FILE", help="where to write; - is standard output"
        )
        parser.add_argument("--practice", default="", help="name of the practice, where there are several")

    def handle(self, *args: Any, output: str, practice: str, **options: Any) -> None:
        try:
            rows = queries.in_use(practice_named(practice))
        except LookupError as error:
            raise CommandError(str(error), returncode=2) from None
        text = own_file.write(queries.as_own(row) for row in rows)
        if output == "-":
            self.stdout.write(text, ending="")
            return
        try:
            Path(output).write_text(text, encoding="utf-8")
        except OSError as error:
            raise CommandError(f"{output} cannot be written: {error.strerror}", returncode=2) from None
        self.stdout.write(f"{len(rows)} pattern{'' if len(rows) == 1 else 's'} written to {output}.")

"""Rank the muscles for a drawing in a file. Needs no database, no practice and no secret key."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bodymaps import atlas, drawing_file, extent, matching


class Command(BaseCommand):
    """manage.py rank_drawing FILE ("-": standard input) prints JSON. Exit 2 with one line on standard error
    when the drawing cannot be read; the line names the feature by its index.
    """

    help = "Rank the muscles for a FeatureCollection of drawn features in figure millimetres."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the drawing; - is standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            drawn = drawing_file.read(_bytes(file))
            ranking = matching.rank(drawn.marks, atlas.load(), something_drawn=drawn.something_drawn)
        except (drawing_file.DrawingError, atlas.AtlasError) as error:
            raise CommandError(str(error), returncode=2) from None
        printed = {**ranking.as_json(), "extent": extent.extent(drawn.marks).as_json()}
        self.stdout.write(json.dumps(printed, ensure_ascii=False, indent=1))


def _bytes(file: str) -> bytes:
    """At most one byte more than is read, so that an endless stream is refused and not collected."""
    most = drawing_file.FILE_LIMITS.bytes + 1
    try:
        if file == "-":
            return sys.stdin.buffer.read(most)
        with Path(file).open("rb") as stream:
            return stream.read(most)
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror}", returncode=2) from None

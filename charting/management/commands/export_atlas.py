"""Write the whole atlas as one FeatureCollection. Needs no database, no practice and no secret key."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bodymaps import atlas, export


class Command(BaseCommand):
    """manage.py export_atlas --output FILE ("-": standard output). Exit 2 with one line when it cannot be
    done.
    """

    help = "Write outlines, regions, patterns and dermatomes as one FeatureCollection in figure millimetres."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--output", required=True, metavar="FILE", help="where to write; - is standard output"
        )

    def handle(self, *args: Any, output: str, **options: Any) -> None:
        try:
            text = json.dumps(
                export.feature_collection(atlas.load()), ensure_ascii=False, separators=(",", ":")
            )
        except atlas.AtlasError as error:
            raise CommandError(f"the atlas cannot be used: {error}", returncode=2) from None
        if output == "-":
            self.stdout.write(text)
            return
        try:
            Path(output).write_text(text + "\n", encoding="utf-8")
        except OSError as error:
            raise CommandError(f"{output} cannot be written: {error.strerror}", returncode=2) from None

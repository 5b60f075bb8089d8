"""Import own patterns from a file: what it would do is shown first, then it is done, all or nothing."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.patterns import carrying, services
from charting.patterns.plans import Plan
from charting.staff.queries import practice_named
from charting.staff.services import CommandLine


class Command(BaseCommand):
    """manage.py import_patterns FILE [--yes]. Exit 2 with a line for each refused entry; exit 1 when nobody
    said yes.
    """

    help = "Import own patterns from a file; a pattern that is there already gets a new version."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE")
        parser.add_argument("--practice", default="", help="name of the practice, where there are several")
        parser.add_argument("--yes", action="store_true", help="do it without asking")

    def handle(self, *args: Any, file: str, practice: str, yes: bool, **options: Any) -> None:
        try:
            into = practice_named(practice)
            text = Path(file).read_text(encoding="utf-8-sig")
        except LookupError as error:
            raise CommandError(str(error), returncode=2) from None
        except (OSError, UnicodeDecodeError) as error:
            why = getattr(error, "strerror", None) or "it is no text in UTF-8"
            raise CommandError(f"{file} cannot be read: {why}", returncode=2) from None
        plan = Plan.of(into, text, file)
        if plan.refused:
            lines = "\n".join(str(problem) for problem in plan.refused)
            raise CommandError(f"{lines}\nNothing was imported.", returncode=2)
        for step in plan.steps:
            self.stdout.write(f"{step.pattern.name} ({step.pattern.id}): {step.words}")
        if not plan.to_write:
            self.stdout.write("Nothing has to be imported.")
            return
        if not yes and not self._agreed(len(plan.to_write), into.name):
            raise CommandError("Nothing was imported. Say yes, or add --yes.", returncode=1)
        try:
            count = carrying.import_text(
                who=CommandLine(into.pk), practice=into, name=Path(file).name, text=text, seen=plan.key
            )
        except services.NotKept as problem:
            raise CommandError(str(problem), returncode=2) from None
        self.stdout.write(f"{count} pattern{'' if count == 1 else 's'} imported.")

    def _agreed(self, count: int, practice: str) -> bool:
        """What somebody at a terminal answers; no without one."""
        if not sys.stdin.isatty():
            return False
        self.stdout.write(f"Write {count} of these to {practice}? [y/N] ", ending="")
        self.stdout.flush()
        return sys.stdin.readline().strip().lower() in ("y", "yes")

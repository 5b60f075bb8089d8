"""Check the trail: every row of every chain, and the heads that were kept elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.audit.heads import Head, Unreadable, parse
from charting.audit.verify import Report, verify, verify_every
from charting.retention.models import Purge
from charting.staff.models import Practice
from charting.staff.queries import practice_named


class Command(BaseCommand):
    """manage.py verify_trail [--practice NAME] [--heads FILE]

    Exit 0: every chain holds. Exit 3: one does not; where, on standard error. Exit 2: could not be checked.
    """

    help = "Check that nothing in the trail was changed, lost, put in or moved."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--practice", default="", help="name of one practice; without it every chain")
        parser.add_argument("--heads", metavar="FILE", help="heads kept elsewhere (write_heads)")

    def handle(self, *args: Any, practice: str, heads: str | None, **options: Any) -> None:
        try:
            known = heads_in(heads) if heads else ()
            reports = _of(practice_named(practice), known) if practice else verify_every(known)
        except (LookupError, ValueError, OSError) as error:
            raise CommandError(str(error), returncode=2) from None
        names = dict(Practice.objects.values_list("pk", "name"))
        for report in reports:
            self.stdout.write(_said(report, names.get(report.chain, "outside every practice")))
        if not heads:
            self.stdout.write("Without --heads FILE nobody can tell whether the end of a trail was cut off.")
        self._refuse(reports, names)

    def _refuse(self, reports: tuple[Report, ...], names: dict[int, str]) -> None:
        wrong = [
            f"{names.get(report.chain, report.chain)}, {each}" for report in reports for each in report.breaks
        ]
        if Purge.objects.filter(finished_at=None).exists():
            wrong.append("A purge stands open: until it is gone, rows that never change can be deleted.")
        if wrong:
            raise CommandError("\n".join(wrong), returncode=3)


def heads_in(file: str) -> tuple[Head, ...]:
    """Raises OSError, or ValueError that names file and line."""
    try:
        return tuple(parse(Path(file).read_text(encoding="utf-8").splitlines()))
    except Unreadable as error:
        raise ValueError(f"{file}: {error}") from None


def _of(practice: Practice, heads: tuple[Head, ...]) -> tuple[Report, ...]:
    return (verify(practice.pk, heads),)


def _said(report: Report, name: str) -> str:
    found = "holds" if report.holds else "DOES NOT HOLD"
    return f"{name}: {report.rows:,} entries, {found}; last is {report.seq}, {report.hash}"

"""Write where each chain of the trail ends now, to be kept where this machine can't change it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.audit.heads import Head, heads_now
from charting.audit.models import AuditEntry
from charting.management.commands.verify_trail import heads_in


class Command(BaseCommand):
    """manage.py write_heads --to FILE ("-": standard output, to print it or send it to another host).

    One line for each chain: chain, number, hash, time. It adds to the file and never writes it anew. Exit 3
    when a head in the file is not in the trail any more: then nothing is added.
    """

    help = "Add the end of each chain of the trail to a file. Keep a copy outside: paper, mail, another host."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--to", required=True, metavar="FILE", help="where to add; - is standard output")

    def handle(self, *args: Any, to: str, **options: Any) -> None:
        heads = heads_now()
        if to == "-":
            self.stdout.write("\n".join(map(str, heads)))
            return
        try:
            _refuse_if_gone(heads_in(to) if Path(to).exists() else ())
            _append(Path(to), heads)
        except (ValueError, OSError) as error:
            raise CommandError(str(error), returncode=2) from None
        self.stdout.write(f"{len(heads)} heads added to {to}.")


def _refuse_if_gone(known: tuple[Head, ...]) -> None:
    newest = {head.chain: head for head in known}
    for head in newest.values():
        if not AuditEntry.objects.filter(chain=head.chain, seq=head.seq, hash=head.hash).exists():
            raise CommandError(
                f"The trail was changed: the last head of chain {head.chain} in this file (entry {head.seq}, "
                f"{head.at:%Y-%m-%d %H:%M}) is not in it any more. Nothing was added. "
                "Run verify_trail --heads.",
                returncode=3,
            )


def _append(file: Path, heads: tuple[Head, ...]) -> None:
    """On the disk when this returns."""
    with file.open("a", encoding="utf-8") as out:
        out.writelines(f"{head}\n" for head in heads)
        out.flush()
        os.fsync(out.fileno())

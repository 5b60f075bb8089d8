"""Rank the muscles for a drawing in a file, and weigh what is told beside it. Needs no database, no practice
and no secret key.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from bodymaps import atlas, drawing_file, extent, matching
from bodymaps.drawing_file import DrawingFile
from bodymaps.reasoning import clusters, drawn, evidence, examine_next, felt, flags, neuro, same_area
from bodymaps.reasoning.conditions import Facts


class Command(BaseCommand):
    """manage.py rank_drawing FILE ("-": standard input) prints JSON. Exit 2 with one line on standard error
    when the drawing cannot be read; the line names the feature by its index, or the member and key.
    """

    help = "Rank the muscles for a FeatureCollection of drawn features in figure millimetres."
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the drawing; - is standard input")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            printed = _said(drawing_file.read(_bytes(file)))
        except (drawing_file.DrawingError, atlas.AtlasError) as error:
            raise CommandError(str(error), returncode=2) from None
        self.stdout.write(json.dumps(printed, ensure_ascii=False, indent=1))


def _said(file: DrawingFile) -> dict[str, Any]:
    known = atlas.load()
    ranking = matching.rank(file.marks, known, something_drawn=file.something_drawn)
    facts = Facts(file.case, drawn.of(file.marks))
    weighed, found = evidence.judge(ranking, facts, known), flags.raised(facts)
    # Nobody decides about a sign of danger in a file: while one holds back, nothing is proposed.
    proposed = () if flags.holds_back(found) else examine_next.proposals(weighed, facts, known, ranking)
    return {
        **ranking.as_json(),
        "extent": extent.extent(file.marks).as_json(),
        "flags": [asdict(flag) for flag in found],
        "ask": [_asked(group) for group in flags.to_ask(facts)],
        **weighed.as_json(),
        "same_area": [group.as_json() for group in same_area.groups(ranking, known, weighed)],
        "examine_next": [one.as_json() for one in proposed],
        "neuro": {
            "fits": [asdict(fit) for fit in neuro.fits(file.case)],
            "clusters": [asdict(one) for one in clusters.of(file.case)],
            "singles": [asdict(one) for one in clusters.singles(file.case)],
        },
        "felt": [felt.as_json(one) for one in file.case.felt],
    }


def _asked(group: flags.ToAsk) -> dict[str, Any]:
    return {
        "group": group.group.title,
        "keys": [item.key for item in group.items],
        "because": list(group.because),
    }


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

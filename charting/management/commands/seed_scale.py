"""manage.py seed_scale: a large practice of invented people, to be measured. Into an empty database."""

import secrets
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from charting.audit.services import record_look
from charting.management.demo import SetUp
from charting.management.scale.making import make
from charting.management.scale.sizes import Sizes
from charting.staff.models import Practice

USUAL = Sizes()
MOST_NAMES = 3


class Command(BaseCommand):
    help = "Make a large practice of invented people, to measure how fast its pages are. Takes minutes."

    def add_arguments(self, parser: CommandParser) -> None:
        for size, usual in vars(USUAL).items():
            parser.add_argument(f"--{size}", type=int, default=usual, help=f"{usual:,} unless told")
        parser.add_argument(
            "--password", default="", help="of everybody who works there; made up unless told"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        _refuse_beside_others()
        try:
            sizes = Sizes(**{size: options[size] for size in vars(USUAL)})
        except ValueError as problem:
            raise CommandError(str(problem)) from problem
        password = options["password"] or secrets.token_urlsafe(12)
        began = time.monotonic()

        def say(step: str) -> None:
            if options["verbosity"] > 0:
                self.stdout.write(f"{time.monotonic() - began:6.0f} s  {step}")

        known = make(sizes, password, say)
        record_look(
            who=SetUp(audit_practice_id=known.practice.pk), at=known.practice, as_="made to be measured"
        )
        if options["verbosity"] > 0:
            names = f"clinician1 to clinician{sizes.clinicians}, desk, owner, auditor"
            self.stdout.write(f"Everybody in it is invented. Sign in as {names}.\nPassword: {password}")


def _refuse_beside_others() -> None:
    there = list(Practice.objects.values_list("name", flat=True)[: MOST_NAMES + 1])
    if there:
        raise CommandError(
            f"This database holds a practice already ({', '.join(there[:MOST_NAMES])}). A practice to be "
            "measured is made in an empty database only: set TAUTLINE_DATA or DATABASE_URL to another."
        )

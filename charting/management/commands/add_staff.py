"""Take somebody on, and open the practice with the first of them.

    TAUTLINE_DEMO=no make run          (once, so that the database is made; stop it again)
    .venv/bin/python manage.py add_staff --practice "Physiotherapy by the Mill" --time-zone Europe/Zurich \
        --street "Mill Lane 2" --town Weirford --phone "000 000 12" --paper a4 \
        --username mara --name "Mara Lind" --role clinician --title Physiotherapist --registration PT-00417

The password is asked for twice and never shown.
"""

from getpass import getpass
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, CommandParser
from django.db import transaction

from charting.staff import services
from charting.staff.models import Paper, Practice, User

LETTERHEAD = ("street", "town", "phone", "email", "practice_registration")


class Command(BaseCommand):
    help = "Add a member of staff; opens the practice when there is none of this name yet."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--practice", required=True, help="name of the practice, as on its letterhead")
        parser.add_argument("--time-zone", default=settings.TIME_ZONE, help="of a practice to be opened")
        for line in LETTERHEAD:
            words = f"{line.replace('_', ' ')}, as printed at the head of a note, of a practice to be opened"
            parser.add_argument(f"--{line.replace('_', '-')}", default="", help=words)
        parser.add_argument(
            "--paper", default=Paper.A4, choices=Paper.values, help="of a practice to be opened"
        )
        parser.add_argument("--username", required=True)
        parser.add_argument("--name", required=True, help="given names and family name")
        parser.add_argument("--role", required=True, choices=User.Role.values)
        parser.add_argument(
            "--owner", action="store_true", help="owns the practice as well; the first person always does"
        )
        parser.add_argument("--title", default="", help="profession, as it is printed under a note")
        parser.add_argument("--registration", default="", help="registration number, printed beside it")

    def handle(self, *args: Any, **options: Any) -> None:
        password = _asked_twice()
        try:
            with transaction.atomic():
                user = _take_on(options, password)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from problem
        self.stdout.write(f"{user} can sign in as {user.username} ({user.get_role_display()}).")


def _asked_twice() -> str:
    password = getpass("Password (12 characters or more): ")
    if getpass("Once more: ") != password:
        raise CommandError("The two passwords differ. Nothing was changed.")
    return password


def _take_on(options: dict[str, Any], password: str) -> User:
    practice = Practice.objects.filter(name=options["practice"]).first()
    if practice is None:
        letterhead = {line.removeprefix("practice_"): options[line] for line in LETTERHEAD}
        practice = services.open_practice(
            name=options["practice"], time_zone=options["time_zone"], paper=options["paper"], **letterhead
        )
    wanted = {key: options[key] for key in ("username", "name", "role", "title", "registration")}
    owns = bool(options.get("owner"))
    return services.take_on(practice=practice, password=password, owns_practice=owns, **wanted)

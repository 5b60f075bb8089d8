"""A practice of its own, on the settings a practice runs on, in a folder that is removed."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Board:
    """A visit whose device is with the patient: the token opens its board."""

    visit_id: Any
    token: str


def place() -> Path | None:
    """Where data lies: AT=/dev/shm is the memory, where a busy disk would take too long. kill -9 proves the
    same there, for the system keeps what was written either way. Else the folder for temporary files.
    """
    return Path(os.environ["AT"]) if os.environ.get("AT") else None


@contextmanager
def folder_of_its_own(database_url: str = "", at: Path | None = None) -> Iterator[Path]:
    """Django set up on an empty database, migrated: an SQLite file in the folder, or PostgreSQL. `at`: where
    the folder is made. Once a process.
    """
    with tempfile.TemporaryDirectory(prefix="tautline-torture-", dir=at) as name:
        for key in [key for key in os.environ if key.startswith("TAUTLINE_")]:
            del os.environ[key]
        os.environ["TAUTLINE_DATA"] = name
        os.environ["TAUTLINE_SECRET_KEY"] = "only for the torture, never for a practice, and long enough"
        os.environ["DATABASE_URL"] = database_url
        os.environ["DJANGO_SETTINGS_MODULE"] = "clinic.settings"
        import django

        django.setup()
        from django.core.management import call_command
        from django.db import connections

        call_command("migrate", verbosity=0)
        connections.close_all()
        yield Path(name)
        connections.close_all()


def gather_static() -> None:
    from django.core.management import call_command

    call_command("collectstatic", verbosity=0, interactive=False)


def boards(count: int) -> list[Board]:
    """That many visits of invented people, each with its device handed over."""
    from django.db import connections, transaction

    from charting.handover.services import hand_over
    from charting.visits.models import Visit
    from tests.charting import recorded

    here = recorded.practice()
    mara = recorded.member(here, "mara")
    with transaction.atomic():
        made = []
        for number in range(1, count + 1):
            visit = Visit.objects.create(patient=recorded.patient(here, number=number), clinician=mara)
            made.append(Board(visit.pk, hand_over(who=mara, visit=visit)[1]))
    connections.close_all()
    return made

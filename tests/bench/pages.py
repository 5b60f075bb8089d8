"""What a page and a paper cost: milliseconds and queries, on the demo practice in a database of its own."""

import io
import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager

ROUNDS = 15
ADDRESSES = (
    "today",
    "patients",
    "visit",
    "story",
    "danger-screen",
    "drawing-step",
    "drawing",
    "candidates",
    "neuro-screen",
    "consents",
    "note",
    "note-pdf",
    "/atlas/",
    "/atlas/?q=deltoid",
    "/atlas/?view=front&x=290&y=330",
    "/atlas/?region=front:shoulder_anterior.right",
    "/atlas/muscle/infraspinatus/",
    "/atlas/root/C6/",
    "/atlas/sources/",
)


@contextmanager
def demo_practice() -> Iterator[None]:
    """Django on a fresh SQLite file with the demo practice. The settings are those a practice runs on."""

    with tempfile.TemporaryDirectory(prefix="tautline-bench-") as folder:
        os.environ["TAUTLINE_DATA"] = folder
        os.environ["TAUTLINE_SECRET_KEY"] = "only for the bench, never for a practice, and long enough"
        os.environ["TAUTLINE_DEBUG"] = "0"
        os.environ.pop("DATABASE_URL", None)
        os.environ["DJANGO_SETTINGS_MODULE"] = "clinic.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        call_command("seed_demo", stdout=io.StringIO())
        yield


def lines() -> list[str]:
    """One line a page: median and 95th percentile in ms over `ROUNDS` requests, queries of the last one."""
    with demo_practice():
        from django.db import connection
        from django.test import Client
        from django.test.utils import CaptureQueriesContext
        from django.urls import reverse

        from charting.drawing.models import StoredStroke
        from charting.staff.models import User

        visit = StoredStroke.objects.values_list("visit_id", flat=True)[0]
        client = Client(headers={"host": "localhost"})
        client.force_login(User.objects.get(role=User.Role.CLINICIAN))
        told = []
        for name in ADDRESSES:
            args = () if name in ("today", "patients") else (visit,)
            address = name if name.startswith("/") else reverse(name, args=args)
            times = []
            for _ in range(4 if name == "note-pdf" else ROUNDS):
                with CaptureQueriesContext(
                    connection,
                ) as asked:
                    start = time.perf_counter()
                    answer = client.get(address)
                    size = len(answer.content)
                    times.append(1000 * (time.perf_counter() - start))
            assert answer.status_code == 200, (name, answer.status_code)  # noqa: S101
            told.append(
                f"{name:14} median {statistics.median(times):7.1f} ms, slowest {max(times):7.1f} ms, "
                f"{len(asked):2} queries, {size / 1024:6.1f} KB"
            )
        return told


if __name__ == "__main__":
    print("\n".join(lines()))

"""What lists, searches and charts cost in a large practice: milliseconds and queries.

A tenth of the full size unless SCALE=full; FOLDER measures one of seed_scale that stands there already.
Promised: a search by name and a chart in 200 ms (95th percentile).
"""

import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

ROUNDS = 15
PROMISED_MS = 200.0
SIZES = {"patients": 5_000, "visits": 50_000, "drawings": 10_000}
PAGES = (
    ("day list", "/"),
    ("people", "/patients/"),
    ("person", "/patients/{patient}/"),
    ("visit", "/visits/{visit}/"),
    ("note", "/visits/{visit}/note/"),
    ("drawing", "/visits/{visit}/drawing/"),
)
SEARCHES = ("bachmann", "ach", "otto wind", "12345", "7.3.1975", "zzz")


@contextmanager
def large_practice() -> Iterator[None]:
    with tempfile.TemporaryDirectory(prefix="tautline-bench-") as made:
        folder = os.environ.get("FOLDER", made)
        os.environ["TAUTLINE_DATA"] = folder
        os.environ["TAUTLINE_SECRET_KEY"] = "only for the bench, never for a practice, and long enough"
        os.environ["TAUTLINE_DEBUG"] = "0"
        os.environ["DJANGO_SETTINGS_MODULE"] = "clinic.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        if folder == made:
            sizes = {} if os.environ.get("SCALE") == "full" else SIZES
            call_command("seed_scale", password="measured-practice-9", verbosity=0, **sizes)  # noqa: S106
        yield


def lines() -> Iterator[str]:
    """A line a page and search."""
    with large_practice():
        from django.test import Client

        from charting.patients.models import Patient
        from charting.staff.models import User
        from charting.visits.models import Visit

        client = Client(headers={"host": "localhost"})
        client.force_login(User.objects.get(username="clinician1"))
        yield f"{Patient.objects.count():,} people, {Visit.objects.count():,} visits"
        visit = Visit.objects.exclude(signed_at=None).order_by("-started_at")[0]
        for name, path in PAGES:
            at = path.format(patient=visit.patient_id, visit=visit.pk)
            yield _line(name, lambda at=at: client.get(at), promised=name in ("person", "visit"))
        for text in SEARCHES:
            asked = {"q": text}
            yield _line(
                f'search "{text}"',
                lambda asked=asked: client.post("/patients/", asked, headers={"HX-Request": "true"}),
                promised=True,
            )


def _line(name: str, ask: Any, *, promised: bool) -> str:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    times = []
    for _ in range(ROUNDS):
        with CaptureQueriesContext(connection) as asked:
            began = time.perf_counter()
            answer = ask()
            times.append(1000 * (time.perf_counter() - began))
        assert answer.status_code == 200, (name, answer.status_code)  # noqa: S101
    late = statistics.quantiles(times, n=20, method="inclusive")[18]
    verdict = (", pass" if late <= PROMISED_MS else ", FAIL") if promised else ""
    told = f"median {statistics.median(times):7.1f} ms, 95th percentile {late:7.1f} ms"
    return f"{name:20} {told}, {len(asked):2} queries{verdict}"


if __name__ == "__main__":
    for line in lines():
        print(line, flush=True)

"""What the review of a practice costs: the whole page, for practices of growing size, as a table.

Promised: about 5 s for 100,000 drawings. Judged by the time of the processor, so that a busy machine does not
decide; the time on the clock stands beside it.
"""

import os
import random
import resource
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from typing import Any

SIZES = (1_000, 10_000, 100_000)
VISITS_EACH = 5
PROMISED_S = 5.0
# So many different drawings, taken in turn: their sizes as of one, two or three places of pain.
DRAWINGS = 120
AT_ONCE = 5_000
LAST = datetime(2026, 11, 20, 9, tzinfo=UTC)
PLACES = {
    "front": ("humeral_head", "deltoid_insertion", "biceps_mid", "radial_styloid", "thumb_tip"),
    "back": ("neck_mid", "neck_angle", "suprascapular_mid", "l2", "l5", "psis", "calf_mid", "achilles"),
}


@contextmanager
def empty_practices() -> Iterator[None]:
    """Django on a fresh SQLite file, the settings those a practice runs on."""
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
        yield


def lines() -> list[str]:
    """A line a size; the last says whether the promise holds."""
    with empty_practices():
        dice = random.Random(8)
        made = _drawings(dice)
        _asked_for(_practice(200, made, dice))
        found = [(size, *_asked_for(_practice(size, made, dice))) for size in SIZES]
    first = found[0][1] / found[0][0]
    told = [
        f"{size:8,} drawings of {size // VISITS_EACH:6,} people: {seconds:6.2f} s ({clock:6.2f} by clock), "
        f"{seconds / size / first:4.2f} times as long for each as at {SIZES[0]:,}; {asked} queries"
        for size, seconds, clock, asked in found
    ]
    size, seconds, _, _ = found[-1]
    verdict = "pass" if seconds <= PROMISED_S else "FAIL"
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return [*told, f"{size:,} drawings in about {PROMISED_S:g} s: {verdict}; {memory:.0f} MB at most"]


def _drawings(dice: random.Random) -> list[dict[tuple[str, str], bytes]]:
    from bodymaps import coarse, kinds, marks

    return [
        coarse.rows(marks.paint([_stroke(dice, seq, kinds.IDS) for seq in range(dice.randint(1, 3))]))
        for _ in range(DRAWINGS)
    ]


def _stroke(dice: random.Random, seq: int, kinds: tuple[str, ...]) -> Any:
    from bodymaps import figure
    from bodymaps.strokes import Point, Stroke

    view = dice.choice(list(PLACES))
    at = dice.randrange(len(PLACES[view]) - 1)
    names, side = PLACES[view][at : at + 2], dice.choice(("right", "left"))
    places = [figure.load().landmark(view, name, side) for name in names]
    points = tuple(Point(x + dice.uniform(-9, 9), y + dice.uniform(-9, 9), 0.5, 0.0) for x, y in places)
    nib = dice.uniform(30, 90)
    return Stroke(str(seq), seq, view, dice.choice(kinds), "shade", nib, points, "", "")


def _practice(size: int, made: list[dict[tuple[str, str], bytes]], dice: random.Random) -> Any:
    """Its clinician."""
    from charting.staff.models import Practice, User

    practice = Practice.objects.create(name=f"Practice of {size}", time_zone="Europe/Zurich", is_demo=True)
    who = User.objects.create_user(f"of{size}", practice=practice, role=User.Role.CLINICIAN)
    visits = _visits(practice, who, size)
    _cells(visits, made, dice)
    return who


def _visits(practice: Any, who: Any, size: int) -> list[Any]:
    from charting.patients.models import Patient
    from charting.visits.models import Visit

    people = [
        Patient(practice=practice, record_number=one, birth_date=date(1940 + one % 60, 5, 1), search_name="x")
        for one in range(size // VISITS_EACH)
    ]
    Patient.objects.bulk_create(people, AT_ONCE)
    visits = [
        Visit(patient=person, clinician=who, signed_at=LAST) for person in people for _ in range(VISITS_EACH)
    ]
    Visit.objects.bulk_create(visits, AT_ONCE)
    for week in range(40):
        Visit.objects.filter(pk__in=[visit.pk for visit in visits[week::40]][:900]).update(
            started_at=LAST - timedelta(weeks=week)
        )
    Visit.objects.filter(clinician=who, started_at__gt=LAST).update(started_at=LAST)
    return visits


def _cells(visits: list[Any], made: list[dict[tuple[str, str], bytes]], dice: random.Random) -> None:
    from bodymaps import coarse
    from charting.drawing.models import DrawnCells

    for first in range(0, len(visits), AT_ONCE):
        DrawnCells.objects.bulk_create(
            [
                DrawnCells(
                    visit=visit, view=view, kind=kind, figure=coarse.version(), cell_mm=20, cells=cells
                )
                for visit in visits[first : first + AT_ONCE]
                for (view, kind), cells in dice.choice(made).items()
            ],
            AT_ONCE,
        )


def _asked_for(who: Any) -> tuple[float, float, int]:
    """Seconds of the page of a year, of the processor and on the clock, and its queries."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client(headers={"host": "localhost"})
    client.force_login(who)
    with CaptureQueriesContext(connection) as asked:
        start, began = time.process_time(), time.perf_counter()
        answer = client.get("/review/?first=2026-01&last=2026-11")
        seconds, clock = time.process_time() - start, time.perf_counter() - began
    assert answer.status_code == 200 and b"data:image/png" in answer.content, answer.status_code  # noqa: S101
    return seconds, clock, len(asked)


if __name__ == "__main__":
    print("\n".join(lines()))

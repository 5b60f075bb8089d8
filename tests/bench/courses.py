"""What a long course costs beside a short one, as ratios: the pages of progress and of two drawings."""

import statistics
import time
from typing import Any

from tests.bench.pages import demo_practice

FEW, MANY = 5, 100
ROUNDS = 5
PAGES = ("progress", "progress-compare")


def lines() -> list[str]:
    """One line a page. All visits are signed but the last, as in a practice."""
    with demo_practice():
        from charting.staff.models import User

        nora = User.objects.get(role=User.Role.CLINICIAN)
        people = {count: _with_visits(nora, 9000 + count, count) for count in (FEW, MANY)}
        return [_line(nora, name, people) for name in PAGES]


def _line(who: Any, name: str, people: dict[int, Any]) -> str:
    _, short, asked = _asked_for(who, name, people[FEW])
    first, long, asked_long = _asked_for(who, name, people[MANY])
    return (
        f"{name:17} {MANY} visits: the first time {first:7.1f} ms, then {long:7.1f} ms, {long / short:4.1f} "
        f"times as long as {FEW} visits; {asked_long} queries, with {FEW} {asked}"
    )


def _with_visits(who: Any, number: int, count: int) -> Any:
    """Somebody whose pain grows less from visit to visit, two weeks apart."""
    from datetime import timedelta

    from django.utils import timezone

    from charting.episodes.models import Episode
    from charting.visits.models import Visit
    from tests.charting import recorded

    person = recorded.patient(who.practice, number=number)
    began = timezone.now() - timedelta(days=14 * count + 1)
    episode = Episode.objects.create(patient=person, opened_at=began, opened_by=who)
    for step in range(count):
        visit = Visit.objects.create(patient=person, clinician=who, episode=episode)
        wide = 60 - 30 * step // count
        recorded.draw(
            visit, ("back", "ache", ("l2", "l5", "psis"), wide), (*recorded.SHOULDER_ACHE[:3], wide)
        )
        at = timezone.now() - timedelta(days=14 * (count - step))
        signed = at if step + 1 < count else None
        Visit.objects.filter(pk=visit.pk).update(started_at=at, signed_at=signed)
    return person


def _asked_for(who: Any, name: str, person: Any) -> tuple[float, float, int]:
    """ms of the first request, median ms of those after it, queries of the last."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.urls import reverse

    client = Client(headers={"host": "localhost"})
    client.force_login(who)
    times = []
    for _ in range(1 + ROUNDS):
        with CaptureQueriesContext(connection) as asked:
            start = time.perf_counter()
            answer = client.get(reverse(name, args=[person.pk]))
            times.append(1000 * (time.perf_counter() - start))
        assert answer.status_code == 200, (name, answer.status_code)  # noqa: S101
    return times[0], statistics.median(times[1:]), len(asked)


if __name__ == "__main__":
    print("\n".join(lines()))

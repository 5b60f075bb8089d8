"""The course takes as many queries for a hundred visits as for one."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.charting import recorded
from tests.charting.progress import courses


def queries(client, url: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        assert client.get(url).status_code == 200
    return len(seen)


def test_a_hundred_visits_take_no_more_queries_than_one(practice, mara, as_mara):
    as_mara.get("/patients/")  # what is cached once is cached
    counts = []
    for number, visits in enumerate((1, 20, 100)):
        person = recorded.patient(practice, number=number + 5)
        episode, _ = courses.many(person, mara, visits)
        discharge = f"/patients/{person.pk}/episodes/{episode.pk}/discharge/"
        counts.append((queries(as_mara, f"/patients/{person.pk}/progress/"), queries(as_mara, discharge)))
    assert len(set(counts)) == 1
    assert counts[0][0] <= 27

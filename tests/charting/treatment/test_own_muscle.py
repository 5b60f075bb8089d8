"""A muscle that the practice added: consent names areas, so the clinician says in which one it lies."""

import pytest
from django.urls import reverse

from charting.treatment.queries import entries_of
from tests.charting import recorded
from tests.charting.patterns import drawn

SENT = {"technique": "pressure", "dose_seconds": "60", "after": "0"}


@pytest.fixture
def own(visit):
    return drawn.a_version(visit.patient.practice).pattern


def test_its_form_asks_for_the_area_and_says_so_when_it_is_missing(visit, own, as_mara):
    url = reverse("treatment", args=[visit.pk])
    shown = as_mara.get(url, {"place": f"{own}.right", "technique": "pressure"}).content.decode()
    assert 'name="lies_in"' in shown
    answer = as_mara.post(f"{url}add/", {**SENT, "place": f"{own}.right"})
    assert answer.status_code == 422 and "Choose the area it lies in" in answer.content.decode()


def test_consent_to_that_area_on_that_side_covers_it(visit, own, as_mara):
    url = reverse("treatment", args=[visit.pk])
    sent = {**SENT, "place": f"{own}.right", "lies_in": "arm"}
    recorded.agree(visit, "manual", "arm left")
    assert "does not name the right upper arm" in as_mara.post(f"{url}add/", sent).content.decode()
    recorded.agree(visit, "manual", "arm right")
    assert as_mara.post(f"{url}add/", sent).status_code == 302
    (row,) = entries_of(visit)
    assert (row.muscle, row.side, row.area) == (own, "right", "arm")

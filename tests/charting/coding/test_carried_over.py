"""The codes of the last visit are taken over by one tap, each checked anew."""

import uuid

import pytest
from django.urls import reverse

from charting.coding import services
from charting.coding.models import DiagnosisCode
from charting.coding.queries import codes_of
from charting.visits.models import Visit
from charting.visits.services import start
from tests.charting import recorded

pytestmark = pytest.mark.django_db


@pytest.fixture
def first(anna, mara) -> Visit:
    return start(who=mara, patient=anna, clinician=mara, id=uuid.uuid4())


@pytest.fixture
def second(first) -> Visit:
    return Visit.objects.create(patient=first.patient, clinician=first.clinician, episode=first.episode)


def carry(client, visit: Visit) -> str:
    return client.post(reverse("codes-carry", args=[visit.pk]), follow=True).content.decode()


def codes(visit: Visit) -> list[str]:
    return [row.code for row in codes_of(visit)]


def choose(visit: Visit, *chosen: str, reason: str = "") -> None:
    for code in chosen:
        services.choose(who=visit.clinician, visit=visit, code=code, reason=reason)


def test_one_tap_takes_them_in_their_order(as_mara, first, second):
    choose(first, "M54.2", "M79.18")
    assert "Take over these 2 codes" in as_mara.get(reverse("codes", args=[second.pk])).content.decode()
    page = carry(as_mara, second)
    assert "Taken over: M54.2, M79.18." in page and codes(second) == ["M54.2", "M79.18"]
    assert "At the last visit" not in page
    carry(as_mara, second)
    assert codes(second) == ["M54.2", "M79.18"]


def test_one_that_is_excluded_by_what_is_chosen_is_left_and_named(as_mara, first, second):
    choose(first, "M54.2", "M79.18")
    choose(second, "M79.7")
    page = carry(as_mara, second)
    assert codes(second) == ["M79.7", "M54.2"]
    assert "M79.18 was not taken over." in page and "may not stand together" in page


def test_the_reason_comes_along_only_for_the_same_caution(as_mara, first, second):
    recorded.draw(first, recorded.SHOULDER_ACHE)
    choose(first, "M25.512", reason="Drawn on the wrong side.")
    recorded.draw(second, recorded.SHOULDER_ACHE)
    carry(as_mara, second)
    assert codes_of(second)[0].reason == "Drawn on the wrong side."


def test_one_that_something_speaks_against_now_waits_for_a_reason(as_mara, first, second):
    choose(first, "M25.512")
    recorded.draw(second, recorded.SHOULDER_ACHE)
    page = carry(as_mara, second)
    assert codes(second) == [] and "M25.512 was not taken over." in page


def test_a_code_the_list_does_not_have_any_more_is_left_and_named(as_mara, first, second):
    said = {"title": "Gone", "release": "April 2020", "chosen_by": first.clinician, "position": 0}
    DiagnosisCode.objects.create(visit=first, code="M54.59X", **said)
    assert "has no code “M54.59X”" in carry(as_mara, second) and codes(second) == []

"""What other parts read of codes: of a visit, of an episode, for the note."""

import uuid

import pytest
from django.template.loader import render_to_string

from charting.coding.models import DiagnosisCode
from charting.coding.queries import codes_of, codes_of_episode, last_codes_before
from charting.report.coded import coded
from charting.templatetags.steps import steps_of
from charting.visits.models import Visit
from charting.visits.services import start

pytestmark = pytest.mark.django_db


def put(visit: Visit, *codes: str, **more: object) -> None:
    for position, code in enumerate(codes):
        said = {"title": f"Title of {code}", "release": "April 2026", "chosen_by": visit.clinician, **more}
        DiagnosisCode.objects.create(visit=visit, code=code, position=position, **said)


def begun(visit: Visit) -> Visit:
    """A further visit about the same complaint."""
    return Visit.objects.create(patient=visit.patient, clinician=visit.clinician, episode=visit.episode)


@pytest.fixture
def first(anna, mara) -> Visit:
    return start(who=mara, patient=anna, clinician=mara, id=uuid.uuid4())


def test_it_keeps_the_order_with_the_main_one_first(first, django_assert_num_queries):
    put(first, "M79.18", "M54.2")
    with django_assert_num_queries(1):
        assert [row.code for row in codes_of(first)] == ["M79.18", "M54.2"]
    assert [one["is_main"] for one in coded(first)] == [True, False]


def test_it_tells_each_code_of_an_episode_once(first):
    second = begun(first)
    put(first, "M79.18", "M54.2")
    put(second, "M54.2", "M79.12")
    told = codes_of_episode(first.episode)
    assert [one.code for one in told] == ["M54.2", "M79.12", "M79.18"]
    assert [one.is_current for one in told] == [True, True, False]
    assert [one.is_main for one in told] == [True, False, False]
    assert told[0].visits == 2 and told[0].first == first.started_at and told[0].last == second.started_at


def test_it_finds_the_codes_of_the_last_visit_that_has_any(first):
    second, third = begun(first), begun(first)
    put(first, "M79.18")
    assert [row.code for row in last_codes_before(third)] == ["M79.18"]
    put(second, "M54.2")
    assert [row.code for row in last_codes_before(third)] == ["M54.2"]
    assert last_codes_before(first) == ()


def test_the_rail_says_how_many_are_chosen(first):
    put(first, "M79.18", "M54.2")
    assert {step.url: step.done for step in steps_of(first)}["codes"] == "2 chosen"


def test_it_prints_codes_titles_and_why_one_was_kept(first):
    put(first, "M79.12", cautions=["Nothing is drawn at the neck."], reason="Felt on turning only.")
    page = render_to_string("report/_codes.html", {"note": {"codes": coded(first)}})
    for words in ("M79.12", "Title of M79.12", "Nothing is drawn", "Felt on turning only.", "April 2026"):
        assert words in page
    assert render_to_string("report/_codes.html", {"note": {}}).strip() == ""

"""The page of codes: search, choosing, what is refused and what is named instead, order, the last visit."""

import pytest
from django.urls import reverse

from charting.assessment.models import Conclusion
from charting.coding.models import DiagnosisCode
from charting.coding.queries import codes_of
from charting.visits.models import Visit
from tests.charting import recorded

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit(blank) -> Visit:
    """Nothing drawn, found or concluded yet."""
    return blank


def url(visit: Visit, name: str = "codes") -> str:
    return reverse(name, args=[visit.pk])


def choose(client, visit: Visit, code: str, **more: str):
    return client.post(url(visit, "codes-choose"), {"code": code, **more})


def codes(visit: Visit) -> list[str]:
    return [row.code for row in codes_of(visit)]


def test_nothing_is_chosen_beforehand_and_the_page_says_what_its_list_is(as_mara, visit):
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    page = as_mara.get(url(visit)).content.decode()
    assert "None is chosen yet" in page and "A list to look through only" in page
    assert "M79.18" in page and "M25.511" in page and "M25.512" not in page
    assert codes(visit) == []


def test_it_finds_without_script_and_with(as_mara, visit):
    whole = as_mara.get(url(visit), {"q": "myalgia other"}).content.decode()
    piece = as_mara.get(url(visit), {"q": "myalgia other"}, HTTP_HX_REQUEST="true").content.decode()
    assert "<html" in whole and "<html" not in piece
    assert 'value="M79.18"' in whole and 'value="M79.18"' in piece


def test_it_chooses_a_code_with_the_title_and_release_of_the_list(as_mara, visit):
    answer = choose(as_mara, visit, "m7918")
    assert answer.status_code == 302
    row = codes_of(visit)[0]
    assert (row.code, row.title, row.release) == ("M79.18", "Myalgia, other site", "April 2026")
    assert choose(as_mara, visit, "M79.18").status_code == 302
    assert codes(visit) == ["M79.18"]


# Reference of the trade (tabular list, checked): M54.5 and M79.1 have codes below them and can't be billed.
@pytest.mark.parametrize(
    ("code", "better"),
    [("M54.5", ("M54.50", "M54.51", "M54.59")), ("M79.1", ("M79.12", "M79.18")), ("S13.4", ("S13.4XXA",))],
)
def test_one_that_cannot_be_billed_is_refused_and_better_ones_are_named(as_mara, visit, code, better):
    answer = choose(as_mara, visit, code, q="back pain")
    page = answer.content.decode()
    assert answer.status_code == 422 and "not specific enough" in page and codes(visit) == []
    assert all(f'value="{one}"' in page for one in better)
    assert 'value="back pain"' in page


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ("M79.18", "M79.7", "fibromyalgia (M79.7)"),
        ("M54.12", "M50.122", "radiculopathy with cervical disc disorder (M50.1)"),
        ("G54.0", "M54.12", "(M54.1-)"),
    ],
)
def test_two_that_exclude_each_other_are_refused_with_both_named(as_mara, visit, first, second, words):
    for one, other in ((first, second), (second, first)):
        DiagnosisCode.objects.all().delete()
        assert choose(as_mara, visit, one, reason="").status_code == 302
        answer = choose(as_mara, visit, other)
        page = answer.content.decode()
        assert answer.status_code == 422 and "may not stand together" in page and words in page
        assert first in page and second in page and codes(visit) == [one]


def test_two_that_go_together_are_taken(as_mara, visit):
    choose(as_mara, visit, "M79.18")
    assert choose(as_mara, visit, "M54.2").status_code == 302
    assert codes(visit) == ["M79.18", "M54.2"]


def test_another_thing_by_the_list_is_told_and_taken(as_mara, visit):
    choose(as_mara, visit, "M25.511")
    choose(as_mara, visit, "M79.601")
    assert codes(visit) == ["M25.511", "M79.601"]
    assert "two different things" in as_mara.get(url(visit)).content.decode()


def test_an_unknown_code_is_refused_with_what_stands_near(as_mara, visit):
    answer = choose(as_mara, visit, "M79.19")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "has no code “M79.19”" in page and 'value="M79.18"' in page
    assert choose(as_mara, visit, "<b>").status_code == 422
    assert choose(as_mara, visit, "").status_code == 422


def test_what_speaks_against_it_is_said_and_a_reason_keeps_it(as_mara, visit):
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    answer = choose(as_mara, visit, "M25.512")
    page = answer.content.decode()
    assert answer.status_code == 422 and codes(visit) == []
    assert "M25.512 is for the left side" in page and 'value="M25.511"' in page
    assert choose(as_mara, visit, "M25.512", reason="Drawn on the wrong side.").status_code == 302
    row = codes_of(visit)[0]
    assert row.reason == "Drawn on the wrong side." and "left side" in row.cautions[0]


def test_a_reason_too_long_is_kept_as_typed(as_mara, visit):
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    answer = choose(as_mara, visit, "M25.512", reason="x" * 501)
    page = answer.content.decode()
    assert answer.status_code == 422 and "x" * 501 in page and "here are 501" in page


def test_neck_muscles_have_their_own_code(as_mara, visit):
    """Site trap of the reference: neck goes to M79.12, other places to M79.18."""
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    recorded.feel(visit, [("splenius_capitis", "right", "", "yes yes yes yes", 5, {}, "")])
    page = choose(as_mara, visit, "M79.18").content.decode()
    assert "M79.18 is for muscles other than those of jaw, head and neck" in page
    assert 'value="M79.12"' in page
    assert choose(as_mara, visit, "M79.12").status_code == 302


def test_a_source_that_is_ruled_out_speaks_for_nothing(as_mara, visit):
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    said = recorded.source("root", "C6", "likely", "Nerve root C6")
    row = Conclusion.objects.create(visit=visit, sources=[said])
    assert 'value="M54.12"' in as_mara.get(url(visit)).content.decode()
    row.sources = [{**said, "certainty": "ruled_out"}]
    row.save()
    assert 'value="M54.12"' not in as_mara.get(url(visit)).content.decode()


def test_the_order_is_the_clinicians(as_mara, visit):
    for code in ("M79.18", "M54.2", "R20.2"):
        choose(as_mara, visit, code)
    as_mara.post(url(visit, "codes-move"), {"code": "R20.2", "to": "first"})
    assert codes(visit) == ["R20.2", "M79.18", "M54.2"]
    as_mara.post(url(visit, "codes-move"), {"code": "M54.2", "to": "up"})
    assert codes(visit) == ["R20.2", "M54.2", "M79.18"]
    as_mara.post(url(visit, "codes-remove"), {"code": "R20.2"})
    assert [(row.code, row.position) for row in codes_of(visit)] == [("M54.2", 0), ("M79.18", 1)]


def test_what_is_gone_meanwhile_is_said(as_mara, visit):
    answer = as_mara.post(url(visit, "codes-remove"), {"code": "M54.2"}, follow=True)
    assert "not among the codes any more" in answer.content.decode()


def test_a_drawing_that_changed_cautions_anew(as_mara, visit):
    choose(as_mara, visit, "M25.512")
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    page = as_mara.get(url(visit)).content.decode()
    assert "New since it was chosen" in page
    choose(as_mara, visit, "M25.512", reason="Both hurt.")
    page = as_mara.get(url(visit)).content.decode()
    assert "New since it was chosen" not in page and "Both hurt." in page


def test_a_signed_visit_shows_its_codes_and_takes_none(as_mara, visit):
    choose(as_mara, visit, "M54.2")
    Visit.objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    page = as_mara.get(url(visit)).content.decode()
    assert "M54.2" in page and "Find a code" not in page and "Take out" not in page
    assert choose(as_mara, visit, "R20.2").status_code == 403
    assert codes(visit) == ["M54.2"]


def test_codes_of_another_practice_cannot_be_seen(as_ines, visit):
    assert as_ines.get(url(visit)).status_code == 404
    assert choose(as_ines, visit, "M54.2").status_code == 404

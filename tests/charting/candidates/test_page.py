"""The ranked page."""

import re

import pytest
from django.urls import reverse

from charting.candidates.pages import root_caution
from charting.history import danger_screen
from charting.history.models import DangerAnswer
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import signed_in


def page(client, visit, query=""):
    return client.get(reverse("candidates", args=[visit.pk]) + query)


def text(response) -> str:
    return response.content.decode()


@pytest.fixture
def fresh(anna, mara) -> Visit:
    """Drawn, but nothing else."""
    visit = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    return visit


def test_it_ranks_nothing_before_the_danger_screen_is_complete(as_mara, fresh):
    recorded.answer_danger_screen(fresh)
    DangerAnswer.objects.filter(visit=fresh).last().delete()
    response = page(as_mara, fresh, "?pick=infraspinatus.right")
    assert response.context["page"].lines is None
    assert reverse("danger-screen", args=[fresh.pk]) in text(response)
    assert 'class="line"' not in text(response)
    assert "data-zone" not in text(response)


def test_it_names_infraspinatus_among_the_first_three(as_mara, fresh):
    """A front-of-shoulder and lateral-arm ache: Kwon et al., Ann Rehabil Med 2017;41:573-581."""
    recorded.answer_danger_screen(fresh)
    lines = page(as_mara, fresh).context["page"].lines
    assert ("Infraspinatus", "right") in [(line.name, line.side) for line in lines[:3]]


def test_it_says_why_beside_each_line(as_mara, fresh):
    recorded.answer_danger_screen(fresh)
    first = page(as_mara, fresh).context["page"].lines[0]
    assert "of the core zone" in first.words
    assert "of the drawing" in first.words
    assert first.words in text(page(as_mara, fresh))


@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_it_puts_an_alarm_with_what_to_do_above_the_ranking(as_mara, fresh, answer):
    question = danger_screen.load().questions[0]
    recorded.answer_danger_screen(fresh, **{question.id: answer})
    shown = text(page(as_mara, fresh))
    assert shown.index(question.on_yes[:40]) < shown.index('class="candidates"')


def test_it_shows_the_best_twelve_and_all_when_asked(as_mara, visit):
    short, whole = (page(as_mara, visit, query).context["page"] for query in ("", "?all=1"))
    assert len(short.lines) == 12
    assert short.not_shown > 0
    assert len(whole.lines) == 12 + short.not_shown
    assert whole.lines[:12] == short.lines


def test_it_puts_the_plain_sentence_beside_a_nerve_root(as_mara, visit):
    """69.7 % of cervical roots were felt outside their dermatome: Murphy et al. 2009."""
    response = page(as_mara, visit)
    assert [line.root for line in response.context["page"].roots] == ["C6"]
    assert "69.7" in root_caution()["words"]
    assert root_caution()["words"] in text(response)
    assert "Murphy" in text(response)
    assert "examine before needling" in text(response)


def test_it_says_so_when_nothing_is_drawn(as_mara, anna, mara):
    empty = Visit.objects.create(patient=anna, clinician=mara)
    recorded.answer_danger_screen(empty)
    response = page(as_mara, empty)
    assert response.context["page"].lines == ()
    assert response.context["page"].notices[0] in text(response)


def test_it_writes_the_patients_sides_on_both_views(as_mara, visit):
    front, back = page(as_mara, visit).context["page"].views
    assert (front.left_side, front.right_side) == ("Patient's right", "Patient's left")
    assert (back.left_side, back.right_side) == ("Patient's left", "Patient's right")
    shown = re.sub(r"<[^>]+>", "", text(page(as_mara, visit)))
    assert shown.count("Patient's right") == shown.count("Patient's left") == 2


def test_it_shows_the_legs_as_soon_as_something_is_drawn_there(as_mara, fresh):
    recorded.answer_danger_screen(fresh)
    assert page(as_mara, fresh).context["page"].legs_hidden
    recorded.draw(fresh, recorded.CALF_BURNING)
    assert not page(as_mara, fresh).context["page"].legs_hidden


def test_it_is_closed_to_another_practice_and_to_the_desk(visit, ines, poll):
    assert page(signed_in(ines), visit).status_code == 404
    assert page(signed_in(poll), visit).status_code == 404


def test_it_opens_to_a_colleague(visit, tom):
    assert page(signed_in(tom), visit).status_code == 200


def test_it_asks_the_database_as_often_for_a_full_drawing_as_for_one_stroke(
    as_mara, visit, fresh, django_assert_max_num_queries
):
    recorded.answer_danger_screen(fresh)
    page(as_mara, fresh)
    with django_assert_max_num_queries(40) as one_stroke:
        page(as_mara, fresh)
    with django_assert_max_num_queries(40) as many:
        page(as_mara, visit)
    assert len(one_stroke) == len(many)

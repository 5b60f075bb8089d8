"""Several areas on the ranked page: the whole by what explains it, and each alone."""

import re

import pytest
from django.urls import reverse

from bodymaps import atlas, explain, matching
from charting.candidates.pages import WhatToExamine
from charting.drawing.areas import told
from charting.drawing.queries import drawing_of
from charting.history.models import DangerAnswer
from charting.visits.models import Visit
from tests.charting import recorded


@pytest.fixture
def ask(as_mara, visit):
    def answer(query: str = "", of: Visit = visit, **headers: str):
        return as_mara.get(reverse("candidates", args=[of.pk]) + query, **headers)

    return answer


def page_of(response) -> WhatToExamine:
    return response.context["page"]


def test_it_offers_the_whole_and_each_of_the_areas(ask):
    page = page_of(ask())
    assert [(choice.label, choice.is_chosen) for choice in page.choices] == [
        ("The whole", True),
        ("Area 1", False),
        ("Area 2", False),
        ("Area 3", False),
    ]
    assert [choice.is_chosen for choice in page_of(ask("?area=2")).choices] == [False, False, True, False]


def test_it_orders_the_whole_by_what_explains_it(ask, visit):
    found = explain.explain([area.marks for area in told(drawing_of(visit)).areas], atlas.load())
    page = page_of(ask("?all=1"))
    named = [(line.name.lower(), line.side) for line in page.lines]
    assert named == [(line.name.lower(), line.side) for line in found.whole]
    assert set(found.sentences) <= set(page.explained[1:])
    assert re.search(r"\(areas? 1", page.explained[0])


def test_it_says_which_areas_a_muscle_explains(ask):
    lines = page_of(ask()).lines
    assert all(re.search(r"(explains|reaches) area \d \(\d+ %\)", line.words) for line in lines)
    assert any(line.words.startswith("explains area 1 (") for line in lines)
    assert not any("reaches area 1 (" in line.words and "explains area 1" in line.words for line in lines)


def test_it_says_the_smallest_set_above_the_muscles(ask):
    shown = ask().content.decode()
    for sentence in page_of(ask()).explained:
        assert sentence in shown
        assert shown.index(sentence) < shown.index("<h2>Muscles</h2>")


def test_it_ranks_one_area_as_if_it_were_drawn_alone(ask, visit):
    area = told(drawing_of(visit)).areas[0]
    alone = matching.rank(area.marks, atlas.load(), something_drawn=True)
    page = page_of(ask("?area=1&all=1"))
    assert [(line.name.lower(), line.side) for line in page.lines] == [
        (match.name.lower(), match.side) for match in alone.muscles
    ]
    assert page.about == area.words
    assert "of area 1" in page.lines[0].words


def test_it_keeps_the_other_areas_in_sight_but_faint(ask):
    front, back = page_of(ask("?area=1")).views
    faint = [mark.kind for view in (front, back) for mark in view.areas if mark.is_faint]
    full = [mark.kind for view in (front, back) for mark in view.areas if not mark.is_faint]
    assert (sorted(faint), full) == (["pressure", "tingling"], ["ache"])
    assert [badge.number for view in (front, back) for badge in view.badges] == [1, 2, 3]


@pytest.mark.parametrize("area", ["0", "9", "-1", "two", "²", "99999999999999999999"])
def test_an_area_that_there_is_not_is_the_whole(ask, area):
    assert page_of(ask(f"?area={area}")).choices[0].is_chosen


def test_a_link_to_a_pick_stays_with_the_area(ask):
    shown = ask("?area=2&all=1").content.decode()
    picks = re.findall(r'class="line" href="([^"]+)"', shown)
    assert picks
    assert all(link.endswith("&amp;area=2&amp;all=1") for link in picks)
    piece = ask("?pick=infraspinatus.right&area=2", HTTP_HX_REQUEST="true").content.decode()
    sites = re.findall(r'hx-get="([^"]+)"', piece)
    assert sites
    assert all(link.endswith("&amp;area=2") for link in sites)


def test_one_area_is_ranked_as_a_drawing_without_areas(ask, anna, mara):
    one = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(one, recorded.SHOULDER_ACHE)
    recorded.answer_danger_screen(one)
    page = page_of(ask(of=one))
    assert (page.choices, page.about) == ((), "")
    assert "explain" in page.explained[0]
    assert [badge for view in page.views for badge in view.badges] == []
    ranked = matching.rank(drawing_of(one).marks, atlas.load(), something_drawn=True)
    assert [line.side for line in page.lines] == [match.side for match in ranked.muscles[:12]]


def test_it_explains_nothing_before_the_danger_screen_is_complete(ask, visit):
    DangerAnswer.objects.filter(visit=visit).last().delete()
    page = page_of(ask("?area=1"))
    assert (page.lines, page.choices, page.explained) == (None, (), [])
    assert "ranked-what" not in ask("?area=1").content.decode()

"""What is urgent is said before anything is ranked: organs felt in the place that is drawn."""

import html
import re

import pytest
from django.urls import reverse

from charting.history.models import DangerAnswer
from charting.visits.models import Visit
from tests.charting import recorded

# Behind the breastbone: the heart, among others (Swap CJ, Nagurney JT, JAMA 2005;294:2623-9, from memory).
BREASTBONE = ("front", "ache", ("sternum_mid", "xiphoid"), 30)
LEGS = (
    ("front", "ache", ("thigh_upper", "thigh_lower"), 60),
    ("front", "ache", ("tibial_tuberosity", "shin_lower"), 60),
    ("back", "ache", ("thigh_upper", "thigh_lower"), 60),
    ("back", "ache", ("calf_mid", "achilles"), 60),
)


@pytest.fixture
def drawn(anna, mara):
    def visit(*strokes) -> Visit:
        one = Visit.objects.create(patient=anna, clinician=mara)
        recorded.draw(one, *strokes)
        recorded.answer_danger_screen(one)
        return one

    return visit


@pytest.fixture
def ask(as_mara):
    def answer(visit: Visit, query: str = "") -> str:
        return as_mara.get(reverse("candidates", args=[visit.pk]) + query).content.decode()

    return answer


def test_an_urgent_organ_is_named_above_all_that_is_ranked(ask, drawn):
    shown = ask(drawn(BREASTBONE))
    named = shown.index("Heart (angina, myocardial infarction)")
    assert shown.index('id="exclude-first"') < named < shown.index("The fewest that explain the drawing")
    assert named < shown.index('class="candidates"')


def test_what_there_is_only_one_of_is_named_without_a_side(ask, drawn):
    shown = ask(drawn(BREASTBONE)).partition('id="exclude-first"')[2].partition("</section>")[0]
    assert "infarction)</a>" in shown and ", left" not in shown


def test_a_root_is_named_as_it_is_written(ask, drawn):
    numb = ("back", "numbness", ("coccyx", "ischial_tuberosity"), 36)
    shown = ask(drawn(numb))
    assert "S4-S5" in shown and ">S4_5" not in shown


def test_it_is_named_though_it_is_one_small_area_of_many(ask, drawn):
    visit = drawn(BREASTBONE, *LEGS)
    shown = ask(visit)
    assert "Exclude first" in shown
    # So it is while a harmless area is looked at.
    assert all("Exclude first" in ask(visit, f"?area={area}") for area in (1, 2))


def test_its_name_leads_to_what_points_to_it(ask, drawn):
    visit = drawn(BREASTBONE, *LEGS)
    links = re.findall(r'href="(\?[^"#]*)#felt-there"', ask(visit))
    assert links
    for link in links:
        facts = ask(visit, html.unescape(link))
        assert "May need a physician the same day. Follow your local pathway." in facts


def test_nothing_is_to_be_excluded_first_where_no_urgent_organ_is_felt(ask, drawn):
    assert "Exclude first" not in ask(drawn(*LEGS))


def test_it_waits_for_the_danger_screen_as_all_else(ask, drawn):
    visit = drawn(BREASTBONE)
    DangerAnswer.objects.filter(visit=visit).last().delete()
    assert "Exclude first" not in ask(visit)

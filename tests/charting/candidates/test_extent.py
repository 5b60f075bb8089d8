"""How far the drawn pain reaches, on the page and in the note. Numbers: tests/bodymaps/test_extent.py."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from bodymaps import extent
from charting.candidates.extents import ON_FIGURE, extent_of
from charting.drawing.queries import drawing_of
from charting.history.models import Story
from charting.report.content import assemble
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import signed_in


def page(client, visit):
    return client.get(reverse("candidates", args=[visit.pk]))


@pytest.fixture
def fresh(anna, mara) -> Visit:
    """Drawn and screened, no story."""
    visit = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    recorded.answer_danger_screen(visit)
    return visit


def sized(visit, height="170", weight="70") -> None:
    Story.objects.create(visit=visit, height_cm=Decimal(height), weight_kg=Decimal(weight))


def test_the_page_says_percent_regions_quadrants_and_sites(as_mara, fresh):
    found = extent.extent(drawing_of(fresh).marks)
    said = page(as_mara, fresh).context["page"].extent
    assert said.percent == f"{found.percent:.1f} %"
    assert said.regions == found.reach.regions
    assert said.quadrants == "upper right"
    assert said.sites == f"{len(found.reach.sites)} of 19"
    assert "right shoulder girdle" in said.named_sites
    text = page(as_mara, fresh).content.decode()
    for words in (said.short, said.by_view, said.named_sites, said.note):
        assert words in text


def test_without_height_and_weight_it_says_where_to_enter_them(as_mara, fresh):
    response = page(as_mara, fresh)
    assert response.context["page"].extent.cm2 == ""
    assert f'href="{reverse("story", args=[fresh.pk])}"' in response.content.decode()
    assert "Needs height and weight" in response.content.decode()


def test_with_height_and_weight_it_gives_cm2_by_both_formulas(as_mara, fresh):
    """170 cm, 70 kg: 1.8181 m² by Mosteller 1987, 1.8097 m² by Du Bois 1916."""
    sized(fresh)
    percent = extent.extent(drawing_of(fresh).marks).percent
    said = page(as_mara, fresh).context["page"].extent.cm2
    assert said == (
        f"{percent * 181.81:.0f} cm² (Mosteller) or {percent * 180.97:.0f} cm² (Du Bois) "
        f"of this patient's skin, at 170 cm and 70 kg; {ON_FIGURE}"
    )
    assert said in unescape(page(as_mara, fresh).content.decode())


def test_one_of_the_two_alone_gives_no_cm2(as_mara, fresh):
    Story.objects.create(visit=fresh, height_cm=Decimal(170))
    assert page(as_mara, fresh).context["page"].extent.cm2 == ""


def test_each_condition_of_widespread_pain_is_answered_by_area(as_mara, fresh):
    said = page(as_mara, fresh).context["page"].extent
    assert [(one.name, one.meets) for one in said.conditions] == [
        ("ACR 1990", False),
        ("2016 criteria, generalised pain", False),
        ("WP2019", False),
    ]
    assert "elsewhere" in said.note


def test_nothing_drawn_has_no_extent(as_mara, blank):
    recorded.answer_danger_screen(blank)
    assert extent_of(blank, ()) is None
    assert page(as_mara, blank).context["page"].extent is None
    assert "Extent:" not in page(as_mara, blank).content.decode()


def test_it_waits_for_the_danger_screen_like_everything_on_the_page(as_mara, anna, mara):
    visit = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(visit, recorded.SHOULDER_ACHE)
    assert "Extent:" not in page(as_mara, visit).content.decode()


def test_somebody_of_another_practice_sees_none_of_it(as_poll, fresh):
    assert page(as_poll, fresh).status_code == 404


def test_the_note_holds_sizes_and_extent(fresh, mara):
    sized(fresh, "172.5", "70")
    content = assemble(fresh)
    assert (content["story"]["height_cm"], content["story"]["weight_kg"]) == ("172.5", "70")
    held = content["drawing"]["extent"]
    assert held["percent"] == f"{content['drawing']['surface_percent']} %"
    assert "at 172.5 cm and 70 kg" in held["cm2"]
    text = signed_in(mara).get(reverse("note", args=[fresh.pk])).content.decode()
    assert held["cm2"] in unescape(text)
    assert "Height 172.5 cm, weight 70 kg" in text


def test_a_note_of_a_visit_without_pain_holds_no_extent(blank):
    assert assemble(blank)["drawing"]["extent"] is None

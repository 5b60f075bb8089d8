"""The page after drawing: every area is asked about, nothing is chosen beforehand, no chart is shown."""

import json
import re

import pytest
from django.test import Client

from bodymaps import parts
from charting.drawing.asking import AreasPage
from charting.drawing.models import AreaAnswer, Grouping
from charting.history.models import Story
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import signed_in


@pytest.fixture
def device(visit, mara) -> Client:
    """Mara's device in the hands of the patient."""
    client = signed_in(mara)
    client.post(f"/visits/{visit.pk}/hand-over/")
    client.post("/board/confirm/", {"is_me": "yes"})
    return client


def at_staff(client: Client, visit: Visit, query: str = ""):
    return client.get(f"/visits/{visit.pk}/drawing/areas/{query}")


def page_of(response) -> AreasPage:
    return response.context["page"]


def text(response) -> str:
    return response.content.decode()


def test_it_asks_about_every_area_and_each_kind_in_it(as_mara, visit):
    cards = page_of(at_staff(as_mara, visit)).cards
    assert [[scale.label for scale in card.now] for card in cards] == [
        ["Ache"],
        ["Tingling"],
        ["Pressure or tightness"],
    ]
    assert [card.number for card in cards] == [1, 2, 3]
    assert all(card.figures for card in cards)


def test_nothing_is_chosen_beforehand(as_mara, visit):
    assert not re.search(r"<input[^>]* checked", text(at_staff(as_mara, visit)))


def test_it_shows_what_was_said_before(as_mara, visit):
    said = {"now": {"tingling": 0}, "least": 0, "course": "varies", "since": 'a "long" while'}
    recorded.say_of_areas(visit, {2: said}, link={2: ("together", 3)}, cleared=["knee left"])
    shown = text(at_staff(as_mara, visit))
    chosen = re.findall(r'<input[^>]* name="([\w-]+)" value="([\w-]+)"[^>]* checked', shown)
    assert chosen == [
        ("area-2-now-tingling", "0"),
        ("area-2-least", "0"),
        ("area-2-course", "varies"),
        ("area-2-link", "together"),
        ("area-2-which", "3"),
    ]
    assert 'value="a &quot;long&quot; while"' in shown
    assert re.findall(r'data-part="([\w ]+)" checked', shown) == ["knee left"]


def test_it_remarks_gently_on_numbers_that_contradict_each_other(as_mara, visit):
    recorded.say_of_areas(visit, {1: {"now": {"ache": 3}, "least": 8}})
    shown = text(at_staff(as_mara, visit))
    remarks = re.findall(r"data-contradicts( hidden)?>", shown)
    assert remarks == ["", " hidden", " hidden"]


def test_parts_that_are_drawn_on_are_not_to_be_ticked(as_mara, visit):
    page = page_of(at_staff(as_mara, visit))
    offered = [tick.key for row in page.parts for tick in row.ticks]
    assert {"shoulder right", "hand right", "neck"}.isdisjoint(offered)
    assert {"shoulder left", "hand left", "knee right"} <= set(offered)
    assert set(offered) <= set(parts.KEYS)
    assert "Sole of foot" in [row.label for row in page.parts]


def test_an_area_of_one_piece_cannot_be_split(as_mara, visit):
    assert all(card.pieces == () for card in page_of(at_staff(as_mara, visit)).cards)
    assert "data-split" not in text(at_staff(as_mara, visit))


def test_an_area_of_several_pieces_offers_each_with_a_letter_that_stands_on_the_figure(as_mara, visit, mara):
    merge(as_mara, visit, 1, 2)
    card = page_of(at_staff(as_mara, visit)).cards[0]
    assert [piece.letter for piece in card.pieces] == ["a", "b"]
    assert [piece.words.split(",")[0] for piece in card.pieces] == ["Ache", "Tingling"]
    assert [letter for figure in card.figures for letter, _ in figure.letters] == ["a", "b"]
    assert sum(len(json.loads(piece.strokes)) for piece in card.pieces) == len(json.loads(card.strokes))


def merge(client: Client, visit: Visit, *numbers: int) -> None:
    cards = page_of(at_staff(client, visit)).cards
    ids = [each for card in cards if card.number in numbers for each in json.loads(card.strokes)]
    event = {"type": "group", "id": "0b4cbb53-7d8f-4a8e-8a43-0d6d2f3f9f01", "seq": 90}
    sent = {"events": [{**event, "strokes": ids, "together": True}]}
    answer = client.post(
        f"/visits/{visit.pk}/drawing/save/?layer=helper", json.dumps(sent), content_type="application/json"
    )
    assert answer.json()["refused"] == []


def test_the_patient_gets_the_same_page_addressed_to_them(device, visit):
    response = device.get("/board/areas/")
    page = page_of(response)
    assert [card.number for card in page.cards] == [1, 2, 3]
    assert page.yours
    shown = re.sub(r"<[^>]+>", "", text(response))
    assert "Your right" in shown and "Patient" not in shown
    assert (page.urls["save"], page.urls["board"], page.urls["done"]) == (
        "/board/save/",
        "/board/",
        "/board/done/",
    )


def test_it_shows_nothing_of_the_chart_to_the_patient(device, visit):
    shown = text(device.get("/board/areas/"))
    story = Story.objects.get(visit=visit)
    for secret in (story.complaint, story.history, "Infraspinatus", "1042", f"/visits/{visit.pk}", "Steiner"):
        assert secret not in shown, secret


def test_a_helper_is_not_spoken_to_as_the_patient(visit, mara):
    client = signed_in(mara)
    client.post(f"/visits/{visit.pk}/hand-over/", {"drawn_by": "helper", "helper": "daughter"})
    client.post("/board/confirm/", {"is_me": "yes"})
    response = client.get("/board/areas/")
    assert not page_of(response).yours
    assert "Patient's" in text(response) and "Your right" not in text(response)


def test_it_waits_until_name_and_birth_date_were_found_right(visit, as_mara):
    as_mara.post(f"/visits/{visit.pk}/hand-over/")
    assert as_mara.get("/board/areas/").headers["Location"] == "/board/"


def test_an_answer_of_the_patient_is_kept_on_their_layer(device, visit):
    (card, *_) = page_of(device.get("/board/areas/")).cards
    event = {"type": "area", "id": "5f0e2f9a-5f1d-4be6-9f0f-0f9c8bb9a001", "seq": 91}
    sent = {"events": [{**event, "strokes": json.loads(card.strokes), "answers": {"now": {"ache": 4}}}]}
    answer = device.post("/board/save/", json.dumps(sent), content_type="application/json")
    assert answer.json()["refused"] == []
    assert AreaAnswer.objects.get(visit=visit).drawn_by == "patient"


def test_a_decision_of_the_staff_is_kept_on_the_layer_they_write_on(as_mara, visit):
    merge(as_mara, visit, 1, 3)
    assert Grouping.objects.get(visit=visit).drawn_by == "helper"
    assert [card.number for card in page_of(at_staff(as_mara, visit)).cards] == [1, 2]


def test_with_nothing_drawn_free_parts_can_still_be_ticked(as_mara, blank):
    page = page_of(at_staff(as_mara, blank))
    assert page.cards == ()
    assert len([tick for row in page.parts for tick in row.ticks]) == len(parts.KEYS)


def test_a_signed_visit_is_asked_nothing(as_mara, visit):
    Visit.objects.filter(pk=visit.pk).update(signed_at="2026-05-04T10:00:00Z")
    response = at_staff(as_mara, visit)
    assert response.status_code == 302
    assert response.headers["Location"] == f"/visits/{visit.pk}/drawing-step/"

"""The drawing as a step of the visit: what is there, in pictures and in words, and who draws next."""

import uuid

from charting.drawing.models import StoredStroke
from charting.drawing.queries import drawing_of, state_of_drawing
from charting.drawing.services import save_events
from charting.handover import services as handover
from tests.charting.drawing.strokes import answer, stroke, withdrawal


def url(visit):
    return f"/visits/{visit.pk}/drawing-step/"


def draw(visit, mara, *sent):
    assert not save_events(who=mara, visit=visit, drawn_by="patient", sent=sent).refused


def test_it_says_when_nothing_is_drawn(blank, as_mara):
    assert "Nothing is drawn yet." in as_mara.get(url(blank)).content.decode()


def test_it_tells_what_is_drawn_in_words_and_by_whom(visit, as_mara):
    page = as_mara.get(url(visit)).content.decode()
    assert "The patient" in page and "Drawn for the patient" not in page
    assert "Ache: " in page and "right" in page and "cm²" in page
    assert page.count('<svg class="view"') == 2


def test_it_shows_no_pain_today(blank, as_mara, mara):
    draw(blank, mara, answer(1, no_pain=True))
    page = as_mara.get(url(blank)).content.decode()
    assert "No pain today" in page and "Nothing is drawn yet." not in page


def test_findings_alone_are_no_drawing_of_pain(blank, mara):
    finding = stroke(1, kind="tender_spot")
    assert not save_events(who=mara, visit=blank, drawn_by="clinician", sent=[finding]).refused
    assert state_of_drawing(blank) == ""
    assert drawing_of(blank).is_empty and drawing_of(blank).marks


def test_its_state_counts_only_what_still_stands(blank, mara):
    assert state_of_drawing(blank) == ""
    first = stroke(1)
    draw(blank, mara, first)
    assert state_of_drawing(blank) == "drawn"
    draw(blank, mara, withdrawal(2, first["id"]))
    assert state_of_drawing(blank) == ""
    draw(blank, mara, stroke(3, mode="erase", kind=None), answer(4, no_pain=True))
    assert state_of_drawing(blank) == "no pain"


def test_it_lets_who_only_reads_hand_over_but_not_draw(blank, as_vera):
    page = as_vera.get(url(blank)).content.decode()
    assert "Hand the device" in page and "Draw what the patient shows" not in page


def test_the_board_of_a_signed_visit_does_not_open(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.get(f"/visits/{blank.pk}/drawing/").headers["Location"] == url(blank)


def layers(page):
    """Each layer of the page with the kinds its sentences begin with."""
    return {
        each.id: [sentence.split(":")[0] for sentence in each.sentences]
        for each in page.context["page"].layers
    }


def test_it_tells_whose_lines_are_whose(blank, as_mara, mara):
    draw(blank, mara, stroke(1))
    for layer, kind in (("helper", "burning"), ("clinician", "less_feeling")):
        sent = [stroke(2, kind=kind, points=40)]
        assert not save_events(who=mara, visit=blank, drawn_by=layer, sent=sent).refused
    page = as_mara.get(url(blank))
    assert list(layers(page)) == ["patient", "helper", "clinician"]
    assert [words[0].split(" on ")[0] for words in layers(page).values()] == [
        "Ache",
        "Burning",
        "Less feeling",
    ]
    text = page.content.decode()
    for layer in ("patient", "helper", "clinician"):
        assert f'data-show="{layer}"' in text and f'<g data-drawn="{layer}">' in text


def test_one_layer_needs_no_choice_of_layers(visit, as_mara):
    assert "data-show" not in as_mara.get(url(visit)).content.decode()


def test_it_tells_when_a_layer_was_drawn(visit, as_mara):
    at = StoredStroke.objects.earliest("received_at").received_at.astimezone(visit.patient.practice.zone)
    assert f"{at.day} {at:%B} {at.year}, {at:%H:%M}" in as_mara.get(url(visit)).content.decode()


def test_it_names_who_helped(blank, as_mara, mara):
    held, _ = handover.hand_over(who=mara, visit=blank, drawn_by="helper", helper="interpreter")
    handover.save(held=held, sent=[stroke(1)], waiting=1, who=held)
    assert "Drawn for the patient: interpreter" in as_mara.get(url(blank)).content.decode()


def test_it_offers_every_way_to_draw(blank, as_mara):
    page = as_mara.get(url(blank)).content.decode()
    for way in (
        "/hand-over/",
        "/drawing/?layer=helper",
        "/drawing/",
        "/drawing/sheets/",
        "/drawing-sheet.pdf",
    ):
        assert f'"/visits/{blank.pk}{way}"' in page


def test_a_signed_visit_offers_none(visit, as_mara):
    type(visit).objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    page = as_mara.get(url(visit)).content.decode()
    for way in ("/hand-over/", "/drawing/", "/drawing/sheets/", "/drawing/move/", "/drawing-sheet.pdf"):
        assert f'"/visits/{visit.pk}{way}' not in page


def test_it_tells_what_was_said_about_each_area_the_worst_spot_and_where_nothing_is(blank, as_mara, mara):
    line = stroke(1, points=60)
    said = {"now": {"ache": 6}, "least": 2, "most": 8, "course": "comes_and_goes"}
    spot = {**stroke(4), "mode": "spot", "kind": None, "points": [[320, 330, 0.5, 0]]}
    area = {"type": "area", "id": str(uuid.uuid4()), "seq": 2, "strokes": [line["id"]], "answers": said}
    free = {"type": "cleared", "id": str(uuid.uuid4()), "seq": 3, "parts": ["neck", "knee left"]}
    draw(blank, mara, line, area, free, spot)
    page = as_mara.get(url(blank)).content.decode()
    assert "Area 1: " in page and "Ache <strong>6</strong> of 10" in page
    assert "<li>At its least 2 of 10, at its most 8 of 10</li><li>Comes and goes</li>" in page
    assert "Worst spot: " in page and "data-spot" in page
    assert "Nothing here" in page and "Neck</li>" in page and "Left knee</li>" in page
    assert '<g data-badge="1" data-drawn="patient">' in page

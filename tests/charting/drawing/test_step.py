"""The drawing as a step of the visit: what is there, in pictures and in words, and who draws next."""

from charting.drawing.queries import state_of_drawing
from charting.drawing.services import save_events
from tests.charting.drawing.strokes import answer, stroke, withdrawal


def url(visit):
    return f"/visits/{visit.pk}/drawing-step/"


def draw(visit, mara, *sent):
    assert not save_events(who=mara, visit=visit, drawn_by="patient", sent=sent).refused


def test_it_says_when_nothing_is_drawn(blank, as_mara):
    assert "Nothing is drawn yet." in as_mara.get(url(blank)).content.decode()


def test_it_tells_what_is_drawn_in_words_and_by_whom(visit, as_mara):
    page = as_mara.get(url(visit)).content.decode()
    assert "The patient" in page and "Somebody who helps" not in page
    assert "Ache: " in page and "right" in page and "cm²" in page
    assert page.count('<svg class="view"') == 2


def test_it_shows_no_pain_today(blank, as_mara, mara):
    draw(blank, mara, answer(1, no_pain=True))
    page = as_mara.get(url(blank)).content.decode()
    assert "No pain today" in page and "Nothing is drawn yet." not in page


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

"""A drawing from paper, entered afterwards: every line of it says so, and says from which paper."""

import uuid
from datetime import date, timedelta

import pytest
from django.utils import timezone

from charting.drawing.models import PaperSheet, StoredStroke
from charting.drawing.queries import description_of
from charting.moving.services import move_drawing
from charting.notes.queries import recorded_in
from tests.charting.drawing.strokes import events, stroke

ANSWER = "On paper, 4 May 2026, entered by Mara Steiner"


def url(visit):
    return f"/visits/{visit.pk}/drawing/sheets/"


def form(**others):
    day = {"drawn_on_day": "4", "drawn_on_month": "May", "drawn_on_year": "2026"}
    return {"id": str(uuid.uuid4()), "drawn_by": "patient", "helper": "", **day, **others}


@pytest.fixture
def board(blank, as_mara) -> str:
    """The address of the board on which a paper of the daughter is copied."""
    sent = form(drawn_by="helper", helper="daughter")
    return as_mara.post(url(blank), sent).headers["Location"]


def draw(client, board, *sent):
    save = board.replace("/drawing/?", "/drawing/save/?")
    told = client.post(save, events(*sent), content_type="application/json").json()
    assert not told["refused"], told


def test_it_opens_the_board_of_who_drew_on_the_paper(blank, as_mara, board):
    sheet = PaperSheet.objects.get()
    assert board == f"/visits/{blank.pk}/drawing/?sheet={sheet.pk}"
    data = as_mara.get(board).context["board"]
    assert data["layer"] == "helper" and str(sheet.pk) in data["urls"]["save"]
    assert data["heading"] == f"Anna Keller, born 3 May 1978. {ANSWER}"


def test_every_line_names_its_paper_and_lies_on_the_layer_of_who_drew(as_mara, board):
    draw(as_mara, board, stroke(1), stroke(2, view="back"))
    sheet = PaperSheet.objects.get()
    assert {(row.sheet, row.drawn_by) for row in StoredStroke.objects.all()} == {(sheet, "helper")}
    assert (sheet.drawn_on, sheet.helper, sheet.entered_by.username) == (
        date(2026, 5, 4),
        "daughter",
        "mara",
    )


def test_page_note_and_description_say_that_it_came_from_paper(blank, as_mara, board):
    draw(as_mara, board, stroke(1))
    for page in ("drawing-step", "note"):
        shown = as_mara.get(f"/visits/{blank.pk}/{page}/").content.decode()
        assert f"Daughter, {ANSWER[0].lower()}{ANSWER[1:]}" in shown
    said = f"{ANSWER}. Drawn by: helper (daughter)."
    assert description_of(blank)[-1] == said
    assert recorded_in(blank)["drawing"]["papers"] == [said]


def test_a_drawing_on_the_board_says_nothing_of_paper(visit):
    assert recorded_in(visit)["drawing"]["papers"] == []
    assert not any("paper" in sentence for sentence in description_of(visit))


def test_an_unfinished_paper_is_gone_on_with_where_it_stood(blank, as_mara, board):
    for page in ("drawing-step/", "drawing/sheets/"):
        assert board in as_mara.get(f"/visits/{blank.pk}/{page}").content.decode()
    first = stroke(1)
    draw(as_mara, board, first)
    data = as_mara.get(board).context["board"]
    assert [(each["id"], each["own"]) for each in data["strokes"]] == [(first["id"], True)]
    assert data["next_seq"] == 2


def test_a_second_tap_makes_no_second_paper(blank, as_mara):
    sent = form()
    first, again = (as_mara.post(url(blank), sent).headers["Location"] for _ in range(2))
    assert first == again and PaperSheet.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"drawn_by": ""}, "Choose who drew."),
        ({"drawn_by": "clinician"}, "Select a valid choice"),
        ({"drawn_by": "helper"}, "Say who helped"),
        ({"drawn_on_day": ""}, "Enter the day."),
        ({"drawn_on_month": "Smarch"}, "The month must be a number from 1 to 12"),
        ({"drawn_on_month": "Feb", "drawn_on_day": "30"}, "February 2026 has no day 30."),
        ({"drawn_on_year": "0000"}, "year"),
        ({"drawn_on_year": "2999"}, "must not be in the future"),
        ({"drawn_on_day": "2", "drawn_on_year": "1978"}, "must not be before the date of birth"),
    ],
    ids=str,
)
def test_it_names_what_to_mend(blank, as_mara, wrong, why):
    response = as_mara.post(url(blank), form(**wrong))
    assert response.status_code == 422
    assert why in response.content.decode()
    assert not PaperSheet.objects.exists()


def test_it_takes_a_paper_from_the_day_of_birth_up_to_today(blank, as_mara):
    today = timezone.localdate(timezone=blank.patient.practice.zone)
    for day in (blank.patient.birth_date, today):
        parts = {"drawn_on_day": day.day, "drawn_on_month": day.month, "drawn_on_year": day.year}
        assert as_mara.post(url(blank), form(**parts)).status_code == 302
    tomorrow = today + timedelta(days=1)
    parts = {"drawn_on_day": tomorrow.day, "drawn_on_month": tomorrow.month, "drawn_on_year": tomorrow.year}
    assert as_mara.post(url(blank), form(**parts)).status_code == 422


def test_a_signed_visit_takes_no_paper(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=timezone.now())
    assert "is signed" in as_mara.get(url(blank)).content.decode()
    assert as_mara.post(url(blank), form()).status_code == 403
    assert not PaperSheet.objects.exists()


def test_a_paper_of_another_visit_opens_no_board_here(visit, blank, as_mara, board):
    elsewhere = board.replace(str(blank.pk), str(visit.pk))
    assert as_mara.get(elsewhere).status_code == 404
    assert as_mara.get(f"/visits/{blank.pk}/drawing/?sheet=7").status_code == 404


@pytest.mark.parametrize("is_begun", [True, False])
def test_a_paper_of_a_struck_drawing_can_not_be_gone_on_with(blank, mara, as_mara, board, is_begun):
    draw(as_mara, board if is_begun else f"/visits/{blank.pk}/drawing/?layer=helper", stroke(1))
    move_drawing(who=mara, visit=blank, to=None, reason="Another person's.")
    assert as_mara.get(board).status_code == 404
    assert board not in as_mara.get(f"/visits/{blank.pk}/drawing-step/").content.decode()

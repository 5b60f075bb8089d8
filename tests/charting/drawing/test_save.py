"""Strokes are the record: kept as drawn, in any order, once; limits are told in plain words."""

import json
import random

import pytest

from bodymaps.strokes import LIMITS
from charting.drawing.models import BoardAnswer, StoredStroke, Withdrawal
from charting.drawing.queries import drawing_of
from charting.drawing.services import save_events
from tests.charting.drawing.strokes import answer, events, stroke, withdrawal


@pytest.fixture
def save(blank, as_mara):
    """Sends events and gives the decoded answer."""

    def send(*sent):
        url = f"/visits/{blank.pk}/drawing/save/?layer=helper"
        response = as_mara.post(url, events(*sent), content_type="application/json")
        assert response.status_code == 200
        return response.json()

    return send


def shown(visit):
    return [(each.seq, each.view, each.points) for each in drawing_of(visit).strokes]


def test_it_keeps_a_stroke_as_it_was_drawn(save, blank):
    sent = stroke(1, points=40, nib_mm=22.5)
    assert save(sent) == {"saved": [sent["id"]], "refused": []}
    row = StoredStroke.objects.get()
    assert (str(row.event_id), row.seq, row.view, row.kind, row.mode) == (
        sent["id"],
        1,
        "front",
        "ache",
        "shade",
    )
    assert (row.nib_mm, row.points, row.drawn_by) == (22.5, sent["points"], "helper")


@pytest.mark.parametrize("seed", range(5))
def test_it_gives_the_same_drawing_whatever_the_order_and_however_often_it_arrives(save, blank, mara, seed):
    order = random.Random(seed)
    first, second, third = stroke(1), stroke(2, kind="burning", nib_mm=12), stroke(4)
    sent = [first, second, withdrawal(3, first["id"]), third, answer(5, ache=4), answer(6, ache=7)]
    sent += [withdrawal(7, second["id"]), withdrawal(8, second["id"], restores=True)]
    arriving = sent + order.choices(sent, k=12)
    order.shuffle(arriving)
    for each in arriving:
        assert save(each)["saved"] == [each["id"]]
    drawing = drawing_of(blank)
    assert [each.id for each in drawing.strokes] == [second["id"], third["id"]]
    assert drawing.intensities == {"ache": 7}
    counts = [table.objects.count() for table in (StoredStroke, Withdrawal, BoardAnswer)]
    assert counts == [3, 3, 2]


def test_painting_follows_the_order_of_drawing_and_not_of_arrival(save, blank):
    rubbed = stroke(2, mode="erase", kind=None, nib_mm=60)
    painted = stroke(1)
    save(rubbed)
    save(painted)
    assert drawing_of(blank).marks == ()


def test_it_refuses_the_same_id_with_another_body(save):
    sent = stroke(1)
    save(sent)
    told = save({**sent, "nib_mm": 31})
    assert told["saved"] == []
    assert told["refused"] == [{"id": sent["id"], "why": "this entry was saved before with another content"}]
    assert StoredStroke.objects.get().nib_mm == 30


def test_one_bad_entry_does_not_take_the_others_along(save):
    good, bad = stroke(1), stroke(2, view="side")
    told = save(bad, good)
    assert told["saved"] == [good["id"]]
    assert "view" in told["refused"][0]["why"]


@pytest.mark.parametrize("nothing", [None, 7, "stroke", [], [1]], ids=json.dumps)
def test_an_entry_that_is_no_object_does_not_take_the_others_along(save, nothing):
    good = stroke(1)
    told = save(nothing, good)
    assert told["saved"] == [good["id"]]
    assert told["refused"] == [{"id": "", "why": "an entry must be an object with a type"}]


def test_it_takes_a_visit_up_to_its_strokes_and_no_further(blank, mara):
    most = LIMITS.strokes_per_visit
    outcome = save_events(
        who=mara, visit=blank, drawn_by="patient", sent=[stroke(n, points=2) for n in range(1, most + 1)]
    )
    assert len(outcome.saved) == most == 400
    more = save_events(who=mara, visit=blank, drawn_by="patient", sent=[stroke(most + 1, points=2)])
    assert more.saved == () and "400 strokes" in more.refused[0][1]
    assert StoredStroke.objects.count() == 400


def test_it_counts_strokes_that_were_taken_back_too(blank, mara):
    sent = [stroke(n, points=2) for n in range(1, 401)]
    save_events(who=mara, visit=blank, drawn_by="patient", sent=sent)
    taken = withdrawal(401, sent[0]["id"])
    assert save_events(who=mara, visit=blank, drawn_by="patient", sent=[taken]).saved
    assert not save_events(who=mara, visit=blank, drawn_by="patient", sent=[stroke(402)]).saved


def test_a_resend_takes_no_room(blank, mara):
    sent = [stroke(n, points=2) for n in range(1, 401)]
    save_events(who=mara, visit=blank, drawn_by="patient", sent=sent[:399])
    again = save_events(who=mara, visit=blank, drawn_by="patient", sent=sent)
    assert len(again.saved) == 400 and not again.refused


def test_it_takes_a_stroke_up_to_its_points_and_no_further(blank, mara):
    fits, too_long = stroke(1, points=1000), stroke(2, points=1001)
    outcome = save_events(who=mara, visit=blank, drawn_by="patient", sent=[fits, too_long])
    assert outcome.saved == (fits["id"],)
    assert "1,000" in outcome.refused[0][1] or "1000" in outcome.refused[0][1]


def test_it_takes_a_visit_up_to_its_points_and_no_further(blank, mara):
    full = [stroke(n, points=1000) for n in range(1, 21)]
    assert len(save_events(who=mara, visit=blank, drawn_by="patient", sent=full).saved) == 20
    one = stroke(21, points=1)
    outcome = save_events(who=mara, visit=blank, drawn_by="patient", sent=[one])
    assert outcome.saved == () and "20,000 points" in outcome.refused[0][1]


@pytest.mark.parametrize(("nib", "kept"), [(1, 1), (60, 1), (0.9, 0), (60.1, 0), (True, 0), ("30", 0)])
def test_it_takes_a_nib_from_1_to_60_mm(save, nib, kept):
    assert len(save(stroke(1, nib_mm=nib))["saved"]) == kept


def test_it_reads_a_request_up_to_its_size_and_no_further(blank, as_mara, settings):
    url = f"/visits/{blank.pk}/drawing/save/?layer=helper"
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    assert most == LIMITS.bytes_per_request == 256 * 1024
    body = events(stroke(1))
    fits = body + " " * (most - len(body))
    assert as_mara.post(url, fits, content_type="application/json").status_code == 200
    body = events(stroke(2))
    refused = as_mara.post(url, body + " " * (most + 1 - len(body)), content_type="application/json")
    assert refused.status_code == 413
    assert refused.json() == {"error": "Nothing of this was saved: a request holds at most 256 KB."}
    assert StoredStroke.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    ["", "{", "[]", "7", '{"events": 7}', '{"events": [{"type": "answer", "seq": NaN}]}', "[" * 5000],
)
def test_it_says_that_it_could_not_read_what_is_no_drawing(blank, as_mara, body):
    url = f"/visits/{blank.pk}/drawing/save/"
    response = as_mara.post(url, body, content_type="application/json")
    assert response.status_code == 400
    assert response.json()["error"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"type": "erase everything"},
        {"id": "7"},
        {"seq": 0},
        {"seq": 1.5},
        {"seq": True},
        {"kind": "joy"},
        {"mode": "spray"},
        {"points": []},
        {"points": [[1, 2, 0.5]]},
        {"points": [["a", 2, 0.5, 0]]},
    ],
    ids=json.dumps,
)
def test_it_refuses_in_plain_words_what_no_board_sends(save, wrong):
    told = save({**stroke(1), **wrong})
    assert told["saved"] == []
    assert len(told["refused"][0]["why"]) > 10
    assert not StoredStroke.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [answer(1, ache=11), answer(1, ache=-1), answer(1, joy=3), {**answer(1), "no_pain": "yes"}],
    ids=["over ten", "under nothing", "no kind", "no answer"],
)
def test_it_refuses_an_answer_off_the_scale(save, wrong):
    assert save(wrong)["saved"] == []
    assert not BoardAnswer.objects.exists()


def test_it_takes_no_more_once_the_visit_is_signed(save, blank):
    before, after = stroke(1), stroke(2)
    save(before)
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert save(after)["refused"][0]["why"] == "this visit is signed; its drawing can't change any more"
    assert save(before)["saved"] == [before["id"]]  # a resend of what is kept is harmless still
    assert StoredStroke.objects.count() == 1


def test_it_keeps_pressure_and_time_for_the_record(save, blank):
    save(stroke(1, points=2))
    assert [point[2:] for point in StoredStroke.objects.get().points] == [[0.5, 0], [0.5, 1]]
    assert shown(blank)[0][0] == 1

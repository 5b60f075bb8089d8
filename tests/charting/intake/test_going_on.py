"""Interrupted, and gone on with on another device: at the same screen, with everything; the later answer
counts, whenever the earlier one arrives, and nothing is lost.
"""

import json

import pytest
from django.test import Client
from django.utils import timezone

from charting.drawing.models import StoredStroke
from charting.handover.models import HandOver
from charting.intake.queries import readings_of
from charting.outcomes.models import OutcomeScore
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.drawing.strokes import events, stroke
from tests.charting.intake.conftest import ALL, rate, read
from tests.charting.telling.conftest import answer, handed_over, tap


def on(client) -> str:
    """Where the device leads somebody who goes on."""
    return client.get("/board/on/", follow=True).redirect_chain[-1][0]


def last() -> Telling:
    return Telling.objects.order_by("begun_at").last()


@pytest.fixture
def second(blank, mara):
    """Makes the other device, handed over for the same."""
    return lambda **more: handed_over(blank, mara, **{**ALL, **more})


class TestWhereItStopped:
    def test_in_the_story(self, device, second):
        answer(device, "answering", who_answers="patient")
        answer(device, "trauma", trauma="no")
        other = second()
        assert on(other) == "/board/story/cord/"
        shown = other.get("/board/story/trauma/").context["page"].questions[0]
        assert [option.value for option in shown.options if option.is_chosen] == ["no"]

    def test_after_the_story_at_the_drawing_with_its_strokes(self, device, second):
        answer(device, "danger", go="draw", fever="no")
        device.post("/board/save/", events(stroke(1)), content_type="application/json")
        other = second()
        assert on(other) == "/board/"
        assert len(other.get("/board/").context["board"]["strokes"]) == 1
        assert StoredStroke.objects.count() == 1

    def test_in_the_scores(self, device, second):
        answer(device, "danger", go="draw", fever="no")
        rate(device, "nprs-average", 5)
        rate(device, "psfs-1", name="Typing")
        other = second()
        assert on(other) == "/board/scores/psfs-2/"
        assert other.get("/board/scores/psfs-1/").context["page"].name == "Typing"
        shown = other.get("/board/scores/nprs-average/").context["page"].numbers
        assert [number.value for number in shown if number.is_chosen] == ["5"]

    def test_in_the_reading_with_what_was_half_written(self, device, second):
        answer(device, "danger", go="draw", fever="no")
        read(device, 1)
        device.post(
            "/board/reading/examination/2/",
            {"go": "stay", "question": "May my"},
            headers={"Accept": "application/json"},
        )
        other = second()
        assert on(other) == "/board/reading/examination/2/"
        page = other.get("/board/reading/examination/2/").context["page"]
        assert page.form["question"].value() == "May my"

    def test_once_all_is_through_it_begins_anew_with_the_answers_in_place(self, device, second):
        answer(device, "fever", go="draw", fever="no")
        device.post("/board/reading/end/", {"go": "done"})
        assert on(device) == "/board/done/"
        assert on(second()) == "/board/story/who_answers/"
        assert last().answers == {"fever": "no"}

    def test_what_the_clinician_has_read_is_not_gone_on_with(self, device, second):
        answer(device, "danger", fever="no")
        Telling.objects.update(settled_at=timezone.now())
        assert on(second()) == "/board/story/who_answers/"

    def test_who_helps_begins_a_story_of_their_own(self, device, second):
        answer(device, "danger", fever="no")
        assert on(second(drawn_by="helper", helper="daughter")) == "/board/story/who_answers/"

    def test_the_clinician_reads_one_telling(self, device, second, blank, as_mara):
        answer(device, "beginning", onset="sudden")
        answer(device, "chest", chest="yes")
        other = second()
        answer(other, "onset", onset="gradual")
        [told] = as_mara.get(f"/visits/{blank.pk}/told/").context["page"].unread
        rows = {row.key: row.told for part in told.parts for row in part.rows}
        assert rows == {"onset": "little by little"}
        assert [row.told for row in told.dangers if row.is_raised] == ["Yes"]
        assert as_mara.get("/").content.decode().count("answered yes to: Heart") == 1


class TestArrivingLater:
    @pytest.fixture
    def other(self, device, second) -> Client:
        """The second device, on which the fever was answered anew; the first is still on."""
        answer(device, "fever", fever="no")
        other = second()
        answer(other, "fever", fever="unsure")
        return other

    def test_it_counts_where_nothing_was_answered_anew(self, device, other):
        assert tap(device, "onset", onset="sudden").status_code == 200
        assert last().answers == {"fever": "unsure", "onset": "sudden"}

    def test_it_never_takes_the_place_of_a_newer_answer_and_is_shown_as_late(
        self, device, other, blank, as_mara
    ):
        tap(device, "fever", fever="yes")
        assert last().answers == {"fever": "unsure"}
        page = as_mara.get(f"/visits/{blank.pk}/told/").context["page"]
        said = [row.told for told in page.unread for row in told.dangers if row.is_raised]
        assert sorted(said) == ["Not sure", "Yes"]

    def test_an_answer_taken_back_there_later_stays_taken_back(self, device, other):
        tap(other, "fever")
        tap(device, "fever", fever="yes")
        assert last().answers == {}
        assert Telling.objects.order_by("begun_at").first().late == ["fever"]

    def test_passing_by_what_was_not_answered_is_no_answer(self, device, other):
        answer(other, "cancer")
        tap(device, "cancer", cancer="yes")
        assert last().answers["cancer"] == "yes"

    def test_it_reaches_the_last_of_three_devices(self, device, other, second):
        third = second()
        answer(third, "weight_loss", weight_loss="no")
        tap(device, "onset", onset="sudden")
        assert last().answers == {"fever": "unsure", "weight_loss": "no", "onset": "sudden"}
        tap(device, "weight_loss", weight_loss="yes")
        assert last().answers["weight_loss"] == "no"

    def test_an_older_score_never_takes_the_place_of_a_newer_one(self, device, other, blank):
        rate(other, "nprs-now", 4)
        rate(device, "nprs-now", 9)
        rate(device, "nprs-worst", 9)
        assert OutcomeScore.objects.get(visit=blank).answers == {"now": 4, "worst": 9}
        kept = Telling.objects.order_by("begun_at").first().typed
        assert kept == {"late:scores/nprs-now": {"name": "", "value": 9}}


def entry(screen, **fields):
    pairs = [
        [name, one]
        for name, value in fields.items()
        for one in ([value] if isinstance(value, str) else value)
    ]
    return {"id": f"told:{screen}", "seq": 1, "type": "told", "screen": screen, "fields": pairs}


def send(client, url, *sent):
    body = json.dumps({"events": list(sent), "waiting": len(sent)})
    return client.post(url, body, content_type="application/json")


class TestLeftOnTheDevice:
    """What a device kept, sealed, because it had no connection: see static/js/questions.js."""

    @pytest.fixture
    def ended(self, device) -> HandOver:
        answer(device, "fever", fever="no")
        device.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
        return HandOver.objects.get()

    def test_the_device_itself_sends_it(self, device):
        sent = send(
            device, "/board/late/", entry("cancer", cancer="yes"), entry("scores/nprs-now", value="7")
        )
        assert sent.json() == {"saved": ["told:cancer", "told:scores/nprs-now"], "refused": []}
        assert last().answers == {"cancer": "yes"}
        assert OutcomeScore.objects.get().answers == {"now": 7}

    def test_staff_who_sign_in_there_send_it_although_it_was_taken_back(self, ended, as_mara, blank):
        sent = send(
            as_mara,
            f"/hand-overs/{ended.pk}/late/",
            entry("day_course", day_course=["morning", "evening"], morning_stiffness="20"),
            entry("scores/nprs-worst", value="9"),
            entry("reading/examination/2", question="May my daughter stay?"),
        )
        assert sent.json()["refused"] == []
        assert last().answers == {
            "fever": "no",
            "day_course": ["morning", "evening"],
            "morning_stiffness": 20,
        }
        row = OutcomeScore.objects.get(visit=blank)
        assert row.answers == {"worst": 9} and row.said_by == "patient"
        assert readings_of(blank)["examination"].questions == ("May my daughter stay?",)

    def test_an_assistant_sends_it_too_and_what_only_who_treats_may_put_is_kept_beside(self, ended, as_poll):
        sent = send(as_poll, f"/hand-overs/{ended.pk}/late/", entry("scores/nprs-worst", value="9"))
        assert sent.json()["refused"] == [] and not OutcomeScore.objects.exists()
        assert last().typed == {"late:scores/nprs-worst": {"name": "", "value": 9}}

    def test_it_does_not_change_what_the_clinician_has_read(self, ended, as_mara, blank):
        Telling.objects.update(settled_at=timezone.now(), taken=["fever"])
        send(as_mara, f"/hand-overs/{ended.pk}/late/", entry("fever", fever="yes"))
        assert last().answers == {"fever": "no"} and last().typed == {"late:fever": {"fever": "yes"}}
        words = as_mara.get(f"/visits/{blank.pk}/told/").content.decode()
        assert "came later" in words and "Infection" in words

    def test_another_practice_finds_nothing(self, ended, as_ines):
        assert send(as_ines, f"/hand-overs/{ended.pk}/late/", entry("fever", fever="yes")).status_code == 404
        assert last().answers == {"fever": "no"}

    def test_a_signed_visit_refuses_it_with_the_reason(self, ended, as_mara, blank):
        Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        sent = send(as_mara, f"/hand-overs/{ended.pk}/late/", entry("fever", fever="yes"))
        assert "signed" in sent.json()["refused"][0]["why"] and last().answers == {"fever": "no"}

    @pytest.mark.parametrize(
        "bad",
        [
            7,
            {"id": "x"},
            {"id": "x", "screen": "nowhere", "fields": []},
            {"id": "x", "screen": "fever", "fields": {"fever": "yes"}},
            {"id": "x", "screen": "fever", "fields": [["fever", 7]]},
            {"id": "x", "screen": "reading/nowhere/1", "fields": []},
            {"id": "x", "screen": "reading/examination/one", "fields": []},
        ],
    )
    def test_what_cannot_be_read_is_refused_and_the_rest_is_kept(self, bad, device):
        sent = send(device, "/board/late/", bad, entry("fever", fever="yes"))
        assert sent.json()["saved"] == ["told:fever"] and len(sent.json()["refused"]) == 1

    def test_without_a_token_nothing_is_taken(self, blank):
        assert send(Client(), "/board/late/", entry("fever", fever="yes")).status_code == 403
        assert not Telling.objects.exists()

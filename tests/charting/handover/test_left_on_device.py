"""What a board could not send: counted, told to the clinician, and sent by staff of the same practice."""

import base64
import json

import pytest
from django.test import Client
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.drawing.models import StoredStroke
from charting.handover.models import HandOver
from tests.charting import recorded
from tests.charting.drawing.strokes import stroke


@pytest.fixture
def device(blank, mara) -> Client:
    """Mara's device in the hands of somebody who helps and who found name and birth date right."""
    client = Client()
    client.force_login(mara)
    client.post(f"/visits/{blank.pk}/hand-over/", {"drawn_by": "helper", "helper": "daughter"})
    client.post("/board/confirm/", {"is_me": "yes"})
    return client


@pytest.fixture
def ended(device, mara) -> HandOver:
    """That hand-over, after the device was given back."""
    sign_in(device)
    return HandOver.objects.get()


def send(client, url, *sent, **more):
    body = json.dumps({"events": sent, **more})
    return client.post(url, body, content_type="application/json")


def sign_in(client, **more):
    return client.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD, **more})


class TestCounted:
    def test_it_keeps_how_many_the_device_still_has(self, device):
        assert send(device, "/board/save/", stroke(1), stroke(2), waiting=7).status_code == 200
        row = HandOver.objects.get()
        assert row.waiting == 5 and row.heard_at is not None

    def test_signing_in_tells_how_many_wait(self, device):
        sign_in(device, waiting="3")
        assert HandOver.objects.get().waiting == 3
        assert AuditEntry.objects.get(action="took back").detail["waiting"] == 3

    def test_signing_in_with_none_waiting_says_that_all_arrived(self, device):
        send(device, "/board/save/", stroke(1), waiting=4)
        sign_in(device, waiting="0")
        assert HandOver.objects.get().waiting == 0

    @pytest.mark.parametrize("said", ["", "-1", "2.5", "many", "9" * 30, "\u0663"])
    def test_what_is_no_count_changes_nothing_and_lets_in(self, said, device):
        send(device, "/board/save/", stroke(1), waiting=4)
        assert sign_in(device, waiting=said).status_code == 302
        row = HandOver.objects.get()
        assert row.waiting == 3 and row.ended_at is not None

    def test_the_page_to_sign_in_has_a_place_for_it(self, client):
        page = client.get("/sign-in/").content.decode()
        assert 'name="waiting" data-waiting' in page and "data-left-here" in page


class TestSentByStaff:
    def key(self, held):
        return f"/hand-overs/{held.pk}/key/"

    def rest(self, held):
        return f"/hand-overs/{held.pk}/rest/"

    def test_another_practice_finds_nothing(self, ended, as_ines):
        assert as_ines.get(self.key(ended)).status_code == 404
        assert send(as_ines, self.rest(ended), stroke(1)).status_code == 404
        assert not StoredStroke.objects.exists()

    def test_nobody_signed_in_is_led_to_sign_in(self, ended):
        assert Client().get(self.key(ended)).headers["Location"].startswith("/sign-in/")
        assert send(Client(), self.rest(ended), stroke(1)).headers["Location"].startswith("/sign-in/")
        assert not StoredStroke.objects.exists()

    def test_the_key_is_the_one_the_board_had_and_asking_is_written_down(
        self, device, as_mara, as_poll, poll
    ):
        had = device.get("/board/").context["board"]["device"]
        held = HandOver.objects.get()
        assert as_mara.get(self.key(held)).json() == had
        assert len(base64.b64decode(had["key"])) == 32
        assert as_poll.get(self.key(held)).json() == had
        assert AuditEntry.objects.filter(action="opened device key", actor=poll).count() == 1

    def test_another_hand_over_has_another_key(self, ended, blank, mara, as_mara):
        other = HandOver.objects.create(
            visit=blank, given_by=mara, token_sha256="1", expires_at=timezone.now()
        )
        keys = {as_mara.get(self.key(each)).json()["key"] for each in (ended, other)}
        assert len(keys) == 2

    def test_it_is_saved_on_the_layer_of_who_drew_although_the_device_was_given_back(
        self, ended, blank, as_poll, poll
    ):
        drawn = stroke(1)
        answer = send(as_poll, self.rest(ended), drawn, waiting=1)
        assert answer.json() == {"saved": [drawn["id"]], "refused": []}
        row = StoredStroke.objects.get()
        assert (row.visit, row.drawn_by) == (blank, "helper")
        assert AuditEntry.objects.get(action="drew").actor_id == poll.pk

    def test_once_sent_nothing_waits_any_more(self, ended, as_mara):
        HandOver.objects.update(waiting=2)
        send(as_mara, self.rest(ended), stroke(1), waiting=2)
        assert HandOver.objects.get().waiting == 1
        send(as_mara, self.rest(ended), stroke(2), waiting=1)
        assert HandOver.objects.get().waiting == 0

    def test_for_a_signed_visit_it_is_refused_with_a_plain_reason(self, ended, blank, as_mara):
        type(blank).objects.filter(pk=blank.pk).update(signed_at=timezone.now())
        drawn = stroke(1)
        answer = send(as_mara, self.rest(ended), drawn, waiting=1)
        why = "this visit is signed; its drawing can't change any more"
        assert answer.json() == {"saved": [], "refused": [{"id": drawn["id"], "why": why}]}
        assert not StoredStroke.objects.exists() and HandOver.objects.get().waiting == 0

    def test_what_cannot_be_read_names_the_problem(self, ended, as_mara):
        answer = as_mara.post(self.rest(ended), "no json", content_type="application/json")
        assert answer.status_code == 400 and answer.json()["error"]


def test_a_device_whose_visit_is_signed_meanwhile_is_told_why(device, blank):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=timezone.now())
    [refused] = send(device, "/board/save/", stroke(1)).json()["refused"]
    assert "this visit is signed" in refused["why"]

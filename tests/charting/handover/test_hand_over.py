"""The device is with the patient: one visit's board is open on it, and nothing of the practice."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.drawing.models import StoredStroke
from charting.handover.access import digest
from charting.handover.models import HandOver
from charting.handover.services import DEVICE_IS_CLOSED, HAND_OVER_LASTS
from tests.charting import recorded
from tests.charting.drawing.strokes import events, stroke
from tests.charting.every_address import ADDRESSES

# The page for a code is a part of the way in, and that is open on every device.
STAFF_SIDE = [each for each in ADDRESSES if not each.is_open and each.name != "sign-in-code"]


@pytest.fixture
def device(blank, mara) -> Client:
    """Mara's device, handed over for the visit `blank`."""
    client = Client()
    client.force_login(mara)
    client.get(f"/visits/{blank.pk}/")
    client.post(f"/visits/{blank.pk}/hand-over/")
    client.post("/board/confirm/", {"is_me": "yes"})
    return client


def save(client, *strokes):
    return client.post("/board/save/", events(*strokes), content_type="application/json")


def test_it_leads_to_the_board_and_ends_the_session(blank, as_mara):
    response = as_mara.post(f"/visits/{blank.pk}/hand-over/")
    assert response.headers["Location"] == "/board/"
    assert "_auth_user_id" not in as_mara.session
    cookie = response.cookies["board"]
    assert cookie["httponly"] and cookie["samesite"] == "Strict"
    assert cookie["max-age"] == DEVICE_IS_CLOSED.total_seconds() > HAND_OVER_LASTS.total_seconds()


def test_over_tls_the_token_is_bound_to_this_server_and_goes_again(blank, as_mara, settings):
    settings.TLS = True
    given = as_mara.post(f"/visits/{blank.pk}/hand-over/").cookies["__Host-board"]
    assert given["secure"] and given["path"] == "/" and not given["domain"]
    assert as_mara.post("/board/confirm/", {"is_me": "yes"}).status_code == 302
    back = as_mara.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
    gone = back.cookies["__Host-board"]
    assert gone["secure"] and gone["path"] == "/" and not gone["domain"] and gone["max-age"] == 0
    assert as_mara.get(f"/visits/{blank.pk}/").status_code == 200


def test_it_opens_the_board_of_this_visit(device, blank):
    board = device.get("/board/").context["board"]
    assert board["who"] == "patient"
    assert (board["urls"]["save"], board["urls"]["done"]) == ("/board/save/", "/board/done/")


def test_the_board_holds_no_words_of_the_chart(visit, as_mara):
    as_mara.post(f"/visits/{visit.pk}/hand-over/")
    as_mara.post("/board/confirm/", {"is_me": "yes"})
    page = as_mara.get("/board/").content.decode()
    for word in ("Pain in the front", "Infraspinatus", "/visits/", "/patients/", "Sign out"):
        assert word not in page


@pytest.fixture
def urls(blank) -> list[str]:
    """Made before the device is out: two records are not merged meanwhile."""
    return [address.url(blank) for address in STAFF_SIDE]


def test_it_refuses_every_address_of_the_staff(urls, device, blank):
    for address, url in zip(STAFF_SIDE, urls, strict=True):
        data = address.data(blank)
        send = device.get if address.verb == "GET" else device.post
        for headers in ({}, {"HX-Request": "true"}):
            response = send(url, data, headers=headers)
            assert response.status_code == 403, str(address)
            assert "Keller" not in response.content.decode(), str(address)
            assert "no-store" in response.headers["Cache-Control"], str(address)


def test_it_refuses_them_even_with_a_session_that_turned_up_again(urls, device, blank, mara):
    device.force_login(mara)
    for address, url in zip(STAFF_SIDE, urls, strict=True):
        send = device.get if address.verb == "GET" else device.post
        assert send(url, address.data(blank)).status_code == 403, str(address)


def test_the_pages_of_before_are_in_no_cache_for_the_back_button(blank, as_mara):
    response = as_mara.get(f"/visits/{blank.pk}/story/")
    assert "no-store" in response.headers["Cache-Control"]
    as_mara.post(f"/visits/{blank.pk}/hand-over/")
    assert as_mara.get(f"/visits/{blank.pk}/story/").status_code == 403


def test_the_old_session_is_gone_also_without_the_token(blank, as_mara):
    session = as_mara.cookies["session"].value
    as_mara.post(f"/visits/{blank.pk}/hand-over/")
    other = Client()
    other.cookies["session"] = session
    assert other.get(f"/visits/{blank.pk}/").status_code == 302


def test_it_saves_to_this_visit_and_to_no_other(device, blank, mara, anna):
    other = recorded.Visit.objects.create(patient=anna, clinician=mara)
    assert save(device, stroke(1)).status_code == 200
    assert StoredStroke.objects.get().visit == blank
    sent = events(stroke(2))
    url = f"/visits/{other.pk}/drawing/save/"
    assert device.post(url, sent, content_type="application/json").status_code == 403
    assert not StoredStroke.objects.filter(visit=other).exists()


def test_it_writes_down_that_the_patient_drew(device, blank):
    save(device, stroke(1))
    row = AuditEntry.objects.get(action="drew")
    assert (row.actor, row.role, row.actor_id) == ("Patient at the board", "patient", None)
    assert row.practice_id == blank.patient.practice_id
    assert StoredStroke.objects.get().drawn_by == "patient"


def test_a_token_made_up_opens_nothing(blank):
    client = Client()
    client.cookies["board"] = "made-up"
    assert client.get("/board/").status_code == 403
    assert save(client, stroke(1)).status_code == 403


def test_the_token_is_stored_nowhere(device):
    token = device.cookies["board"].value
    row = HandOver.objects.get()
    assert row.token_sha256 == digest(token)
    assert token not in str(HandOver.objects.values())


def test_it_ends_by_itself(device, blank):
    held = HandOver.objects.get()
    assert timedelta(0) < held.expires_at - timezone.now() <= HAND_OVER_LASTS
    HandOver.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert device.get("/board/").status_code == 403
    assert save(device, stroke(1)).status_code == 403
    assert not StoredStroke.objects.exists()


def test_a_device_whose_time_ran_out_stays_closed_until_the_clinician_takes_it_back(device, blank):
    HandOver.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert device.get(f"/visits/{blank.pk}/").status_code == 403
    device.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD, "waiting": "2"})
    assert device.get(f"/visits/{blank.pk}/").status_code == 200
    held = HandOver.objects.get()
    assert held.ended_at is not None and held.waiting == 2


def test_it_ends_when_the_clinician_signs_in(device, blank, mara):
    token = device.cookies["board"].value
    device.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
    assert device.cookies["board"].value == ""
    assert device.get(f"/visits/{blank.pk}/").status_code == 200
    assert AuditEntry.objects.filter(action="took back", object_id=str(blank.pk)).exists()
    thief = Client()
    thief.cookies["board"] = token
    assert thief.get("/board/").status_code == 403


def test_a_wrong_password_leaves_the_device_with_the_patient(device, blank):
    device.post("/sign-in/", {"username": "mara", "password": "wrong"})
    assert device.get(f"/visits/{blank.pk}/").status_code == 403
    assert device.get("/board/").status_code == 200


def test_the_assistant_hands_over_without_seeing_the_chart(blank, as_poll):
    assert as_poll.get(f"/visits/{blank.pk}/").status_code == 404
    assert as_poll.post(f"/visits/{blank.pk}/hand-over/").headers["Location"] == "/board/"


def test_a_signed_visit_is_not_handed_over(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=timezone.now())
    assert as_mara.post(f"/visits/{blank.pk}/hand-over/").status_code == 404
    assert not HandOver.objects.exists()


def test_saying_done_shows_the_way_back_for_the_clinician(device, blank):
    page = device.get("/board/done/").content.decode()
    assert f"/sign-in/?next=/visits/{blank.pk}/" in page


def test_it_leads_the_assistant_back_to_a_page_that_opens(blank, as_poll):
    as_poll.post(f"/visits/{blank.pk}/hand-over/")
    page = as_poll.get("/board/done/").content.decode()
    assert f"/sign-in/?next=/patients/{blank.patient_id}/" in page
    signing_in = {"username": "poll", "password": recorded.PASSWORD, "next": f"/patients/{blank.patient_id}/"}
    assert as_poll.post("/sign-in/", signing_in, follow=True).status_code == 200

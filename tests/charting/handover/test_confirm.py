"""Before the board opens, whoever holds the device says whose name and birth date they are."""

import pytest
from django.test import Client

from charting.audit.models import AuditEntry
from charting.drawing.models import StoredStroke
from charting.handover.models import HandOver
from tests.charting.drawing.strokes import events, stroke


@pytest.fixture
def unconfirmed(blank, mara) -> Client:
    client = Client()
    client.force_login(mara)
    client.post(f"/visits/{blank.pk}/hand-over/")
    return client


def save(client):
    return client.post("/board/save/", events(stroke(1)), content_type="application/json")


def test_it_asks_by_name_and_birth_date_and_shows_nothing_else(unconfirmed):
    response = unconfirmed.get("/board/")
    page = response.content.decode()
    assert "board" not in response.context
    assert "Anna Keller" in page and "3 May 1978" in page
    for word in ("data-board", "1042", "Sign out", "Patients", "/visits/", '<a class="button'):
        assert word not in page


def test_before_it_nothing_is_saved_and_nothing_read(unconfirmed):
    assert save(unconfirmed).status_code == 403
    assert unconfirmed.get("/board/words/").status_code == 403
    assert unconfirmed.get("/board/areas/").headers["Location"] == "/board/"
    assert not StoredStroke.objects.exists()


def test_yes_opens_the_board_and_is_written_down(unconfirmed):
    assert unconfirmed.post("/board/confirm/", {"is_me": "yes"}).headers["Location"] == "/board/"
    assert "board" in unconfirmed.get("/board/").context
    assert AuditEntry.objects.get(action="confirmed person").actor == "Patient at the board"


@pytest.mark.parametrize("said", [{"is_me": "no"}, {}, {"is_me": "perhaps"}])
def test_anything_but_yes_ends_it(said, unconfirmed, blank):
    page = unconfirmed.post("/board/confirm/", said).content.decode()
    assert "give the device back" in page and "Keller" not in page
    row = HandOver.objects.get()
    assert row.denied_at and row.ended_at and row.confirmed_at is None
    assert unconfirmed.get("/board/").status_code == 403
    assert unconfirmed.post("/board/confirm/", {"is_me": "yes"}).status_code == 403
    assert save(unconfirmed).status_code == 403
    assert AuditEntry.objects.filter(action="denied person", object_id=str(blank.pk)).exists()


def test_who_helps_is_named_and_asked_about_the_person_they_help(blank, as_mara):
    as_mara.post(f"/visits/{blank.pk}/hand-over/", {"drawn_by": "helper", "helper": "daughter"})
    assert HandOver.objects.get().helper == "daughter"
    assert "Is this the person you help?" in as_mara.get("/board/").content.decode()


def test_a_helper_without_a_word_who_they_are_gets_no_device(blank, as_mara):
    answer = as_mara.post(f"/visits/{blank.pk}/hand-over/", {"drawn_by": "helper", "helper": " "})
    assert answer.status_code == 422 and "Say who helps" in answer.content.decode()
    assert not HandOver.objects.exists() and "_auth_user_id" in as_mara.session

"""The way in, and the pages for when something is wrong."""

import pytest
from django.db import OperationalError
from django.test import Client

from charting.visits import queries
from tests.charting import recorded


def sign_in(client, **more):
    return client.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD, **more})


def test_it_leads_back_to_the_page_that_was_asked_for(blank, client):
    asked = client.get(f"/visits/{blank.pk}/what-to-examine/?pick=C6.left")
    assert asked.headers["Location"].endswith("what-to-examine/%3Fpick%3DC6.left")


@pytest.mark.parametrize("action", ["hand-over/", "drawing/save/", "note/addendum/"])
def test_it_leads_back_to_the_page_on_which_a_form_stood(blank, client, mara, action):
    """The address of the form itself takes no GET: signing in must not end on an empty page."""
    page = f"/visits/{blank.pk}/drawing-step/"
    lost = client.post(f"/visits/{blank.pk}/{action}", headers={"Referer": f"http://testserver{page}"})
    assert lost.headers["Location"] == f"/sign-in/?next={page}"
    back = sign_in(client, next=page)
    assert client.get(back.headers["Location"]).status_code == 200


@pytest.mark.parametrize("page", ["", "https://elsewhere.example/visits/", "//elsewhere.example"])
def test_it_leads_to_the_day_when_the_form_came_from_elsewhere(blank, client, page):
    lost = client.post(f"/visits/{blank.pk}/hand-over/", headers={"Referer": page})
    assert lost.headers["Location"] == "/sign-in/?next=/"


def test_it_leads_to_no_other_site(client, mara):
    assert sign_in(client, next="https://elsewhere.example/").headers["Location"] == "/"


def test_it_starts_a_session_of_its_own(client, mara):
    planted = client.session
    planted.save()
    client.cookies["session"] = planted.session_key
    sign_in(client)
    assert client.cookies["session"].value != planted.session_key


def test_a_fault_of_ours_is_told_without_asking_the_database(as_mara, monkeypatch):
    def gone(*args):
        raise OperationalError("the database is gone")

    monkeypatch.setattr(queries, "unsigned_visits", gone)
    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", gone)
    client = Client(raise_request_exception=False)
    client.cookies = as_mara.cookies
    answer = client.get("/")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert "Something went wrong on our side" in page and "Sign out" not in page
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert "no-store" in answer.headers["Cache-Control"]


def test_a_name_that_is_not_ours_is_refused_with_a_page(client, db):
    answer = client.get("/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400 and "could not be read" in answer.content.decode()

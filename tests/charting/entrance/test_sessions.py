"""A session ends by the server's clock, from elsewhere, and with the person; and it is seen where it runs."""

import time

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from charting.audit.models import AuditEntry
from charting.staff.models import StaffSession
from tests.charting import recorded
from tests.charting.people import signed_in

MINUTE, HOUR = 60, 3600


class Clock:
    """The server's clock, set on by hand."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = float(int(time.time()))
        monkeypatch.setattr("time.time", lambda: self.now)

    def passes(self, seconds: float) -> None:
        self.now += seconds


@pytest.fixture
def clock(monkeypatch) -> Clock:
    return Clock(monkeypatch)


def is_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


# Without a sign of life (ASVS 7.3.1, 45 CFR 164.312(a)(2)(iii)), and at all (ASVS 7.3.2).


@pytest.mark.parametrize(("seconds", "still_in"), [(15 * MINUTE - 1, True), (15 * MINUTE, False)])
def test_a_quarter_of_an_hour_without_a_sign_of_life_signs_out(clock, mara, seconds, still_in):
    client = signed_in(mara)
    clock.passes(seconds)
    assert is_in(client) == still_in


def test_it_leads_back_to_the_same_page_and_says_why(clock, mara):
    client = signed_in(mara)
    clock.passes(15 * MINUTE)
    to = client.get("/patients/?page=2").headers["Location"]
    assert to == "/sign-in/?ended=quiet&next=/patients/%3Fpage%3D2"
    assert "nothing was done for 15 minutes" in client.get(to).content.decode()
    said = {"username": "mara", "password": recorded.PASSWORD, "next": "/patients/?page=2"}
    assert client.post("/sign-in/", said).headers["Location"] == "/patients/?page=2"


def test_each_page_is_a_sign_of_life(clock, mara):
    client = signed_in(mara)
    for _ in range(6):
        clock.passes(14 * MINUTE)
        assert is_in(client)


def test_what_a_page_asks_by_itself_is_none(clock, mara):
    client = signed_in(mara)
    for _ in range(14):
        clock.passes(MINUTE)
        assert client.get("/account/left/").json()["left"] > 0
    clock.passes(MINUTE)
    assert client.get("/account/left/").status_code == 302


def test_twelve_hours_are_the_end_whatever_is_done(clock, mara):
    client = signed_in(mara)
    for _ in range(12 * 6 - 1):
        clock.passes(10 * MINUTE)
        client.post("/account/stay/")
    assert is_in(client)
    clock.passes(10 * MINUTE)
    assert client.get("/patients/").headers["Location"].startswith("/sign-in/?ended=long")


def test_a_word_from_the_page_goes_on(clock, mara):
    client = signed_in(mara)
    clock.passes(14 * MINUTE)
    assert client.get("/account/left/").json()["left"] == MINUTE
    assert client.post("/account/stay/").json()["left"] == 15 * MINUTE
    clock.passes(14 * MINUTE)
    assert is_in(client)


def test_the_sign_of_life_is_written_once_a_minute_at_most(clock, mara, django_assert_num_queries):
    client = signed_in(mara)
    client.get("/account/left/")
    # The session, the person, the practice: nothing is asked or written beside them.
    with django_assert_num_queries(3):
        client.get("/account/left/")
    row = StaffSession.objects.get()
    clock.passes(30)
    is_in(client)
    assert StaffSession.objects.get().last_seen_at == row.last_seen_at
    clock.passes(31)
    is_in(client)
    assert StaffSession.objects.get().last_seen_at > row.last_seen_at


@pytest.mark.parametrize("verb", ["get", "post"])
def test_an_ended_session_never_looks_like_a_success_to_a_script(clock, mara, verb, visit):
    """What follows no redirect sees one; what does ends on a page that is no answer to it."""
    client = signed_in(mara)
    clock.passes(15 * MINUTE)
    answer = getattr(client, verb)(f"/visits/{visit.pk}/drawing/", headers={"Accept": "application/json"})
    assert answer.status_code == 302 and answer.headers["Location"].startswith("/sign-in/")


def test_a_piece_leads_the_page_it_stands_on_to_sign_in_and_back(clock, mara, visit):
    client = signed_in(mara)
    clock.passes(15 * MINUTE)
    page = f"/visits/{visit.pk}/muscles/?muscle=3"
    headers = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{page}"}
    answer = client.get(f"/visits/{visit.pk}/muscles/?piece=found", headers=headers)
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.headers["HX-Redirect"] == (
        f"/sign-in/?ended=quiet&next=/visits/{visit.pk}/muscles/%3Fmuscle%3D3"
    )


# Where one is signed in (ASVS 7.5.2), and ending it (7.4.3, 7.4.5).


@pytest.fixture
def tablet(mara) -> Client:
    agent = "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/150.0 Safari/537.36"
    client = Client(headers={"User-Agent": agent}, REMOTE_ADDR="192.168.1.31")
    client.post("/sign-in/", {"username": "mara", "password": recorded.PASSWORD})
    return client


def test_it_lists_where_one_is_signed_in_and_nobody_else(mara, tom, tablet):
    desk = signed_in(mara)
    signed_in(tom)
    page = desk.get("/account/").context["page"]
    assert sorted(each.is_here for each in page.running) == [False, True]
    there = next(each.row for each in page.running if not each.is_here)
    assert (there.device, there.address) == ("Chrome on Android", "192.168.1.31")


def test_one_is_ended_from_elsewhere_at_once(mara, tablet):
    desk = signed_in(mara)
    row = StaffSession.objects.get(device="Chrome on Android")
    desk.post("/account/sessions/end/", {"session": row.pk})
    assert not is_in(tablet) and is_in(desk)
    assert AuditEntry.objects.latest("pk").action != "ended the other sessions"
    assert AuditEntry.objects.filter(action="ended a session", actor_id=mara.pk).count() == 1


def test_all_others_are_ended_and_this_one_goes_on(mara, tablet):
    more, desk = signed_in(mara), signed_in(mara)
    desk.post("/account/sessions/end/")
    assert is_in(desk) and not is_in(tablet) and not is_in(more)


def test_nobody_ends_a_session_of_somebody_else(mara, tom, tablet):
    row = StaffSession.objects.get(user=mara)
    signed_in(tom).post("/account/sessions/end/", {"session": row.pk})
    signed_in(tom).post("/account/sessions/end/")
    assert is_in(tablet)


def test_signing_out_ends_it_for_good(mara):
    client = signed_in(mara)
    kept = client.cookies["session"].value
    client.post("/sign-out/")
    client.cookies["session"] = kept
    assert not is_in(client)
    assert StaffSession.objects.get().ended_at and not Session.objects.filter(session_key=kept).exists()


def test_a_changed_password_ends_every_other_session(mara, tablet):
    desk = signed_in(mara)
    new = "seven-lanterns-at-low-tide"
    said = {"password": recorded.PASSWORD, "new": new, "again": new}
    before = desk.session.session_key
    assert desk.post("/account/password/", said).status_code == 302
    assert is_in(desk) and not is_in(tablet)
    assert desk.session.session_key != before
    assert StaffSession.objects.get(session_key=desk.session.session_key).ended_at is None


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"password": "wrong"}, "That is not your password"),
        ({"again": "another one again"}, "The two new passwords differ"),
        ({"new": "short", "again": "short"}, "too short"),
        ({"new": recorded.PASSWORD, "again": recorded.PASSWORD}, "Choose another one"),
    ],
)
def test_a_password_that_can_not_be_taken_is_refused_with_words(mara, said, words):
    new = "seven-lanterns-at-low-tide"
    whole = {"password": recorded.PASSWORD, "new": new, "again": new, **said}
    answer = signed_in(mara).post("/account/password/", whole)
    assert answer.status_code == 422 and words in answer.content.decode()
    mara.refresh_from_db()
    assert mara.check_password(recorded.PASSWORD)


def test_a_password_is_not_guessed_on_the_page_of_the_account_either(mara):
    client = signed_in(mara)
    wrong = {"password": "wrong", "new": "a", "again": "a"}
    assert [client.post("/account/password/", wrong).status_code for _ in range(6)] == [422] * 5 + [429]


def test_somebody_disabled_is_out_at_the_next_request(mara):
    """ASVS 7.4.2."""
    client = signed_in(mara)
    mara.is_active = False
    mara.save()
    assert not is_in(client)


def test_wrong_tries_under_ones_name_are_told(mara):
    Client(REMOTE_ADDR="10.0.0.9").post("/sign-in/", {"username": "mara", "password": "guess"})
    page = signed_in(mara).get("/account/").content.decode()
    assert "A wrong password" in page

"""After the password comes the code: once a device and 12 hours, and nothing opens before it."""

import time

import pytest
from django.test import Client
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.staff import known_device, second_factor, tries
from charting.staff.models import SecondFactor, SignInTry, User
from tests.charting import recorded
from tests.charting.staff.authenticator import Authenticator, given_to

HOURS = 3600


@pytest.fixture
def real(db):
    """A practice where real people are treated."""
    at = recorded.practice("Weir Street Practice")
    at.is_demo = False
    at.save()
    return at


@pytest.fixture
def lea(real) -> User:
    return recorded.member(real, "lea")


def password(client: Client, name: str = "lea", **more):
    return client.post("/sign-in/", {"username": name, "password": recorded.PASSWORD, **more})


def code(client: Client, said: str):
    return client.post("/sign-in/code/", {"code": said})


def let_pass(seconds: float, monkeypatch) -> None:
    later = time.time() + seconds
    monkeypatch.setattr("time.time", lambda: later)


def is_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


def test_the_password_alone_opens_nothing(lea):
    """ASVS 6.3.3."""
    given_to(lea)
    client = Client()
    assert password(client).headers["Location"] == "/sign-in/code/"
    for page in ("/", "/account/", "/account/second-factor/", "/patients/"):
        assert client.get(page).headers["Location"].startswith("/sign-in/?next="), page


def test_the_code_lets_in_and_leads_to_where_one_was_going(lea):
    held, _ = given_to(lea)
    client = Client()
    password(client, next="/patients/")
    before = client.session.session_key
    assert code(client, held.code()).headers["Location"] == "/patients/"
    assert is_in(client)
    # ASVS 7.2.4: a new token at each step.
    assert client.session.session_key != before


def test_a_backup_code_lets_in_and_says_how_many_are_left(lea):
    _, codes = given_to(lea)
    client = Client()
    password(client)
    assert code(client, codes[4]).status_code == 302
    assert "You have 9 backup codes left." in client.get("/account/").content.decode()


def test_a_wrong_code_is_refused_in_plain_words_and_on_record(lea):
    given_to(lea)
    client = Client()
    password(client)
    answer = code(client, "000000")
    assert answer.status_code == 422 and "This code is not right." in answer.content.decode()
    row = AuditEntry.objects.latest("pk")
    assert (row.action, row.object_id, row.practice_id) == (tries.WRONG_CODE, str(lea.pk), lea.practice_id)


def test_the_sixth_wrong_code_is_not_even_looked_at(lea):
    held, _ = given_to(lea)
    client = Client()
    password(client)
    assert [code(client, "000000").status_code for _ in range(6)] == [422] * 5 + [429]
    answer = code(client, held.code())
    assert answer.status_code == 429 and int(answer.headers["Retry-After"]) > 14 * 60
    # A known name typed as a name cannot use up the tries of somebody's code.
    assert not SignInTry.objects.filter(name_digest=tries.digest_of(f"code {lea.pk}")).exists()


def test_the_password_is_asked_for_again_after_ten_minutes(lea, monkeypatch):
    held, _ = given_to(lea)
    client = Client()
    password(client)
    let_pass(601, monkeypatch)
    assert code(client, held.code()).headers["Location"] == "/sign-in/"


def test_a_password_that_was_changed_meanwhile_counts_no_more(lea):
    held, _ = given_to(lea)
    client = Client()
    password(client)
    lea.set_password("another-one-altogether")
    lea.save()
    assert code(client, held.code()).headers["Location"] == "/sign-in/"


def test_somebody_disabled_meanwhile_stays_out(lea):
    held, _ = given_to(lea)
    client = Client()
    password(client)
    User.objects.filter(pk=lea.pk).update(is_active=False)
    assert code(client, held.code()).headers["Location"] == "/sign-in/"


# Once a device and 12 hours.


@pytest.fixture
def ward(lea) -> Client:
    """A device on which lea gave a code, and that comes back from a patient: signed out."""
    held, _ = given_to(lea)
    client = Client()
    password(client)
    code(client, held.code())
    client.post("/sign-out/")
    return client


def test_a_device_that_comes_back_is_not_asked_again(ward):
    assert password(ward).headers["Location"] == "/"
    assert is_in(ward)


@pytest.mark.parametrize(("hours", "page"), [(11.9, "/"), (12.1, "/sign-in/code/")])
def test_after_twelve_hours_it_is(ward, monkeypatch, hours, page):
    let_pass(hours * HOURS, monkeypatch)
    assert password(ward).headers["Location"] == page


def test_another_device_is_asked(ward):
    assert password(Client()).headers["Location"] == "/sign-in/code/"


def test_another_person_on_this_device_is_asked(ward, real):
    given_to(recorded.member(real, "max"))
    assert password(ward, "max").headers["Location"] == "/sign-in/code/"
    assert password(ward).headers["Location"] == "/"


@pytest.mark.parametrize("change", ["password", "factor", "session"])
def test_a_changed_password_or_factor_or_an_ended_session_asks_everywhere(ward, lea, change):
    if change == "password":
        lea.set_password(recorded.PASSWORD)
        lea.save()
    elif change == "factor":
        given_to(lea)
    else:
        other = Client()
        other.force_login(lea)
        session = other.session
        session["second_factor"] = True
        session.save()
        other.post("/account/sessions/end/")
    assert password(ward).headers["Location"] == "/sign-in/code/"


def test_a_cookie_that_was_tampered_with_is_worth_nothing(ward):
    name = known_device.cookie_name()
    value = ward.cookies[name].value
    ward.cookies[name] = value[:4] + ("A" if value[4] != "A" else "B") + value[5:]
    assert password(ward).headers["Location"] == "/sign-in/code/"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(ward):
    """ASVS 3.3.4, 3.3.2."""
    cookie = ward.cookies[known_device.cookie_name()]
    assert cookie["httponly"] and cookie["samesite"] == "Strict"


# Where it is required, it is set up before anything else.


def test_nothing_but_the_page_to_set_it_up_opens(lea):
    client = Client()
    password(client)
    for page in ("/", "/patients/", "/account/", "/tablet/", "/account/backup-codes/"):
        assert client.get(page).headers["Location"].startswith("/account/second-factor/"), page
    piece = client.get(reverse("told-now"), headers={"HX-Request": "true"})
    assert (piece.status_code, piece.headers["HX-Redirect"]) == (204, "/account/second-factor/")
    page = client.get("/account/second-factor/").content.decode()
    assert "<svg" in page and 'name="sealed"' in page and 'name="password"' not in page


def test_the_first_code_opens_everything_and_the_backup_codes_are_shown_once(lea):
    client = Client()
    password(client)
    sealed = client.get("/account/second-factor/").context["page"].sealed
    held = Authenticator(second_factor.secret_in(sealed, lea))
    wrong = client.post("/account/second-factor/", {"sealed": sealed, "first_code": "000000"})
    # The secret stays the one that was scanned.
    assert wrong.status_code == 422 and wrong.context["page"].sealed == sealed
    answer = client.post("/account/second-factor/", {"sealed": sealed, "first_code": held.code()})
    assert len(answer.context["codes"]) == 10
    assert client.get("/").status_code == 200
    assert answer.context["codes"][0] not in client.get("/account/second-factor/").content.decode()


def test_looking_at_the_page_to_set_it_up_changes_nothing(lea):
    client = Client()
    password(client)
    client.get("/account/second-factor/")
    assert not SecondFactor.objects.exists()


def test_another_authenticator_takes_password_and_the_old_code(lea, ward):
    """ASVS 7.5.1."""
    password(ward)
    page = "/account/second-factor/"
    sealed = ward.get(page).context["page"].sealed
    new = Authenticator(second_factor.secret_in(sealed, lea))
    sent = {"sealed": sealed, "first_code": new.code(), "password": recorded.PASSWORD}
    before = SecondFactor.objects.get().pk
    assert ward.post(page, sent).status_code == 422
    assert ward.post(page, {**sent, "password": "wrong", "code": "000000"}).status_code == 422
    assert SecondFactor.objects.get().pk == before
    (backup, *_) = second_factor.new_backup_codes(who=lea)
    assert len(ward.post(page, {**sent, "code": backup}).context["codes"]) == 10
    assert SecondFactor.objects.get().pk != before


def test_invented_people_need_none_and_may_have_one(mara):
    client = Client()
    assert password(client, "mara").headers["Location"] == "/"
    assert client.get("/").status_code == 200
    given_to(mara)
    assert password(Client(), "mara").headers["Location"] == "/sign-in/code/"


def test_a_session_without_a_code_begins_anew_where_there_is_a_factor(lea):
    given_to(lea)
    client = Client()
    client.force_login(lea)
    assert client.get("/").headers["Location"].startswith("/sign-in/")
    assert "_auth_user_id" not in client.session


def test_a_given_password_is_changed_before_anything_else(lea):
    """ASVS 6.4.1."""
    User.objects.filter(pk=lea.pk).update(must_change_password=True)
    client = Client()
    password(client)
    assert client.get("/patients/").headers["Location"].startswith("/account/password/")
    said = {"password": recorded.PASSWORD, "new": recorded.PASSWORD, "again": recorded.PASSWORD}
    assert client.post("/account/password/", said).status_code == 422
    said |= {"new": "seven-lanterns-at-low-tide", "again": "seven-lanterns-at-low-tide"}
    assert client.post("/account/password/", said).status_code == 302
    assert client.get("/patients/").headers["Location"].startswith("/account/second-factor/")

"""Who may use which address: everybody against every one of them, as who_may.txt says.

Each person is one test, and whatever an address changed is taken back before the next one is asked.
OWASP ASVS 5.0: 8.2.1 (functions), 8.2.2 (rows), 8.4.1 (practices apart), 3.5.1 (forms of another page).
"""

import pytest
from django.test import Client

from tests.charting.access import who_may
from tests.charting.access.asking import (
    WHO_IS,
    ask,
    everywhere,
    is_as_expected,
    naming_the_patient,
    unexpected,
)
from tests.charting.addresses import every_name
from tests.charting.every_address import ADDRESSES
from tests.charting.people import signed_in

KNOW_NOBODY = ("auditor", "site", "elsewhere")


@pytest.mark.parametrize("who", WHO_IS)
def test_it_answers_each_as_the_table_says(blank, request, who):
    answers = everywhere(signed_in(request.getfixturevalue(WHO_IS[who])), blank)
    assert not (wrong := unexpected(answers, who)), "\n".join(wrong)
    if who in KNOW_NOBODY:
        assert naming_the_patient(answers) == []
    pages = [(address, page) for address, page in answers if address.verb == "GET"]
    assert [str(each) for each, page in pages if "no-store" not in page.headers["Cache-Control"]] == []


def test_it_asks_everybody_else_to_sign_in(blank):
    answers = everywhere(Client(), blank)
    assert not (wrong := unexpected(answers, "nobody")), "\n".join(wrong)
    assert naming_the_patient(answers) == []


def test_it_sends_an_htmx_call_without_a_session_to_the_sign_in_page(blank):
    for address, response in everywhere(Client(), blank, **{"HX-Request": "true"}):
        # The page for a code goes back to the start by itself, a whole page as it is.
        if not address.is_open and address.name != "sign-in-code":
            assert response.status_code == 204, str(address)
            assert response.headers["HX-Redirect"].startswith("/sign-in/?next="), str(address)


def test_it_refuses_a_change_without_the_token_of_its_form(blank, mara):
    client = Client(enforce_csrf_checks=True)
    client.force_login(mara)
    for address in ADDRESSES:
        if address.verb == "POST":
            assert ask(client, address, blank).status_code == 403, str(address)


def test_the_table_has_a_line_for_every_address_and_for_nothing_else():
    assert {address.name for address in ADDRESSES} == every_name()
    assert set(who_may.table().rows) == {(address.name, address.verb) for address in ADDRESSES}


def test_no_address_takes_a_verb_without_a_line(blank, mara):
    """RFC 9110, 15.5.6: a method that is not taken is answered 405."""
    client = signed_in(mara)
    known = {(each.name, each.verb) for each in ADDRESSES}
    for address in {each.name: each for each in ADDRESSES}.values():
        url = address.url(blank)
        for verb in ("GET", "POST", "PUT", "PATCH", "DELETE"):
            if (address.name, verb) not in known:
                assert client.generic(verb, url).status_code == 405, f"{verb} {address.name}"


def test_a_table_that_cannot_be_read_is_refused():
    whole = "story GET yes yes yes 404 403 404 404 sign-in"
    assert who_may.read(whole).answer("story", "GET", "desk") == "404"
    for wrong in (whole.replace("404", "none"), whole.rsplit(" ", 1)[0], f"{whole}\n{whole}"):
        with pytest.raises(ValueError, match="story"):
            who_may.read(wrong)
    with pytest.raises(LookupError, match="no line for: story POST"):
        who_may.read(whole).answer("story", "POST", "desk")


def test_an_answer_other_than_the_table_says_is_seen():
    assert is_as_expected(200, "", "yes") and is_as_expected(302, "/", "yes")
    assert not is_as_expected(302, "/sign-in/?next=/", "yes")
    assert not is_as_expected(200, "", "404") and not is_as_expected(404, "", "403")
    assert not is_as_expected(500, "", "yes") and not is_as_expected(302, "/", "sign-in")

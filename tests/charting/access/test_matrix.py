"""Who may use which address: everybody against every one of them."""

import pytest
from django.test import Client

from tests.charting.addresses import ADDRESSES, LET_IN, Address, every_name
from tests.charting.people import signed_in

BY_NAME = pytest.mark.parametrize("address", ADDRESSES, ids=str)
# What "let in" may look like: a page, a redirect to the next one, a form to be mended, an unreadable body.
LET_IN_CODES = {200, 302, 400, 409, 422}


def ask(client: Client, address: Address, visit, **headers):
    send = client.get if address.verb == "GET" else client.post
    return send(address.url(visit), address.data(visit), headers=headers)


def is_as_expected(status: int, expected: object) -> bool:
    return status in LET_IN_CODES if expected == LET_IN else status == expected


def test_it_lists_every_address_of_the_clinic():
    assert {address.name for address in ADDRESSES} == every_name()


@BY_NAME
def test_it_lets_the_clinician_do_what_clinicians_do(address, blank, mara):
    assert is_as_expected(ask(signed_in(mara), address, blank).status_code, address.clinician)


@BY_NAME
def test_it_keeps_charts_from_the_assistant(address, blank, poll):
    assert is_as_expected(ask(signed_in(poll), address, blank).status_code, address.assistant)


@BY_NAME
def test_it_lets_the_manager_read_and_not_write(address, blank, vera):
    assert is_as_expected(ask(signed_in(vera), address, blank).status_code, address.manager)


@BY_NAME
def test_it_shows_nothing_to_another_practice(address, blank, ines):
    response = ask(signed_in(ines), address, blank)
    assert is_as_expected(response.status_code, address.elsewhere)
    assert b"Keller" not in response.content


@BY_NAME
def test_it_asks_everybody_else_to_sign_in(address, blank):
    response = ask(Client(), address, blank)
    if address.is_open:
        assert "Keller" not in response.content.decode()
    else:
        assert response.status_code == 302
        assert response.headers["Location"].startswith("/sign-in/")


@BY_NAME
def test_it_sends_an_htmx_call_without_a_session_to_the_sign_in_page(address, blank):
    response = ask(Client(), address, blank, **{"HX-Request": "true"})
    if not address.is_open:
        assert response.status_code == 204
        assert response.headers["HX-Redirect"].startswith("/sign-in/?next=")


@pytest.mark.parametrize("address", [each for each in ADDRESSES if each.verb == "GET"], ids=str)
def test_it_lets_no_cache_keep_a_page(address, blank, as_mara):
    assert "no-store" in ask(as_mara, address, blank).headers["Cache-Control"]


@pytest.mark.parametrize("address", [each for each in ADDRESSES if each.verb == "POST"], ids=str)
def test_it_refuses_a_change_without_the_token_of_its_form(address, blank, mara):
    client = Client(enforce_csrf_checks=True)
    client.force_login(mara)
    assert ask(client, address, blank).status_code == 403


def test_it_shuts_out_a_member_of_staff_who_left(blank, mara):
    client = signed_in(mara)
    mara.is_active = False
    mara.save()
    assert client.get(f"/visits/{blank.pk}/").status_code == 302


def test_it_opens_nothing_to_somebody_without_a_practice(blank, mara):
    mara.practice = None
    mara.save()
    assert signed_in(mara).get(f"/visits/{blank.pk}/").status_code == 404

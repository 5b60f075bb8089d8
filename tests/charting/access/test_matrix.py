"""Who may use which address: everybody against every one of them.

Each person is one test, and whatever an address changed is taken back before the next one is asked.
"""

from django.db import transaction
from django.http import HttpResponse
from django.test import Client

from tests.charting.addresses import LET_IN, Address, every_name
from tests.charting.every_address import ADDRESSES
from tests.charting.people import signed_in

# What "let in" may look like: a page, a redirect to the next one, a form to be mended, an unreadable body.
LET_IN_CODES = {200, 302, 400, 409, 422}
Answers = list[tuple[Address, HttpResponse]]


def ask(client: Client, address: Address, visit, **headers):
    send = client.get if address.verb == "GET" else client.post
    return send(address.url(visit), address.data(visit), headers=headers)


def everywhere(client: Client, visit, **headers) -> Answers:
    """What every address answers to a browser with the cookies of this one."""
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    return [(address, _answer(address, visit, cookies, headers)) for address in ADDRESSES]


def _answer(address: Address, visit, cookies: dict[str, str], headers: dict[str, str]) -> HttpResponse:
    other = Client()
    other.cookies.load(cookies)
    with transaction.atomic():
        response = ask(other, address, visit, **headers)
        transaction.set_rollback(True)
    return response


def is_as_expected(status: int, expected: object) -> bool:
    return status in LET_IN_CODES if expected == LET_IN else status == expected


def unexpected(answers: Answers, who: str) -> list[str]:
    """The addresses that answer otherwise than the table says of this person, in words."""
    return [
        f"{address} answers {response.status_code}, not {getattr(address, who)}"
        for address, response in answers
        if not is_as_expected(response.status_code, getattr(address, who))
    ]


def naming_the_patient(answers: Answers) -> list[str]:
    return [str(address) for address, response in answers if b"Keller" in response.content]


def test_it_lists_every_address_of_the_clinic():
    assert {address.name for address in ADDRESSES} == every_name()


def test_it_lets_the_clinician_do_what_clinicians_do_and_no_cache_keep_a_page(blank, mara):
    answers = everywhere(signed_in(mara), blank)
    assert unexpected(answers, "clinician") == []
    pages = [(address, response) for address, response in answers if address.verb == "GET"]
    kept = [str(address) for address, page in pages if "no-store" not in page.headers["Cache-Control"]]
    assert kept == []


def test_it_keeps_charts_from_the_desk(blank, poll):
    assert unexpected(everywhere(signed_in(poll), blank), "desk") == []


def test_it_lets_the_owner_read_and_not_write(blank, vera):
    assert unexpected(everywhere(signed_in(vera), blank), "owner") == []


def test_it_shows_nothing_to_another_practice(blank, ines):
    answers = everywhere(signed_in(ines), blank)
    assert unexpected(answers, "elsewhere") == []
    assert naming_the_patient(answers) == []


def test_it_asks_everybody_else_to_sign_in(blank):
    answers = everywhere(Client(), blank)
    assert naming_the_patient(answers) == []
    for address, response in answers:
        if not address.is_open:
            assert response.status_code == 302, str(address)
            assert response.headers["Location"].startswith("/sign-in/"), str(address)


def test_it_sends_an_htmx_call_without_a_session_to_the_sign_in_page(blank):
    for address, response in everywhere(Client(), blank, **{"HX-Request": "true"}):
        if not address.is_open:
            assert response.status_code == 204, str(address)
            assert response.headers["HX-Redirect"].startswith("/sign-in/?next="), str(address)


def test_it_refuses_a_change_without_the_token_of_its_form(blank, mara):
    client = Client(enforce_csrf_checks=True)
    client.force_login(mara)
    for address in ADDRESSES:
        if address.verb == "POST":
            assert ask(client, address, blank).status_code == 403, str(address)


def test_it_shuts_out_a_member_of_staff_who_left(blank, mara):
    client = signed_in(mara)
    mara.is_active = False
    mara.save()
    assert client.get(f"/visits/{blank.pk}/").status_code == 302


def test_it_opens_nothing_to_somebody_without_a_practice(blank, mara):
    mara.practice = None
    mara.save()
    assert signed_in(mara).get(f"/visits/{blank.pk}/").status_code == 404

"""Asking every address as somebody, and what of the answers is not as the table says."""

from django.db import transaction
from django.http import HttpResponse
from django.test import Client

from tests.charting.access import who_may
from tests.charting.addresses import Address
from tests.charting.every_address import ADDRESSES

# Who of the cast stands for which column.
WHO_IS = {
    "owner": "vera",
    "clinician": "mara",
    "trainee": "nele",
    "desk": "poll",
    "auditor": "ada",
    "site": "otto",
    "elsewhere": "ines",
}
# What "let in" may look like: a page, a redirect to the next one, a form to be mended, an unreadable body.
LET_IN_CODES = {200, 302, 400, 409, 422}
Answers = list[tuple[Address, HttpResponse]]


def ask(client: Client, address: Address, visit, **headers):
    send = client.get if address.verb == "GET" else client.post
    return send(address.url(visit), address.data(visit), headers=headers)


def everywhere(client: Client, visit, among=ADDRESSES, **headers) -> Answers:
    """What every address answers to a browser with the cookies of this one."""
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    return [(address, _answer(address, visit, cookies, headers)) for address in among]


def _answer(address: Address, visit, cookies: dict[str, str], headers: dict[str, str]) -> HttpResponse:
    other = Client()
    other.cookies.load(cookies)
    with transaction.atomic():
        response = ask(other, address, visit, **headers)
        transaction.set_rollback(True)
    return response


def is_as_expected(status: int, location: str, expected: str) -> bool:
    to_sign_in = status == 302 and location.startswith("/sign-in/")
    if expected == who_may.SIGN_IN:
        return to_sign_in
    return (
        status in LET_IN_CODES and not to_sign_in if expected == who_may.LET_IN else str(status) == expected
    )


def unexpected(answers: Answers, who: str) -> list[str]:
    """The addresses that answer otherwise than the table says of this person, in words."""
    wrong = []
    for address, response in answers:
        status, location = response.status_code, response.headers.get("Location", "")
        # Signing out leads to the page to sign in, as it should.
        expected = who_may.table().answer(address.name, address.verb, who)
        if not is_as_expected(status, "" if address.name == "sign-out" else location, expected):
            wrong.append(f"{address} answers {status} to {who}, not {expected}")
    return wrong


def naming_the_patient(answers: Answers) -> list[str]:
    return [str(address) for address, response in answers if b"Keller" in response.content]

"""A stranger's wrong passwords keep nobody out of a device known to be theirs (OWASP: Device Cookies)."""

from time import perf_counter

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client, override_settings

from charting.staff import tries
from charting.staff.models import User
from tests.charting import recorded
from tests.charting.entrance.test_wrong_passwords import DESK, TABLET, WRONG, fill, wrong


def give(client: Client, name: str, password: str) -> int:
    sent = {"username": name, "password": password}
    return client.post("/sign-in/", sent, REMOTE_ADDR=DESK).status_code


@pytest.fixture
def own(mara) -> Client:
    """A device on which mara has signed in before."""
    client = Client()
    assert give(client, "mara", recorded.PASSWORD) == 302
    client.post("/sign-out/")
    return client


def test_a_stranger_can_not_keep_anybody_out_of_their_own_device(own):
    fill(500, name="mara")
    wrong("mara", 8)
    fill(500, address=DESK)
    assert give(Client(), "mara", recorded.PASSWORD) == 429
    assert give(own, "mara", recorded.PASSWORD) == 302


def test_on_the_own_device_it_is_still_five(own):
    assert [give(own, "mara", WRONG) for _ in range(6)] == [200] * 5 + [429]
    assert give(own, "mara", recorded.PASSWORD) == 429


def test_the_tries_on_the_own_device_keep_nobody_out_elsewhere(own):
    for _ in range(6):
        give(own, "mara", WRONG)
    assert give(Client(), "mara", recorded.PASSWORD) == 302


def test_a_device_is_known_for_who_signed_in_on_it_alone(own, tom):
    fill(tries.WRONG_TRIES_OF_A_NAME, name="tom")
    assert give(own, "tom", recorded.PASSWORD) == 429


def test_a_name_that_looks_like_our_own_counting_counts_for_nobody(own, mara):
    """Forms refuse the sign that sets ours apart, so no name that is typed counts as a code or a device."""
    answer = Client().post("/sign-in/", {"username": f"\0code\0{mara.pk}", "password": WRONG})
    assert answer.status_code == 200 and "Null characters" in answer.content.decode()


def test_guesses_of_one_name_stay_below_a_thousand_an_hour():
    """stack C9, 15: from everywhere together, and on each of ten devices that are known."""
    quarters = 4
    assert quarters * (tries.WRONG_TRIES_OF_A_NAME + 10 * tries.WRONG_TRIES) < 1000


@override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.Argon2PasswordHasher"])
def test_a_name_that_is_known_takes_as_long_as_one_that_is_not(mara):
    """ASVS 6.3.8. The hash is the long part; the shortest of five, for the machine is shared."""
    User.objects.filter(pk=mara.pk).update(password=make_password(recorded.PASSWORD))

    def seconds(name: str, address: str) -> float:
        begin = perf_counter()
        Client().post("/sign-in/", {"username": name, "password": WRONG}, REMOTE_ADDR=address)
        return perf_counter() - begin

    took = {"mara": [], "nobody": []}
    for _ in range(5):
        for name, address in (("mara", DESK), ("nobody", TABLET)):
            took[name].append(seconds(name, address))
    known, unknown = min(took["mara"]), min(took["nobody"])
    assert abs(known - unknown) < 0.25 * max(known, unknown)

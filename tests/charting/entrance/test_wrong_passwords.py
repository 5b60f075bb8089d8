"""Guessing passwords at the way in is slow, and the guessing of one never shuts out another."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.db import connections
from django.test import Client
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.staff import tries
from charting.staff.models import SignInTry
from charting.staff.tries import WRONG_AT_SIGN_IN, MustWait
from tests.charting import recorded

DESK, TABLET, HOME = "192.168.1.20", "192.168.1.31", "fd00::31"
WRONG = "not the password"


def give(name: str, password: str, address: str = DESK, **headers):
    sent = {"username": name, "password": password}
    return Client().post("/sign-in/", sent, REMOTE_ADDR=address, headers=headers)


def wrong(name: str, times: int, address: str = DESK) -> list[int]:
    return [give(name, WRONG, address).status_code for _ in range(times)]


def fill(times: int, *, name: str = "", address: str = "", ago: timedelta = timedelta()) -> None:
    """Wrong tries on record, each of a name and from an address of its own where none is given."""
    SignInTry.objects.bulk_create(
        SignInTry(
            at=timezone.now() - ago,
            name_digest=tries.digest_of(name or f"somebody {n}"),
            address=address or f"10.0.0.{n}",
        )
        for n in range(times)
    )


def signs_in(name: str, address: str = DESK) -> bool:
    return give(name, recorded.PASSWORD, address).status_code == 302


def test_the_sixth_wrong_password_is_not_even_looked_at(mara):
    assert wrong("mara", 6) == [200] * 5 + [429]
    assert give("mara", recorded.PASSWORD).status_code == 429


def test_it_says_in_plain_words_when_it_may_go_on(mara):
    wrong("mara", 5)
    answer = give("mara", recorded.PASSWORD)
    assert 14 * 60 < int(answer.headers["Retry-After"]) <= 15 * 60
    assert "Too many wrong passwords. The next one can be given in 15 minutes." in answer.content.decode()
    SignInTry.objects.update(at=timezone.now() - timedelta(minutes=14, seconds=30))
    assert "in a minute." in give("mara", recorded.PASSWORD).content.decode()


@pytest.mark.parametrize(("minutes", "open_again"), [(14, False), (15, True)])
def test_after_a_quarter_of_an_hour_it_goes_on(mara, minutes, open_again):
    wrong("mara", 5)
    SignInTry.objects.update(at=timezone.now() - timedelta(minutes=minutes))
    assert signs_in("mara") == open_again


def test_trying_while_one_waits_makes_the_wait_no_longer(mara):
    wrong("mara", 5)
    before = int(give("mara", WRONG).headers["Retry-After"])
    wrong("mara", 10)
    assert int(give("mara", WRONG).headers["Retry-After"]) <= before


def test_the_right_password_forgives_the_wrong_ones_before_it(mara):
    assert wrong("mara", 4) == [200] * 4
    assert signs_in("mara")
    assert wrong("mara", 6) == [200] * 5 + [429]


# Who else is shut out: nobody.


def test_a_colleague_at_the_same_address_is_not_shut_out(mara, tom):
    wrong("mara", 8)
    assert signs_in("tom")


def test_the_same_person_can_sign_in_elsewhere(mara):
    wrong("mara", 8)
    assert signs_in("mara", TABLET) and signs_in("mara", HOME)


def test_a_whole_practice_of_forgetful_people_shuts_out_nobody_else(mara, tom, practice):
    """Nine people behind one address, all wrong until they have to wait."""
    for n in range(9):
        recorded.member(practice, f"forgetful{n}")
        assert wrong(f"forgetful{n}", 6)[-1] == 429
    assert signs_in("tom")


# The two higher limits: at each, and one below.


@pytest.mark.parametrize(("times", "gets_in"), [(24, True), (25, False)])
def test_a_name_guessed_from_many_addresses_waits(mara, tom, times, gets_in):
    fill(times, name="mara")
    assert signs_in("mara") == gets_in
    assert signs_in("tom")


@pytest.mark.parametrize(("times", "gets_in"), [(49, True), (50, False)])
def test_an_address_that_guesses_many_names_waits(mara, times, gets_in):
    fill(times, address=DESK)
    assert signs_in("mara") == gets_in
    assert signs_in("mara", TABLET)


def test_the_limits_stand_far_apart():
    """One forgetful person adds five at most to the count of the address, on each of a few devices."""
    assert tries.WRONG_TRIES_OF_A_NAME >= 5 * tries.WRONG_TRIES
    assert tries.WRONG_TRIES_FROM_AN_ADDRESS >= 10 * tries.WRONG_TRIES


# What can be learned by it: nothing.


def test_an_unknown_name_is_treated_like_a_known_one(mara):
    known = [give("mara", WRONG) for _ in range(7)]
    unknown = [give("nobody", WRONG, TABLET) for _ in range(7)]
    assert [each.status_code for each in known] == [each.status_code for each in unknown]
    for one, other in zip(known, unknown, strict=True):
        assert errors_in(one) == errors_in(other)


def errors_in(answer) -> list[str]:
    return answer.context["form"].non_field_errors()


def test_a_password_is_hashed_once_whether_the_name_is_known_or_not(mara, monkeypatch):
    hashed = []
    encode = MD5PasswordHasher.encode
    monkeypatch.setattr(MD5PasswordHasher, "encode", lambda *what: hashed.append(1) or encode(*what))
    give("mara", WRONG)
    known = len(hashed)
    give("nobody", WRONG)
    assert known == len(hashed) - known == 1
    wrong("mara", 4)
    del hashed[:]
    assert give("mara", recorded.PASSWORD).status_code == 429
    assert hashed == []


def test_no_name_is_kept_in_the_clear(mara):
    """People type their password into the box of the name."""
    give("three calm herons", WRONG)
    kept = str([*SignInTry.objects.values(), *AuditEntry.objects.values()])
    assert "herons" not in kept and WRONG not in kept


# What is written down.


def test_each_wrong_password_is_on_record(mara):
    wrong("mara", 6)
    rows = AuditEntry.objects.filter(action=WRONG_AT_SIGN_IN).order_by("pk")
    assert [row.detail["must_wait"] for row in rows] == [False] * 4 + [True]
    for row in rows:
        assert (row.object_type, row.object_id) == ("user", str(mara.pk))
        assert (row.practice_id, row.actor_id) == (mara.practice_id, None)
        assert row.detail["address"] == DESK


def test_a_wrong_name_is_on_record_without_the_name(db):
    give("nobody", WRONG)
    row = AuditEntry.objects.get(action=WRONG_AT_SIGN_IN)
    assert (row.object_type, row.practice_id, row.detail["address"]) == ("signintry", None, DESK)


def test_tries_are_forgotten_after_a_day(mara):
    fill(3, ago=timedelta(hours=25))
    fill(2, ago=timedelta(hours=23))
    signs_in("mara")
    assert SignInTry.objects.count() == 3


# Which address.


@pytest.mark.parametrize(
    ("address", "said", "counted"),
    [
        (DESK, "", DESK),
        ("::ffff:192.168.1.20", "", DESK),
        (HOME, "", HOME),
        # A web server on this machine says for whom it asks; only its own word counts, the last.
        ("127.0.0.1", "10.0.0.9", "10.0.0.9"),
        ("127.0.0.1", "6.6.6.6, 10.0.0.9", "10.0.0.9"),
        ("::ffff:127.0.0.1", "10.0.0.9", "10.0.0.9"),
        ("127.0.0.1", "nonsense", "127.0.0.1"),
        # Nobody else may choose the address they are counted under.
        (DESK, "10.0.0.9", DESK),
    ],
)
def test_it_counts_the_address_of_the_device(db, address, said, counted):
    give("nobody", WRONG, address, **({"X-Forwarded-For": said} if said else {}))
    assert SignInTry.objects.get().address == counted


@pytest.mark.django_db(transaction=True)
def test_twenty_at_the_same_moment_are_not_twenty_guesses():
    recorded.member(recorded.practice(), "mara")

    def try_once(_: int) -> bool:
        try:
            counted = tries.password_of("mara", address=DESK)
            row = tries.begin(counted)
            tries.was_wrong(row=row, counted=counted, named=None)
            return True
        except MustWait:
            return False
        finally:
            connections["default"].close()

    with ThreadPoolExecutor(20) as pool:
        looked_at = sum(pool.map(try_once, range(20)))
    assert looked_at <= tries.WRONG_TRIES
    # Who had to wait is not counted as well.
    assert SignInTry.objects.count() == looked_at

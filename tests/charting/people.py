"""The people of these tests."""

import pytest
from django.test import Client

from charting.staff.models import User
from charting.visits.models import Visit
from tests.charting import recorded


@pytest.fixture
def practice(db):
    return recorded.practice()


@pytest.fixture
def mara(practice) -> User:
    """Treats anna."""
    names = {
        "first_name": "Mara",
        "last_name": "Steiner",
        "title": "Physiotherapist",
        "registration": "PT 4711",
    }
    return recorded.member(practice, "mara", **names)


@pytest.fixture
def tom(practice) -> User:
    """A colleague of mara's."""
    return recorded.member(practice, "tom", first_name="Tom", last_name="Berg")


@pytest.fixture
def poll(practice) -> User:
    """Sits at the desk: registers people, opens no chart."""
    return recorded.member(practice, "poll", role=User.Role.DESK)


@pytest.fixture
def ines(db) -> User:
    """Works at another practice and must see nothing."""
    return recorded.member(recorded.practice("Another Practice"), "ines")


@pytest.fixture
def anna(practice):
    return recorded.patient(practice)


@pytest.fixture
def visit(anna, mara) -> Visit:
    """Everything is recorded, nothing is signed."""
    return recorded.whole_visit(anna, mara)


@pytest.fixture
def as_mara(mara) -> Client:
    return signed_in(mara)


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client

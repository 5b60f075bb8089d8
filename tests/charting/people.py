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
def nele(practice) -> User:
    """A trainee: signs notes that somebody else signs in addition."""
    return recorded.member(practice, "nele", first_name="Nele", is_trainee=True)


@pytest.fixture
def ada(practice) -> User:
    """Checks who did what: reads the log, opens no chart, knows no name of a patient."""
    return recorded.member(practice, "ada", role=User.Role.AUDITOR)


@pytest.fixture
def otto(practice) -> User:
    """Treats at the other site of the practice, where anna is not seen."""
    user = recorded.member(practice, "otto", first_name="Otto", every_site=False)
    user.sites.add(recorded.site(practice, "By the Lake"))
    return user


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

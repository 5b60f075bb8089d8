"""The cast, for every test of the chart (tests/charting/people.py), and what many of them begin with."""

import uuid
from collections.abc import Iterator
from functools import lru_cache

import pytest
from django.test import Client

from charting.report import pdf
from charting.staff.models import User
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import (
    ada,
    anna,
    as_mara,
    ines,
    mara,
    nele,
    otto,
    poll,
    practice,
    signed_in,
    tom,
    visit,
)

__all__ = ["ada", "anna", "as_mara", "ines", "mara", "nele", "otto", "poll", "practice", "tom", "visit"]


@pytest.fixture(autouse=True, scope="session")
def _each_paper_is_laid_out_once() -> Iterator[None]:
    """The same page gives the same bytes (report/test_same_bytes.py, in fresh processes)."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(pdf, "_made", lru_cache(maxsize=64)(pdf._made))
        yield


@pytest.fixture
def vera(practice) -> User:
    """Manages the practice: reads charts, writes none."""
    return recorded.member(practice, "vera", role=User.Role.OWNER)


@pytest.fixture
def blank(anna, mara) -> Visit:
    """A visit that was just started."""
    return Visit.objects.create(patient=anna, clinician=mara)


@pytest.fixture
def as_poll(poll) -> Client:
    return signed_in(poll)


@pytest.fixture
def as_vera(vera) -> Client:
    return signed_in(vera)


@pytest.fixture
def as_ines(ines) -> Client:
    return signed_in(ines)


@pytest.fixture
def new_id() -> str:
    return str(uuid.uuid4())

"""The same form sent twice, by a double tap or a line that was cut: one record, at every address.

OWASP ASVS 5.0, 15.4.2 (nothing changes between check and use) asks it of the server, whatever pages do about
double taps.
"""

import contextlib
import uuid
from collections import Counter

import pytest
from django.apps import apps
from django.db import transaction

from charting.staff.models import User
from tests.charting.every_address import ADDRESSES
from tests.charting.people import signed_in

# Rows that are made again on purpose: what was tried and looked at is told as often as it happened.
NO_RECORD = {"auditentry", "signintry", "session", "staffsession"}
# The struck drawing of these tests holds no strokes, so nothing is brought back; one with strokes is brought
# back once (charting.moving.services.bring_back).
NOTHING_TO_TELL = {"drawing-struck"}
POSTS = [each for each in ADDRESSES if each.verb == "POST" and each.name not in NOTHING_TO_TELL]
# What the page itself sends along.
ALSO = {"insurance-authorise": lambda: {"id": uuid.uuid4()}}
# Of the forms here that go through the first time, fewer than this would prove nothing.
AT_LEAST = 30


def rows() -> Counter[str]:
    models = [each for each in apps.get_models() if each._meta.model_name not in NO_RECORD]
    return Counter({each._meta.model_name: each._base_manager.count() for each in models})


@pytest.fixture
def everybody(mara) -> User:
    """Somebody who may do all there is to do."""
    User.objects.filter(pk=mara.pk).update(owns_practice=True, writes_patterns=True)
    return User.objects.get(pk=mara.pk)


@contextlib.contextmanager
def undone():
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def test_it_makes_one_record_of_the_same_form_sent_twice(visit, everybody):
    twice, went_through = {}, set()
    for address in POSTS:
        with undone():
            url, data = address.url(visit), address.data(visit) | ALSO.get(address.name, dict)()
            client = signed_in(everybody)
            before = rows()
            client.post(url, data)
            once = rows()
            if once == before:
                continue
            went_through.add(address.name)
            client.post(url, data)
            if more := +(rows() - once):
                twice[address.name] = dict(more)
    assert not twice
    assert len(went_through) >= AT_LEAST, sorted(went_through)

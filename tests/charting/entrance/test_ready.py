"""/readyz: yes or no to our own proxies (OWASP ASVS 5.0, 13.4.5: a place to watch tells nobody else)."""

import pytest
from django.contrib.sessions.models import Session
from django.db import OperationalError
from django.test import Client

from charting.entrance import ready
from charting.retention.models import Purge
from tests.charting import recorded

pytestmark = pytest.mark.django_db


def asked(**more: str):
    return Client(**more).get("/readyz")


def test_it_is_ready_and_leaves_no_row():
    answer = asked()
    assert (answer.status_code, answer.content) == (200, b"ready")
    assert not Session.objects.exists()


@pytest.mark.parametrize("part", ready.CHECKS)
def test_it_says_no_and_nothing_more(part, monkeypatch, caplog):
    def broken() -> bool:
        raise OperationalError("no such host db.internal")

    monkeypatch.setitem(ready.CHECKS, part, broken)
    answer = asked()
    assert (answer.status_code, answer.content) == (503, b"not ready")
    assert [each.part for each in caplog.records if each.getMessage() == "not ready"] == [part]


def test_it_is_not_ready_while_a_migration_is_missing(monkeypatch):
    monkeypatch.setattr(ready, "wanted", lambda: frozenset({("charting", "9999_of_tomorrow")}))
    assert asked().status_code == 503


def test_it_is_not_ready_without_room(monkeypatch):
    monkeypatch.setattr(ready, "LEAST_FREE", 10**18)
    assert asked().status_code == 503


def test_it_is_not_ready_while_a_purge_stands_open():
    Purge.objects.create(
        practice=recorded.practice(),
        patient_id="7a0d3f0e-0000-4000-8000-000000000001",
        record_number=1,
        by="vera",
        reason="period over",
        last_entry_on="2010-01-01",
    )
    assert asked().status_code == 503


def test_a_stranger_finds_no_such_page():
    assert asked(REMOTE_ADDR="203.0.113.9").status_code == 404
    assert Client().get("/readyz", headers={"X-Forwarded-For": "203.0.113.9"}).status_code == 404

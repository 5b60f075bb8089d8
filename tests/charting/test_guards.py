"""Append-only tables stay so in tests; only the emptying after a test with real commits may pass."""

import pytest
from django.db import DatabaseError, connection, transaction

from charting.audit.models import AuditEntry
from charting.audit.services import record
from charting.staff.models import User
from charting.staff.services import CommandLine
from tests import guards


def an_entry() -> AuditEntry:
    with transaction.atomic():
        record(who=CommandLine(), did="tried", what=User())
    return AuditEntry.objects.get(action="tried")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("turn", ["first", "second"])
def test_each_test_begins_with_an_empty_table(turn):
    assert not AuditEntry.objects.exists()
    an_entry()


@pytest.mark.django_db(transaction=True)
def test_the_triggers_are_back_after_the_emptying():
    entry = an_entry()
    with guards.lifted(connection):
        AuditEntry.objects.filter(pk=entry.pk).delete()
    entry = an_entry()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        AuditEntry.objects.filter(pk=entry.pk).delete()

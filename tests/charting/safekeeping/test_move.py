"""From the embedded file to a server: the same rows, keys that count on, triggers that refuse. 45 CFR
164.312(c)(1): nothing altered; postgresql.org/docs/15/functions-sequence.html: the next number is a new one.
"""

import lzma
import os
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction

from charting.safekeeping import contents
from charting.staff.models import Practice, Site, User
from tests.charting.safekeeping.test_upgrade import OLD
from tests.test_start import ROOT

LARGE = (
    "charting_auditentry",
    "charting_signednote",
    "charting_storedstroke",
    "charting_user",
    "auth_permission",
)


@pytest.fixture
def file(data):
    """A practice's embedded file, at this release."""
    path = data / "tautline.sqlite3"
    path.write_bytes(lzma.decompress(OLD.read_bytes()))
    environment = {name: told for name, told in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"TAUTLINE_DATA": str(data), "DJANGO_SETTINGS_MODULE": "clinic.settings"}
    migrate = [sys.executable, "manage.py", "migrate", "--verbosity=0"]
    subprocess.run(migrate, cwd=ROOT, env=environment, check=True)
    return path


def rows_in(file):
    with closing(sqlite3.connect(file)) as database:
        return {
            table: database.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608
            for table in LARGE
        }


def rows_here():
    with connection.cursor() as cursor:
        found = {}
        for table in LARGE:
            cursor.execute(f"SELECT count(*) FROM {table}")  # noqa: S608
            found[table] = cursor.fetchone()[0]
        return found


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_everything_is_there_or_nothing(file, monkeypatch):
    with monkeypatch.context() as patched:
        patched.setattr(contents, "problems", lambda *using: iter(["a note is another"]))
        with pytest.raises(CommandError, match=r"a note is another.*Nothing was moved"):
            call_command("move_database")
    assert not User.objects.exists()
    before = file.read_bytes()
    call_command("move_database")
    assert file.read_bytes() == before
    assert rows_here() == rows_in(file)
    assert list(contents.problems()) == []
    Site.objects.create(practice=Practice.objects.first(), name="A new one")
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE charting_signednote SET content = '{}'")
    with pytest.raises(CommandError, match="people in this database already"):
        call_command("move_database")


@pytest.mark.skipif(connection.vendor != "sqlite", reason="about a server that was not named")
def test_without_a_server_it_says_what_to_name(data):
    with pytest.raises(CommandError, match="DATABASE_URL"):
        call_command("move_database")

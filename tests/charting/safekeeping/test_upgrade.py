"""The database of the release before, brought to the tables of this one. 21 CFR 11.10 (c): records can be
retrieved throughout their time; 45 CFR 164.312(c)(1). The old file was made by that release itself (commit of
its migration 0017): its demo practice with one signed visit; one of its two papers was left out for its size.
"""

import hashlib
import lzma
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection, connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from charting.safekeeping import embedded, upgrade

pytestmark = pytest.mark.skipif(connection.vendor != "sqlite", reason="about the embedded file")
OLD = Path(__file__).parent / "before" / "0017.sqlite3.xz"
# What both releases keep, word for word.
KEPT = {
    "charting_signednote": "id, visit_id, content, content_sha256",
    "charting_signedpaper": "id, note_id, pdf, sha256",
    "charting_storedstroke": "*",
    "charting_patient": "id, record_number, family_name, given_names, birth_date",
    "charting_visit": "id, patient_id, clinician_id, started_at, signed_at",
    "charting_auditentry": "id, at, practice_id, actor, action, object_type, object_id, detail",
}


@pytest.fixture
def old(tmp_path, settings, django_db_blocker):
    """The old file in a data folder, and every part of the upgrade pointed at it."""
    settings.DATA = tmp_path
    file = tmp_path / "tautline.sqlite3"
    file.write_bytes(lzma.decompress(OLD.read_bytes()))
    told = {**embedded._settings(str(file)), "OPTIONS": {"transaction_mode": "IMMEDIATE"}}
    wrapper = DatabaseWrapper(told, "default")
    before = connections["default"]
    connections["default"] = wrapper
    with django_db_blocker.unblock():
        yield file
        wrapper.close()
    connections["default"] = before


def kept(file):
    with closing(sqlite3.connect(file)) as database:
        return {
            table: database.execute(f"SELECT {columns} FROM {table} ORDER BY 1").fetchall()  # noqa: S608
            for table, columns in KEPT.items()
        }


def migrated():
    with upgrade.safely():
        call_command("migrate", verbosity=0, interactive=False)


def test_nothing_of_before_is_lost_and_the_trail_becomes_a_chain(old):
    before = kept(old)
    assert all(before.values())
    migrated()
    connections["default"].close()
    assert kept(old) == before
    (pdf, wanted), *_ = [(row[2], row[3]) for row in before["charting_signedpaper"]]
    assert hashlib.sha256(pdf).hexdigest() == wanted
    (copy,) = (old.parent / upgrade.FOLDER).iterdir()
    assert kept(copy) == before
    after = old.with_name("after.sqlite3")
    embedded.copy(old, after)
    found = embedded.read(after)
    assert found.problems == () and found.heads
    assert found.migration > "0017" and embedded.read(copy).migration == "0017_merged_records"
    with closing(sqlite3.connect(old)) as database, pytest.raises(sqlite3.DatabaseError, match="append-only"):
        database.execute("UPDATE charting_signednote SET content = '{}'")


def test_a_migration_that_fails_leaves_the_file_as_it_was(old):
    before = embedded.read(old)
    with pytest.raises(sqlite3.OperationalError, match="no room"), upgrade.safely():
        call_command("migrate", "charting", "0018", verbosity=0, interactive=False)
        raise sqlite3.OperationalError("no room")
    connections["default"].close()
    assert embedded.read(old) == before


def test_the_last_three_copies_stay(old):
    made = [upgrade.keep_copy() for _ in range(5)]
    upgrade.forget_older()
    assert sorted((old.parent / upgrade.FOLDER).iterdir()) == made[-3:]
    assert {file.stat().st_mode & 0o777 for file in made[-3:]} == {0o600}

"""A copy made while others write, and read back. 45 CFR 164.308(a)(7)(ii)(A): retrievable exact copies;
45 CFR 164.312(c)(1): integrity; OWASP ASVS 5.0 11.3.2: AES-GCM; sqlite.org/backup.html:
a copy is of one moment.
"""

import io
import sqlite3
import stat
import threading
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from charting.audit.models import AuditEntry
from charting.notes.models import SignedNote
from charting.safekeeping import archive, backup, embedded, keys
from charting.safekeeping.manifest import SQLITE
from charting.staff.models import Site

only_embedded = pytest.mark.skipif(connection.vendor != "sqlite", reason="about the embedded file")


def said(*words, **more):
    out = io.StringIO()
    call_command(*words, stdout=out, **more)
    return out.getvalue()


def only(folder):
    (file,) = folder.iterdir()
    return file


@pytest.fixture
def shelf(tmp_path):
    folder = tmp_path / "shelf"
    folder.mkdir()
    return folder


@pytest.fixture
def key(tmp_path):
    file = tmp_path / "key"
    keys.make_file(file)
    return str(file)


def test_it_holds_everything_for_its_owner_alone_and_leaves_nothing_beside(signed, shelf, data):
    before = sorted(data.rglob("*"))
    told = said("backup", to=str(shelf))
    assert stat.S_IMODE(only(shelf).stat().st_mode) == 0o600
    assert sorted(data.rglob("*")) == before
    assert "Read back and found the same" in told and "Not encrypted" in told
    manifest, wrong = backup.check(only(shelf), None)
    assert wrong == ()
    assert manifest.found.tables["charting_auditentry"].rows == AuditEntry.objects.count() > 0
    assert manifest.found.tables["charting_signednote"].rows == 1
    last = AuditEntry.objects.order_by("-seq").first()
    assert (last.chain, last.seq, last.hash) in {(h.chain, h.seq, h.hash) for h in manifest.found.heads}
    assert {"secret_key", "certificates/server.crt"} < set(manifest.files)
    assert "is as it was then" in said("check_backup", str(only(shelf)))


def test_with_a_key_only_that_key_reads_it(signed, shelf, key, tmp_path):
    assert "Not encrypted" not in said("backup", to=str(shelf), key_file=key)
    told = only(shelf).read_bytes()
    assert b"manifest" not in told and told[:2] != b"\x1f\x8b"
    assert "is as it was then" in said("check_backup", str(only(shelf)), key_file=key)
    with pytest.raises(CommandError, match="is encrypted"):
        said("check_backup", str(only(shelf)))
    other = tmp_path / "other"
    said("backup", new_key=str(other))
    with pytest.raises(CommandError, match="Wrong key"):
        said("check_backup", str(only(shelf)), key_file=str(other))


def test_where_it_cannot_be_written_nothing_is_left(transactional_db, shelf, data, monkeypatch):
    def full(*anything):
        raise OSError(28, "No space left on device", str(shelf))

    monkeypatch.setattr(archive, "_put", full)
    with pytest.raises(CommandError, match="No space left on device. No copy was made"):
        said("backup", to=str(shelf))
    assert list(shelf.iterdir()) == []
    with pytest.raises(CommandError, match="No such file"):
        said("backup", to=str(shelf / "elsewhere"))


@only_embedded
def test_what_is_read_back_otherwise_is_no_copy(transactional_db, data, shelf, monkeypatch):
    written = archive.write

    def spoiled(target, manifest, folder, key):
        (folder / "secret_key").write_text("another")
        written(target, manifest, folder, key)

    monkeypatch.setattr(archive, "write", spoiled)
    with pytest.raises(CommandError, match="secret_key in the copy is not what was put there"):
        said("backup", to=str(shelf))
    assert list(shelf.iterdir()) == []


def test_a_note_that_was_changed_is_copied_and_named(signed, shelf):
    spoil(signed)
    with pytest.raises(CommandError, match="not what it was when it was stored") as refused:
        said("backup", to=str(shelf))
    assert refused.value.returncode == 3
    with pytest.raises(CommandError, match="not what it was when it was stored"):
        said("check_backup", str(only(shelf)))


def spoil(note):
    """Past the triggers, as who has the file could."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DROP TRIGGER charting_signednote_no_update")
            make_again = (
                "CREATE TRIGGER charting_signednote_no_update BEFORE UPDATE ON charting_signednote BEGIN "
            )
            make_again += "SELECT RAISE(ABORT, 'this table is append-only: charting_signednote'); END;"
        else:
            cursor.execute("ALTER TABLE charting_signednote DISABLE TRIGGER USER")
            make_again = "ALTER TABLE charting_signednote ENABLE TRIGGER USER"
        SignedNote.objects.filter(pk=note.pk).update(content={**note.content, "signed": "never"})
        cursor.execute(make_again)


@only_embedded
def test_a_copy_made_under_writes_is_of_one_moment(signed, data, tmp_path):
    """Each writer's transaction makes two rows: no copy holds one of them alone."""
    source = str(connection.settings_dict["NAME"])
    stop, practice = threading.Event(), signed.visit.patient.practice_id
    wrote = []

    def write():
        with closing(sqlite3.connect(source, timeout=20, isolation_level=None)) as database:
            while not stop.is_set() and len(wrote) < 2000:
                database.execute("BEGIN IMMEDIATE")
                for side in "ab":
                    database.execute(
                        "INSERT INTO charting_site (practice_id, name, street, town, phone, in_use, version)"
                        " VALUES (?, ?, '', '', '', 1, 1)",
                        (practice, f"{side}{len(wrote)}"),
                    )
                database.execute("COMMIT")
                wrote.append(1)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        while len(wrote) < 3 and writer.is_alive():
            stop.wait(0.01)
        copies = []
        for number in range(5):
            acknowledged = len(wrote)
            embedded.copy(Path(source), tmp_path / f"{number}.sqlite3")
            copies.append((acknowledged, tmp_path / f"{number}.sqlite3"))
    finally:
        stop.set()
        writer.join()
    assert len(wrote) > 5
    for acknowledged, file in copies:
        found = embedded.read(file)
        assert found.problems == ()
        assert found.tables["charting_site"].rows % 2 == 0
        # Whatever was acknowledged before the copy began is in it.
        assert found.tables["charting_site"].rows >= 2 * acknowledged
    assert Site.objects.count() == 2 * len(wrote)


@pytest.mark.postgres
def test_of_a_server_it_is_what_pg_dump_writes(signed, shelf, key):
    said("backup", to=str(shelf), key_file=key)
    manifest, wrong = backup.check(only(shelf), keys.from_file(Path(key)))
    assert manifest.database != SQLITE and "database.dump" in manifest.files
    assert wrong == ()
    assert manifest.found.tables["charting_signednote"].rows == 1

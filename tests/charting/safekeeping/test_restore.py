"""Lost, brought back, the same: the drill. 45 CFR 164.308(a)(7)(ii)(B): restore any loss of data, and (D):
testing it. A place that holds records is never written over.
"""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from charting.safekeeping import backup, embedded, keys, restore
from tests.test_start import ROOT

only_embedded = pytest.mark.skipif(connection.vendor != "sqlite", reason="about the embedded file")


def manage(data, *words):
    environment = {
        name: told for name, told in os.environ.items() if not name.startswith(("TAUTLINE", "DJANGO"))
    }
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env={**environment, "TAUTLINE_DATA": str(data)},
        capture_output=True,
        text=True,
        check=False,
    )


def rows(file):
    with closing(sqlite3.connect(file)) as database:
        return list(database.iterdump())


@only_embedded
def test_what_was_lost_is_there_again_and_the_second_time_nothing_is_written_over(signed, data, tmp_path):
    key = tmp_path / "key"
    keys.make_file(key)
    made = backup.make(tmp_path, keys.from_file(key))
    new = tmp_path / "new"
    done = manage(new, "restore", str(made.file), "--key-file", str(key))
    assert done.returncode == 0, done.stderr
    assert (new / "secret_key").read_text() == "only for tests"
    assert (new / "certificates" / "server.crt").read_text() == "a certificate"
    # Held against what the practice itself holds now, not against what the copy says of itself.
    assert rows(new / "tautline.sqlite3") == rows(connection.settings_dict["NAME"])
    assert embedded.read(new / "tautline.sqlite3").problems == ()
    assert sorted(file.name for file in new.iterdir()) == ["certificates", "secret_key", "tautline.sqlite3"]
    before = (new / "tautline.sqlite3").read_bytes()
    again = manage(new, "restore", str(made.file), "--key-file", str(key))
    assert again.returncode == 2 and "nothing is written over" in again.stderr
    assert (new / "tautline.sqlite3").read_bytes() == before


@pytest.fixture
def at(monkeypatch, settings):
    """The settings point at a folder without a database."""

    def point(folder):
        folder.mkdir()
        settings.DATA = folder
        monkeypatch.setattr(restore, "_file", lambda: folder / "tautline.sqlite3")
        return folder

    return point


@only_embedded
def test_a_copy_that_is_not_as_it_says_or_of_a_later_release_is_not_brought_back(
    transactional_db, data, tmp_path, at, monkeypatch
):
    made = backup.make(tmp_path, None)
    new = at(tmp_path / "new")
    (new / "secret_key").write_text("of another practice")
    with pytest.raises(CommandError, match="another secret_key"):
        call_command("restore", str(made.file))
    (new / "secret_key").unlink()
    with monkeypatch.context() as patched:
        patched.setattr(embedded, "read", lambda file: made.manifest.found.__class__("", {}, (), ("a hole",)))
        with pytest.raises(CommandError, match="a hole"):
            call_command("restore", str(made.file))
    with monkeypatch.context() as patched:
        patched.setattr(restore, "MigrationLoader", lambda none: type("Older", (), {"disk_migrations": {}}))
        with pytest.raises(CommandError, match="later release"):
            call_command("restore", str(made.file))
    assert list(new.iterdir()) == []


@pytest.mark.postgres
def test_a_server_gets_back_what_it_held(signed, data, tmp_path):
    made = backup.make(tmp_path, None)
    with pytest.raises(CommandError, match="tables in this database already"):
        call_command("restore", str(made.file))
    name, other = connection.settings_dict["NAME"], "restored_" + str(os.getpid())
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE DATABASE {other}")
    try:
        connection.close()
        connection.settings_dict["NAME"] = other
        call_command("restore", str(made.file))
        with pytest.raises(Exception, match="append-only"), connection.cursor() as cursor:
            cursor.execute("DELETE FROM charting_auditentry")
    finally:
        connection.close()
        connection.settings_dict["NAME"] = name
        with connection.cursor() as cursor:
            cursor.execute(f"DROP DATABASE {other}")


def test_the_file_must_be_there(tmp_path):
    with pytest.raises(CommandError, match="No such file"):
        call_command("restore", str(Path(tmp_path) / "none"))

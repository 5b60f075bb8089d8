"""The courses beside the server: begun after a first start, where they are wanted, never twice at once."""

import fcntl
import os
import subprocess
import sys
import time

from clinic import courses
from tests.test_start import ROOT

ACCOUNTS = (
    "from django.core.management import call_command; call_command('migrate', verbosity=0);"
    "from charting.staff.models import Practice, User; from charting.management import demo;"
    "practice = Practice.objects.create(name=demo.load()['practice']['name']);"
    "[User.objects.create_user(each['username'], password='x', practice=practice)"
    " for each in demo.load()['staff']];"
)
# As the last line of each course says it.
WRITTEN = (
    "from django.db import transaction; from charting.audit.models import AuditEntry;"
    "from charting.management import courses;"
    "[AuditEntry.objects.create(action=courses.WRITTEN, object_type='patient', seq=seq,"
    " object_id=str(courses.person_id(practice, one)), actor='') for seq, one in enumerate(courses.left())]"
)


def environment(data) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
    kept.pop("DATABASE_URL", None)
    return {**kept, "TAUTLINE_DATA": str(data), "DJANGO_SETTINGS_MODULE": "clinic.settings"} | {
        "TAUTLINE_SECRET_KEY": "of a test " * 6
    }


def practice_in(data, code: str) -> None:
    lines = f"import django; django.setup(); {code}"
    subprocess.run([sys.executable, "-c", lines], cwd=ROOT, env=environment(data), check=True, timeout=300)


def begin(data, server: int) -> str:
    """What its log says once it is through."""
    (data / courses.TO_WRITE).touch()
    command = [sys.executable, "-m", "clinic.courses", str(data), str(server)]
    subprocess.run(command, cwd=ROOT, env=environment(data), check=True, timeout=60)
    log, end = data / courses.LOG, time.monotonic() + 120
    while time.monotonic() < end and not (log.exists() and log.read_text(encoding="utf-8")):
        time.sleep(0.2)
    return log.read_text(encoding="utf-8")


def gone() -> int:
    """The number of a process that has ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    return ended.pid


def test_they_are_wanted_unless_somebody_says_no(tmp_path, monkeypatch):
    monkeypatch.delenv("TAUTLINE_COURSES", raising=False)
    assert not courses.are_left(tmp_path)
    courses.want(tmp_path)
    assert courses.are_left(tmp_path)
    monkeypatch.setenv("TAUTLINE_COURSES", "no")
    assert not courses.are_left(tmp_path)
    other = tmp_path / "other"
    other.mkdir()
    courses.want(other)
    assert not list(other.iterdir())


def test_without_its_server_it_writes_nothing_and_the_rest_is_for_the_next_start(tmp_path):
    practice_in(tmp_path, ACCOUNTS)
    assert begin(tmp_path, gone()).startswith("The server stopped")
    assert (tmp_path / courses.TO_WRITE).exists()


def test_once_all_are_written_no_start_begins_again(tmp_path):
    practice_in(tmp_path, ACCOUNTS + WRITTEN)
    assert begin(tmp_path, os.getpid()) == "All courses are written.\n"
    assert not (tmp_path / courses.TO_WRITE).exists()


def test_where_the_practice_is_another_one_the_log_says_so(tmp_path):
    other = ACCOUNTS.replace("demo.load()['practice']['name']", "'Physiotherapy by the Mill'")
    practice_in(tmp_path, other)
    assert "demo practice only" in begin(tmp_path, os.getpid())


def test_two_of_them_are_never_at_it_at_once(tmp_path):
    with (tmp_path / courses.LOCK).open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        assert begin(tmp_path, os.getpid()) == "Somebody else is writing them already.\n"
    assert not (tmp_path / "tautline.sqlite3").exists()

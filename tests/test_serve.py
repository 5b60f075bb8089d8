"""`make run` on a machine that has everything: a first start, a second start, and a stop."""

import os
import re
import secrets
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.test_start import ROOT, free_port

READY = re.compile(r"Tautline is ready at http://127\.0\.0\.1:(\d+)")


class Served:
    """One start of the server: what it said until it was ready, and how long that took."""

    def __init__(self, data: Path, *words: str, **more: str) -> None:
        environment = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
        environment |= {"TAUTLINE_DATA": str(data), "PORT": free_port(), "TAUTLINE_COURSES": "no", **more}
        environment.pop("DATABASE_URL", None)
        environment.pop("DJANGO_SETTINGS_MODULE", None)
        began = time.monotonic()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "clinic.start", *words],
            cwd=ROOT,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines = []
        for line in self.process.stdout:
            self.lines.append(line.rstrip())
            if "Ctrl-C" in line:
                break
        self.seconds = time.monotonic() - began

    def stop(self) -> int:
        """Ctrl-C, as the terminal sends it. Returns the exit code."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(timeout=20)


@pytest.fixture(scope="module")
def starts(tmp_path_factory):
    """Two starts on one new data folder, and the rows before and after the second."""
    data = tmp_path_factory.mktemp("practice") / "data"
    first = Served(data)
    code = first.stop()
    before = rows(data)
    second = Served(data)
    second.stop()
    return {"data": data, "first": first, "second": second, "code": code, "rows": (before, rows(data))}


def rows(data: Path) -> list[str]:
    with sqlite3.connect(data / "tautline.sqlite3") as database:
        return list(database.iterdump())


def test_it_says_where_to_go_and_how_to_sign_in(starts):
    told = "\n".join(starts["first"].lines)
    assert READY.search(told), told
    assert "Demo practice" in told


def test_it_says_so_again_on_the_second_start(starts):
    told = "\n".join(starts["second"].lines)
    assert READY.search(told), told
    assert "Making the demo practice" not in told


def test_the_second_start_touches_no_data(starts):
    before, after = starts["rows"]
    assert len(before) > 50
    assert after == before


def test_it_stops_cleanly_on_ctrl_c(starts):
    assert starts["code"] == 0
    assert "Traceback" not in "\n".join(starts["first"].lines)


def test_what_it_writes_is_the_owners_alone(starts):
    for name in ("", "secret_key", "tautline.sqlite3"):
        assert (starts["data"] / name).stat().st_mode & 0o077 == 0, name


def test_a_practice_behind_https_passes_the_checks_of_a_deployment():
    told = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        env={**os.environ, "TAUTLINE_TLS": "1", "TAUTLINE_SECRET_KEY": secrets.token_urlsafe(64)}
        | {"DJANGO_SETTINGS_MODULE": "clinic.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stderr

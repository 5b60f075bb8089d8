"""What `make run` says when it cannot: one plain sentence and a failing exit, never a traceback."""

import ast
import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def start(*command: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run with an environment that leaves this machine's own settings out."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
    for name in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE"):
        clean.pop(name, None)
    return subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        env={**clean, **environment},
        capture_output=True,
        text=True,
        timeout=60,
    )


def said(told: subprocess.CompletedProcess[str]) -> str:
    """The one sentence on standard error."""
    assert told.returncode not in (0, None), told.stdout
    (line,) = told.stderr.strip().splitlines()
    assert line.endswith(".")
    return line


@pytest.fixture
def data(tmp_path):
    return str(tmp_path / "data")


def test_it_says_that_the_port_is_taken(data):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        told = start("-m", "clinic.start", PORT=port, TAUTLINE_DATA=data)
    assert f"Port {port} cannot be used" in said(told)


@pytest.mark.parametrize("port", ["0", "65536", "http", "-1", ""])
def test_it_refuses_what_is_no_port(port, data):
    assert "PORT must be a number" in said(start("-m", "clinic.start", PORT=port, TAUTLINE_DATA=data))


def test_it_says_that_the_data_folder_cannot_be_written():
    # /proc cannot be written by anybody, root included.
    told = start("-m", "clinic.start", PORT=free_port(), TAUTLINE_DATA="/proc/tautline")
    assert "The data folder /proc/tautline cannot be written" in said(told)


def test_it_names_a_missing_module(data):
    # -S leaves the installed packages out.
    told = start("-S", "-m", "clinic.serve", PORT=free_port(), TAUTLINE_DATA=data)
    assert "module 'django' is missing from .venv" in said(told)


def test_it_refuses_a_database_address_it_does_not_know(data):
    told = start("-m", "clinic.serve", PORT=free_port(), TAUTLINE_DATA=data, DATABASE_URL="mysql://x/y")
    assert "DATABASE_URL must begin with postgres://" in said(told)


def test_it_says_that_the_database_does_not_answer(data):
    url = f"postgres://nobody@127.0.0.1:{free_port()}/none"
    told = start("-m", "clinic.serve", PORT=free_port(), TAUTLINE_DATA=data, DATABASE_URL=url)
    assert said(told).startswith("The database cannot be used")


@pytest.mark.parametrize("module", ["clinic.start", "tests.run"])
def test_it_says_that_python_is_too_old(module):
    code = f"import runpy, sys; sys.version_info = (3, 9, 2); runpy.run_module('{module}')"
    assert "needs Python 3.11 or newer, and this is 3.9" in said(start("-c", code))


@pytest.mark.parametrize("file", ["clinic/start.py", "clinic/machine.py", "tests/run.py", "tests/cluster.py"])
def test_an_old_python_can_read_as_far_as_that_sentence(file):
    ast.parse((ROOT / file).read_text(), feature_version=(3, 7))


def free_port() -> str:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return str(trial.getsockname()[1])

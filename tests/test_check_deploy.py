"""`check --deploy` has nothing to say about the settings that DEPLOY.md names (Django's own checklist)."""

import os
import secrets
import subprocess
import sys

import pytest

from tests.test_start import ROOT


def checked(tmp_path, **more: str) -> subprocess.CompletedProcess[str]:
    left = {name: value for name, value in os.environ.items() if not name.startswith("TAUTLINE_")}
    left |= {"DJANGO_SETTINGS_MODULE": "clinic.settings", "TAUTLINE_DATA": str(tmp_path)}
    return subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        env={**left, **more},
        capture_output=True,
        text=True,
    )


@pytest.fixture
def server(tmp_path):
    told = {
        "TAUTLINE_TLS": "1",
        "TAUTLINE_HOSTS": "chart.example.org",
        "TAUTLINE_PROXIES": "10.0.0.5",
        "TAUTLINE_LOG": "json",
        "TAUTLINE_SECRET_KEY": secrets.token_urlsafe(64),
    }
    return lambda **more: checked(tmp_path, **{**told, **more})


def test_a_server_as_described_is_clean(server):
    ended = server()
    assert ended.returncode == 0, ended.stderr


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("TAUTLINE_TLS", "0", "SESSION_COOKIE_SECURE"),
        ("TAUTLINE_DEBUG", "1", "DEBUG"),
        ("TAUTLINE_SECRET_KEY", "short", "SECRET_KEY"),
        ("TAUTLINE_PROXIES", "everybody", "TAUTLINE_PROXIES"),
        ("DATABASE_URL", "mysql://db/x", "DATABASE_URL"),
    ],
)
def test_it_names_what_to_mend(server, name, value, said):
    ended = server(**{name: value})
    assert ended.returncode != 0
    assert said in ended.stderr

"""The clinic's settings, made quick and harmless for tests: nothing of a real practice is ever touched."""

import os
import tempfile
from pathlib import Path

# Before the settings are read. `make test` gives a folder of its own; a bare pytest gets one here.
if "TAUTLINE_DATA" not in os.environ:
    _folder = tempfile.TemporaryDirectory(prefix="tautline-test-")  # removed when the process ends
    os.environ["TAUTLINE_DATA"] = _folder.name
# Tests that run side by side (pytest-xdist) never share a folder.
if _worker := os.environ.get("PYTEST_XDIST_WORKER"):
    _own = Path(os.environ["TAUTLINE_DATA"]) / _worker
    _own.mkdir(parents=True, exist_ok=True)
    os.environ["TAUTLINE_DATA"] = str(_own)
os.environ.setdefault("TAUTLINE_SECRET_KEY", "only for tests, never for a practice")

from clinic.settings import *  # noqa: E402, F403
from clinic.settings import DATA, DATABASES, STORAGES  # noqa: E402

# Hashing a password well takes a tenth of a second by design; hundreds of tests sign in.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Pages under test need no gathered, hashed copies; the browser tests run on the real thing.
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_AUTOREFRESH = True
if not os.environ.get("DATABASE_URL"):
    # A file, not memory: threads then have connections of their own, as in the running server.
    DATABASES["default"]["TEST"] = {"NAME": Path(DATA) / "test.sqlite3"}
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # Not a practice's file: no need to wait for the disk.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF; PRAGMA recursive_triggers=ON;",
    }

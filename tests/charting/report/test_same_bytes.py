"""Two fresh processes make the same bytes: a signed note can be checked by its hash."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

from charting.report import pdf
from tests.charting.report import printed

ROOT = Path(__file__).resolve().parents[3]
PRINT = """
import datetime, hashlib, json, sys, django
django.setup()
from charting.report import pdf
from charting.report.papers import Signature
given = json.load(sys.stdin)
at = datetime.datetime.fromisoformat(given["signature"].pop("at"))
signature = Signature(at=at, **given["signature"])
made = pdf.render(given["content"], paper="a4", signed=signature, sha256=given["sha256"])
print(hashlib.sha256(made).hexdigest())
"""


def elsewhere(given: dict, seed: str, time_zone: str) -> str:
    """The hash of the paper as another process makes it, in another place and with other hash seeds."""
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": time_zone}
    environment["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    told = subprocess.run(
        [sys.executable, "-c", PRINT], input=json.dumps(given), cwd=ROOT, env=environment,
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return told.stdout.strip()


def test_it_makes_the_same_bytes_in_two_fresh_processes(content, signature):
    fields = {name: getattr(signature, name) for name in signature.__dataclass_fields__}
    given = {"content": content, "sha256": "5c" * 32, "signature": {**fields, "at": signature.at.isoformat()}}
    first = elsewhere(given, "1", "UTC")
    second = elsewhere(given, "4242", "Pacific/Auckland")
    here = pdf.render(content, paper="a4", signed=signature, sha256="5c" * 32)
    assert first == second == hashlib.sha256(here).hexdigest()


def test_it_dates_the_file_by_the_signature(content, signature):
    made = pdf.render(content, paper="a4", signed=signature, sha256="5c" * 32)
    assert printed.created(made) == signature.at

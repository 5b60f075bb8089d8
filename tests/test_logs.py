"""Nothing of a person stands in a log (OWASP ASVS 5.0, 16.2.5; 16.4.1 for lines of one's own)."""

import json
import logging
import sys

import pytest
from django.core import mail
from django.db import IntegrityError
from django.test import Client

from clinic import logs

CANARY = "Zwitscherlin"


def line(record: logging.LogRecord) -> dict:
    return json.loads(logs.Lines().format(record))


def record(name: str, msg: str, args: tuple = (), **more: object) -> logging.LogRecord:
    made = logging.LogRecord(name, logging.ERROR, "/x/y.py", 7, msg, args, None)
    made.__dict__.update(more)
    return made


def test_it_writes_words_of_libraries_with_their_numbers_only():
    told = line(record("gunicorn.error", "Worker %s of %s", (17, CANARY)))
    assert told["words"] == "Worker 17 of ..."
    assert CANARY not in json.dumps(line(record("gunicorn.error", f"Invalid request /?q={CANARY}")))


def test_it_writes_an_exception_by_type_and_place():
    try:
        raise IntegrityError(f"Key (family_name)=({CANARY}) already exists")
    except IntegrityError:
        told = line(record("django.request", "%s: %s", ("x", CANARY), exc_info=sys.exc_info()))
    assert told["error"] == "django.db.utils.IntegrityError"
    assert told["places"][-1].endswith("test_it_writes_an_exception_by_type_and_place")
    assert CANARY not in json.dumps(told)


def test_it_writes_no_key_that_is_not_on_the_list():
    told = line(record("clinic", "answered", status=200, patient=CANARY))
    assert told["status"] == 200
    assert CANARY not in json.dumps(told)


def test_a_new_line_stays_within_its_line():
    written = logs.Lines().format(record("clinic", "answered", request="a\n{forged}"))
    assert "\n" not in written


@pytest.fixture
def written(caplog):
    caplog.set_level(logging.INFO, logger="clinic")
    return lambda: [line(each) for each in caplog.records]


def test_each_request_leaves_one_line_without_its_address(written, db):
    answer = Client().get(f"/patients/{CANARY}/?q={CANARY}")
    told = [each for each in written() if each["words"] == "answered"]
    assert len(told) == 1
    assert told[0]["route"] == "no such address"
    assert told[0]["request"] == answer.headers["X-Request-ID"]
    assert CANARY not in json.dumps(written())


def test_the_id_of_a_proxy_of_ours_is_kept_and_that_of_a_stranger_is_not(db):
    said = {"X-Request-ID": "from-the-proxy-1"}
    assert Client().get("/healthz", headers=said).headers["X-Request-ID"] == "from-the-proxy-1"
    stranger = Client(REMOTE_ADDR="203.0.113.9").get("/healthz", headers=said)
    assert stranger.headers["X-Request-ID"] != "from-the-proxy-1"


def test_an_error_is_mailed_to_nobody(settings, db, monkeypatch):
    settings.ADMINS = [("Operator", "operator@example.org")]
    monkeypatch.setattr("charting.entrance.views.render_to_string", lambda *_: "went wrong")
    monkeypatch.setattr("charting.entrance.views.is_ready", lambda: 1 / 0)
    client = Client(raise_request_exception=False)
    assert client.get("/readyz").status_code == 500
    assert mail.outbox == []

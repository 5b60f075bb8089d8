"""A practice with a few signed things in a database that others see, and a data folder of its own."""

import pytest
from django.test import override_settings

from charting.notes import services
from charting.report import pdf
from tests.charting import recorded


@pytest.fixture
def data(tmp_path):
    """The data folder: a key and certificates are in it."""
    folder = tmp_path / "data"
    (folder / "certificates").mkdir(parents=True)
    (folder / "secret_key").write_text("only for tests")
    (folder / "certificates" / "server.crt").write_text("a certificate")
    with override_settings(DATA=folder):
        yield folder


@pytest.fixture
def signed(transactional_db, data, monkeypatch):
    """Somebody's signed visit with its paper, and the trail of it. Real commits."""
    monkeypatch.setattr(pdf, "render", lambda content, **how: f"%PDF {sorted(how)}".encode())
    practice = recorded.practice()
    mara = recorded.member(practice, "mara", first_name="Mara", registration="PT 4711")
    visit = recorded.whole_visit(recorded.patient(practice), mara)
    return services.sign(who=mara, visit=visit, password=recorded.PASSWORD, read=recorded.as_read(visit))

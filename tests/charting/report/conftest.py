from datetime import UTC, datetime

import pytest

from charting.report import pdf
from charting.report.content import assemble
from charting.report.papers import Signature

SHA256 = "5c" * 32


@pytest.fixture
def content(visit):
    return assemble(visit, assessment="Infraspinatus tender.", plan="Look again in ten days.")


@pytest.fixture
def signature():
    at = datetime(2026, 11, 25, 13, 5, tzinfo=UTC)
    return Signature("Mara Steiner", "Physiotherapist", "PT 4711", "author", at, "Europe/Zurich")


@pytest.fixture
def draft(content):
    return pdf.render(content, paper="a4")


@pytest.fixture
def signed(content, signature):
    return pdf.render(content, paper="a4", signed=signature, sha256=SHA256)

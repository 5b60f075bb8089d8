from datetime import UTC, datetime

import pytest

from charting.report import pdf
from charting.report.content import assemble
from charting.report.papers import Signature
from tests.charting import recorded

SHA256 = "5c" * 32


@pytest.fixture
def content(visit):
    return assemble(visit, assessment="Infraspinatus tender.", plan="Look again in ten days.")


@pytest.fixture
def whole(visit):
    """With everything of the examination by hand."""
    recorded.hands_on(visit)
    return assemble(visit, assessment="Infraspinatus tender.", plan="Look again in ten days.")


@pytest.fixture
def signature():
    at = datetime(2026, 11, 25, 13, 5, tzinfo=UTC)
    return Signature("Mara Steiner", "Physiotherapist", "PT 4711", "author", at, "Europe/Zurich")


@pytest.fixture(scope="module")
def laid_out() -> dict[str, bytes]:
    """Papers of the visit: made once for all tests of a file, which only read them."""
    return {}


@pytest.fixture
def draft(laid_out, request):
    if "draft" not in laid_out:
        laid_out["draft"] = pdf.render(request.getfixturevalue("content"), paper="a4")
    return laid_out["draft"]


@pytest.fixture
def signed(laid_out, signature, request):
    if "signed" not in laid_out:
        content = request.getfixturevalue("content")
        laid_out["signed"] = pdf.render(content, paper="a4", signed=signature, sha256=SHA256)
    return laid_out["signed"]

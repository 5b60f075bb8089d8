import pytest

from charting.notes import services
from charting.report import pdf
from tests.charting.recorded import PASSWORD, as_read


@pytest.fixture
def quick_paper(monkeypatch):
    """Papers of a few bytes, for tests that are not about what is printed."""
    monkeypatch.setattr(pdf, "render", lambda content, **how: f"%PDF {sorted(how)}".encode())


@pytest.fixture
def note(visit, mara, quick_paper):
    """A signed note."""
    return services.sign(who=mara, visit=visit, password=PASSWORD, read=as_read(visit))

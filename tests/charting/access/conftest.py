"""Who may ask for a paper is decided before it is laid out: here a paper is the text it would be made of."""

import pytest

from charting.report import pdf


@pytest.fixture(autouse=True)
def _papers_are_not_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "_made", str.encode)

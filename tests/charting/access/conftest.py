from functools import cache

import pytest

from charting.report import pdf


@pytest.fixture(autouse=True, scope="package")
def _each_paper_is_laid_out_once():
    """Who may have a paper is asked here, not how it looks: what says the same is laid out once."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(pdf, "_made", cache(pdf._made))
        yield

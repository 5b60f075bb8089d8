import pytest

from tests.charting.examination.conftest import felt, listed

__all__ = ["felt", "listed"]


@pytest.fixture
def url(blank):
    return f"/visits/{blank.pk}/muscles/"

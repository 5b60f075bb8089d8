import pytest

from charting.episodes.models import Episode
from tests.charting.episodes.cared import an_episode


@pytest.fixture
def episode(anna, mara) -> Episode:
    """Of anna, with one signed visit."""
    return an_episode(anna, mara)

import pytest

from charting.letters.models import Letter
from tests.charting.letters import told


@pytest.fixture
def episode(anna, mara):
    """Five signed visits over three months, an insurer, codes, a booked visit."""
    made = told.an_episode(anna, mara)
    told.insure(made)
    told.code(made)
    told.book(made)
    return made


@pytest.fixture
def write(episode, mara):
    """A letter of a kind, begun by mara."""

    def begin(kind: str) -> Letter:
        from charting.letters import services

        return services.begin(who=mara, episode=episode, kind=kind)

    return begin

import pytest

from bodymaps import atlas
from charting.treatment import services, where
from charting.treatment.done import Done
from tests.charting import recorded


@pytest.fixture
def agreed(visit):
    """Agreed to, by hand and by needle, where these tests treat; asked what a needle asks."""
    recorded.agree(visit, "manual", "shoulder right", "shoulder left", "upper_back", "low_back")
    recorded.agree(visit, "needling", "shoulder right", "upper_back")
    recorded.asked_before_needles(visit)
    return visit


@pytest.fixture
def add(visit, mara):
    """add("pressure", "infraspinatus.right", minutes=4): recorded by Mara."""

    def put(technique, place, *, to=visit, who=mara, after=None, **more):
        said = Done(technique, where.parse(place), **more)
        return services.add_entry(who=who, visit=to, said=said, known=atlas.load(), after=after)

    return put


@pytest.fixture
def change(mara):
    """change(row, minutes=5): recorded by Mara on top of the row as it stands."""

    def keep(row, *, who=mara, version=None, **more):
        said = Done(**{**vars(services.done.of(row)), **more})
        on = {"visit": row.visit, "entry": row, "version": version or row.version}
        return services.change_entry(who=who, said=said, known=atlas.load(), **on)

    return keep

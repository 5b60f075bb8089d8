import pytest

from bodymaps import atlas
from charting.examination.services import MuscleLine, add_muscles, record_muscle


@pytest.fixture
def listed(blank, mara):
    """listed("infraspinatus.right", "masseter.left.deep"): rows on the list of the blank visit."""

    def put(*lines, visit=blank, who=mara, after=None):
        made = [MuscleLine(*line.split(".")) for line in lines]
        return add_muscles(who=who, visit=visit, lines=made, known=atlas.load(), after=after)

    return put


@pytest.fixture
def felt(mara):
    """felt(row, band="yes", pain=6): recorded by Mara on top of the row as it stands."""

    def keep(row, who=mara, version=None, **changes):
        said = {"version": version or row.version, "changes": changes}
        return record_muscle(who=who, visit=row.visit, finding=row, **said, known=atlas.load())

    return keep

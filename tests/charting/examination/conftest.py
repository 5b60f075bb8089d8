import pytest

from bodymaps import atlas
from charting.examination.joints import joint_of
from charting.examination.services import MuscleLine, add_muscles, record_joints, record_muscle


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


@pytest.fixture
def joint_recorded(blank, mara):
    """joint_recorded("shoulder", {("shoulder_flexion", "right"): Taken(...)}, {cell: (grade, "")})"""

    def keep(joint, readings, tests=(), *, visit=blank, state=None):
        now = joint_of(visit, joint).state
        said = {"readings": dict(readings), "tests": dict(tests)}
        record_joints(who=mara, visit=visit, joint=joint, state=state or now, **said)

    return keep

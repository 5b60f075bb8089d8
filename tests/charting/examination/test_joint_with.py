"""A test or a movement is found on the page of its joint, and a root's test on none of them."""

import pytest

from charting.examination.joints import joint_with


@pytest.mark.parametrize(
    ("key", "joint"),
    [
        ("shoulder:hawkins", "shoulder"),
        ("neck_joint:extension_rotation", "neck"),
        ("passive:hip_internal_rotation", "hip"),
        ("active:jaw_opening", "jaw"),
        ("neck:spurling", ""),
        ("back:slr", ""),
    ],
)
def test_it_knows_the_joint_of_what_is_examined(key, joint):
    assert joint_with(key) == joint

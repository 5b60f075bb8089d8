"""Skin of the nerve roots against the published key sensory points.

Source: International Standards for Neurological Classification of Spinal Cord Injury (ISNCSCI), revision
2019, in own words; levels C2 to T1. Where a point lies on the figure is said with landmarks here,
independently of the atlas file.
"""

from __future__ import annotations

import pytest

from bodymaps import atlas, figure, geometry

# Level: view, landmark, and the way from it in mm (outwards, down).
KEY_POINTS = {
    "C2": ("back", "occiput", 24, 4),  # at least 1 cm beside the occipital protuberance
    "C3": ("front", "clavicle_mid", 4, -13),  # hollow above the collarbone, midclavicular line
    "C4": ("front", "acromion", -5, 3),  # over the acromioclavicular joint
    "C5": ("front", "lateral_epicondyle", -8, -18),  # thumb side of the elbow crease, just above the elbow
    "C6": ("back", "thumb_mcp", 0, 0),  # back of the proximal phalanx of the thumb
    "C7": ("back", "middle_mcp", 0, 14),  # back of the proximal phalanx of the middle finger
    "C8": ("back", "little_mcp", 0, 12),  # back of the proximal phalanx of the little finger
    "T1": ("front", "medial_epicondyle", 6, -14),  # little-finger side, just above the medial epicondyle
}


def place(level: str, side: str) -> tuple[str, float, float]:
    view, landmark, out, down = KEY_POINTS[level]
    x, y = figure.load().landmark(view, landmark)
    x, y = x + (out if view == "back" else -out), y + down
    return view, (x if side == "right" else 1000 - x), y


@pytest.mark.parametrize("side", atlas.SIDES)
@pytest.mark.parametrize("level", KEY_POINTS)
def test_the_key_point_of_a_level_lies_in_its_skin(level: str, side: str) -> None:
    view, x, y = place(level, side)
    assert geometry.holds_point(atlas.load().dermatome(level, side)[view], x, y)


@pytest.mark.parametrize("side", atlas.SIDES)
@pytest.mark.parametrize("level", KEY_POINTS)
def test_the_files_own_key_point_lies_there_too_and_says_where(level: str, side: str) -> None:
    root = atlas.load().dermatomes[level]
    at = root.key_point
    x = at.x if side == "right" else 1000 - at.x
    assert geometry.holds_point(atlas.load().dermatome(level, side)[at.view], x, at.y)
    assert root.described


def test_no_level_of_the_arm_lies_on_the_chest_under_c4() -> None:
    """C4 meets T2 on the chest; C5 to T1 lie on the limb (common anatomy)."""
    x, y = figure.load().landmark("front", "rib3")
    for level in ("C5", "C6", "C7", "C8", "T1"):
        areas = atlas.load().dermatome(level, "right")
        assert "front" not in areas or not geometry.holds_point(areas["front"], x, y)

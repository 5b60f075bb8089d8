"""Skin of the nerve roots against the published key sensory points.

Source: International Standards for Neurological Classification of Spinal Cord Injury (ISNCSCI), revision
2019, in own words; the 28 levels C2 to S4-5. Where a point lies on the figure is said with landmarks here,
independently of the atlas file. The areas are drawn from that file here; another test keeps the compiled
atlas equal to it.
"""

from __future__ import annotations

from functools import cache

import pytest

from bodymaps import atlas, atlas_file, figure, geometry
from bodymaps.making.atlas import DERMATOMES, FigureBody, dermatomes
from bodymaps.patterns import Dermatome

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
    # The figure's midclavicular line lies 88 mm outwards of the midline; nipple at 452, tip of the
    # breastbone at 480, navel at 655 mm down.
    "T2": ("front", "anterior_axillary_fold", 2, 20),  # top of the armpit
    "T3": ("front", "clavicle_mid", 0, 100),  # midclavicular line, space under the third rib (rib at 386 mm)
    "T4": ("front", "clavicle_mid", 0, 146),  # fourth space, level with the nipple
    "T5": ("front", "xiphoid", 88, -14),  # fifth space, midway between T4 and T6
    "T6": ("front", "xiphoid", 88, 0),  # level with the tip of the breastbone
    "T7": ("front", "xiphoid", 88, 44),  # a quarter of the way from there to the navel
    "T8": ("front", "xiphoid", 88, 87),  # half of the way
    "T9": ("front", "xiphoid", 88, 131),  # three quarters of the way
    "T10": ("front", "navel", 88, 0),  # level with the navel
    "T11": ("front", "navel", 79, 72),  # midway between T10 and T12
    "T12": ("front", "inguinal_mid", 0, 0),  # midpoint of the inguinal ligament
    "L1": ("front", "inguinal_mid", 0, 101),  # midway between T12 and L2
    "L2": ("front", "medial_femoral_condyle", 0, -203),  # halfway from T12 to the medial femoral condyle
    "L3": ("front", "medial_femoral_condyle", 2, -4),  # medial femoral condyle, above the knee
    "L4": ("front", "medial_malleolus", 1, 0),  # medial malleolus
    "L5": ("front", "mtp_3", 0, -2),  # back of the foot at the third metatarsophalangeal joint
    "S1": ("back", "heel", 18, -20),  # lateral side of the calcaneus
    "S2": ("back", "popliteal", 0, 2),  # middle of the popliteal fossa
    "S3": ("back", "ischial_tuberosity", 0, 4),  # ischial tuberosity or the fold under the buttock
    "S4_5": ("back", "coccyx", 6, 38),  # perianal skin, within 1 cm of the mucocutaneous edge
}


@cache
def drawn() -> dict[str, Dermatome]:
    entries = dermatomes(DERMATOMES, FigureBody())
    return {one.id: one for one in (atlas_file.dermatome(entry, DERMATOMES.name) for entry in entries)}


def holds(level: str, side: str, view: str, x: float, y: float) -> bool:
    """Whether the skin of a level on one side holds a point of the figure."""
    area = drawn()[level].areas.get(view)
    if area is None:
        return False
    midline = float(figure.load().view(view).midline_x)
    return geometry.holds_point(area if side == "right" else geometry.mirrored(area, midline), x, y)


def place(level: str, side: str) -> tuple[str, float, float]:
    view, landmark, out, down = KEY_POINTS[level]
    x, y = figure.load().landmark(view, landmark)
    x, y = x + (out if view == "back" else -out), y + down
    return view, (x if side == "right" else 1000 - x), y


def test_the_levels_are_the_28_of_the_standard_from_head_to_tail() -> None:
    assert list(drawn()) == list(KEY_POINTS)
    assert len(KEY_POINTS) == 28


@pytest.mark.parametrize("side", atlas.SIDES)
@pytest.mark.parametrize("level", KEY_POINTS)
def test_the_key_point_of_a_level_lies_in_its_skin(level: str, side: str) -> None:
    view, x, y = place(level, side)
    assert holds(level, side, view, x, y)


@pytest.mark.parametrize("side", atlas.SIDES)
@pytest.mark.parametrize("level", KEY_POINTS)
def test_the_files_own_key_point_lies_there_too_and_says_where(level: str, side: str) -> None:
    at = drawn()[level].key_point
    assert holds(level, side, at.view, at.x if side == "right" else 1000 - at.x, at.y)
    assert drawn()[level].described


@pytest.mark.parametrize("level", KEY_POINTS)
def test_the_files_own_key_point_is_the_one_of_the_standard(level: str) -> None:
    """Placed twice, apart from one another: a finger's breadth or two between them is all there may be."""
    view, x, y = place(level, "right")
    at = drawn()[level].key_point
    assert at.view == view
    assert abs(at.x - x) <= 20 and abs(at.y - y) <= 20


@pytest.mark.parametrize("level", KEY_POINTS)
def test_a_key_point_tells_its_level_from_those_two_or_more_away(level: str) -> None:
    """Neighbours overlap in life (Foerster 1933, from memory); others share no key point here."""
    order = list(KEY_POINTS)
    view, x, y = place(level, "right")
    here = order.index(level)
    far = [other for place_, other in enumerate(order) if abs(place_ - here) >= 2]
    assert [other for other in far if holds(other, "right", view, x, y)] == []


def test_c4_meets_t2_on_the_chest_and_no_level_of_the_arm_lies_there() -> None:
    """C4 meets T2 (or T3) on the chest; C5 to T1 lie on the limb (common anatomy)."""
    x, y = figure.load().landmark("front", "rib3")
    assert not any(holds(level, "right", "front", x, y) for level in ("C5", "C6", "C7", "C8", "T1"))
    down = range(310, int(y) + 1)
    found = [level for row in down for level in KEY_POINTS if holds(level, "right", "front", x, row)]
    assert list(dict.fromkeys(found)) == ["C4", "T2"]


def test_each_trunk_level_begins_beside_the_spine_and_ends_lower_in_front() -> None:
    """The bands of T3 to T12 fall on their way round the trunk (Foerster 1933, from memory)."""
    for level in ("T3", "T6", "T10", "T12"):
        heights = {}
        for view, x in (("back", 515), ("front", 480)):
            rows = [row for row in range(280, 860) if holds(level, "right", view, x, row)]
            heights[view] = sum(rows) / len(rows)
        assert heights["front"] > heights["back"] + 50

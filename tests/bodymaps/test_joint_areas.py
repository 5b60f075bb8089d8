"""Areas of joints and organs against what studies say of them in words.

Sources stand beside each check. Where a place lies on the figure is said with landmarks here, independently
of the atlas files; the areas are drawn from those files.
"""

from __future__ import annotations

from functools import cache

import pytest

from bodymaps import atlas_file, figure, geometry
from bodymaps.geometry import Area
from bodymaps.making.atlas import DERMATOMES, FigureBody, structures
from bodymaps.patterns import Structure

CERVICAL = (
    "facet_c0_c2",
    "facet_c2_3",
    "facet_c3_4",
    "facet_c4_5",
    "facet_c5_6",
    "facet_c6_7",
    "facet_c7_t1",
)
# Fukui 1996 (Pain 68:79-83), abstract: area, a place in its middle (landmark of the back view, mm outwards
# and down), and the joints that mainly refer there.
FUKUI = {
    "occiput": (("occiput", 26, 2), {"facet_c2_3"}),
    "upper posterolateral neck": (("neck_side", -3, -30), {"facet_c0_c2", "facet_c2_3"}),
    "upper posterior neck": (("suboccipital", -8, 8), {"facet_c2_3", "facet_c3_4"}),
    "middle posterior neck": (("neck_mid", 0, 2), {"facet_c3_4", "facet_c4_5"}),
    "lower posterior neck": (("neck_mid", 12, 30), {"facet_c4_5", "facet_c5_6"}),
    "suprascapular region": (("suprascapular_mid", -10, -4), {"facet_c4_5", "facet_c5_6"}),
    "superior angle of the scapula": (("scapula_superior_angle", 0, 6), {"facet_c6_7"}),
    "mid-scapular region": (("scapula_medial_mid", -8, 4), {"facet_c7_t1"}),
}


@cache
def named(file: str) -> dict[str, Structure]:
    found = structures(DERMATOMES.with_name(file), FigureBody())
    return {one.id: one for one in (atlas_file.structure(entry, file) for entry in found)}


def joint(name: str) -> Structure:
    return named("joints.toml")[name]


def organ(name: str) -> Structure:
    return named("organs.toml")[name]


def place(view: str, landmark: str, out: float, down: float, side: str = "right") -> tuple[float, float]:
    x, y = figure.load().landmark(view, landmark, side)
    away = -1 if (view == "front") == (side == "right") else 1
    return x + away * out, y + down


def holds(one: Structure, zone: str, view: str, x: float, y: float) -> bool:
    area = one.zones.get((view, zone))
    return area is not None and geometry.holds_point(area, x, y)


def anywhere(one: Structure, view: str, x: float, y: float) -> bool:
    return holds(one, "core", view, x, y) or holds(one, "spillover", view, x, y)


def share_of(drawing: Area, one: Structure, view: str) -> float:
    """How much of the drawing lies in the usual or wider area of a joint."""
    zones = [area for (seen, _), area in one.zones.items() if seen == view]
    if not zones:
        return 0.0
    return float(geometry.overlap(drawing, geometry.unite(zones)).area / drawing.area)


def square(view: str, landmark: str, out: float, down: float, half: float) -> Area:
    x, y = place(view, landmark, out, down)
    ring = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    return geometry.area_from_rings([ring])


@pytest.mark.parametrize("area", FUKUI)
def test_a_neck_area_belongs_to_the_joints_that_were_found_to_refer_there(area):
    where, joints = FUKUI[area]
    x, y = place("back", *where)
    assert {name for name in CERVICAL if holds(joint(name), "core", "back", x, y)} == joints


def test_a_mid_scapular_drawing_falls_to_the_lowest_neck_joints_not_to_c2_3():
    """Fukui 1996: mid-scapular region from C7/T1; Cooper 2007: low scapular pain without arm pain, C6/7."""
    drawing = square("back", "scapula_medial_mid", -2, 6, 24)
    c2_3, c6_7, c7_t1 = (
        share_of(drawing, joint(name), "back") for name in ("facet_c2_3", "facet_c6_7", "facet_c7_t1")
    )
    assert c7_t1 > 0.9
    assert c6_7 > 0.5
    assert c2_3 == 0


def test_the_head_belongs_to_the_upper_neck_joints_only():
    """Dwyer 1990: C3/4 does not go beyond the suboccipital strip, C4/5 to C6/7 not to the head."""
    head = square("back", "occiput", 30, -6, 16)
    reaching = {name for name in CERVICAL if share_of(head, joint(name), "back") > 0}
    assert reaching == {"facet_c0_c2", "facet_c2_3"}


def test_the_usual_sacroiliac_area_is_three_by_ten_centimetres_below_the_iliac_spine():
    """Fortin 1994: about 3 x 10 cm just below the posterior superior iliac spine."""
    core = joint("sacroiliac").zones["back", "core"]
    left, top, right, bottom = core.bounds
    x, y = figure.load().landmark("back", "psis")
    assert abs(bottom - top - 100) <= 15
    assert abs(core.area / (bottom - top) - 30) <= 5
    assert left <= x <= right
    assert abs(top - y) <= 10


def test_hip_pain_lies_in_buttock_groin_and_thigh_and_never_in_the_low_back():
    """Lesher 2008: buttock 71 %, thigh 57 %, groin 55 %, below the knee 22 %, low back none."""
    hip = joint("hip")
    assert holds(hip, "core", "back", *place("back", "buttock_mid", 6, 0))
    assert holds(hip, "core", "front", *place("front", "inguinal_mid", 0, 12))
    assert holds(hip, "core", "front", *place("front", "thigh_upper", 14, 0))
    assert holds(hip, "spillover", "front", *place("front", "tibial_tuberosity", 0, 40))
    assert not anywhere(hip, "back", *place("back", "l4", 34, 0))


def test_the_space_under_the_acromion_spares_neck_trapezius_and_the_back_of_the_shoulder():
    """Gerber 1998; the joint above the shoulder spares its back too, but takes in neck and trapezius."""
    neck = place("front", "supraclavicular", 8, 4)
    trapezius = place("back", "suprascapular_mid", -6, 2)
    behind = place("back", "humeral_head", -22, 24)
    space, above = joint("subacromial"), joint("acromioclavicular")
    assert holds(space, "core", "front", *place("front", "deltoid_mid", -2, 20))
    for view, spot in (("front", neck), ("back", trapezius), ("back", behind)):
        assert not anywhere(space, view, *spot)
    assert anywhere(above, "front", *neck)
    assert anywhere(above, "back", *trapezius)
    assert not anywhere(above, "back", *behind)


def test_heart_pain_may_take_either_arm_the_jaw_and_the_upper_belly():
    """Swap and Nagurney 2005: right arm 4.7, both arms 4.1, left arm 2.3 (likelihood ratios)."""
    heart = organ("cardiac_ischaemia")
    arm = ("medial_epicondyle", 8, -30)
    assert holds(heart, "core", "front", *place("front", "sternum_mid", 0, 0))
    assert holds(heart, "core", "front", *place("front", *arm, "left"))
    assert holds(heart, "spillover", "front", *place("front", *arm, "right"))
    for side in ("left", "right"):
        assert holds(heart, "spillover", "front", *place("front", "jaw_body", 0, 2, side))
    assert holds(heart, "spillover", "front", *place("front", "epigastrium", 0, 0))


@pytest.mark.parametrize(
    ("name", "side", "other"),
    [("diaphragm_gallbladder", "right", "left"), ("spleen_diaphragm", "left", "right")],
)
def test_the_diaphragm_is_felt_at_the_shoulder_tip_of_its_own_side(name, side, other):
    """Phrenic nerve, C3 to C5: Capps 1932; Silen, Early Diagnosis of the Acute Abdomen; from memory."""
    assert holds(organ(name), "core", "front", *place("front", "acromion", -14, 2, side))
    assert not anywhere(organ(name), "front", *place("front", "acromion", -14, 2, other))


def test_appendix_pain_settles_a_third_of_the_way_from_the_iliac_spine_to_the_navel():
    """McBurney 1889, from memory; before it settles it is felt round the navel."""
    spine, navel = figure.load().landmark("front", "asis"), figure.load().landmark("front", "navel")
    x, y = (a + (b - a) / 3 for a, b in zip(spine, navel, strict=True))
    appendix = organ("appendix_caecum")
    assert holds(appendix, "core", "front", x, y)
    assert holds(appendix, "spillover", "front", *navel)


def test_only_organs_with_a_danger_of_the_same_day_are_urgent():
    """Common practice; a tumour of the apex of the lung asks for haste of days, not of hours."""
    assert {name for name, one in named("organs.toml").items() if not one.urgent} == {"pancoast"}
    others = [*named("joints.toml").values(), *named("plexuses.toml").values()]
    assert not any(one.urgent for one in others)


@pytest.mark.parametrize("file", ["plexuses.toml", "joints.toml", "organs.toml"])
def test_every_entry_tells_what_to_ask_examine_and_set_apart(file):
    for one in named(file).values():
        assert len(one.points_to) >= 2, one.id
        assert len(one.examine) >= 2, one.id
        assert len(one.told_apart) >= 2, one.id
        assert one.note, one.id

"""Skin of the peripheral nerves against their published autonomous areas.

Source of the places below: Mumenthaler M, Schliack H, Peripheral Nerve Lesions, 1991, and Standring S, Gray's
Anatomy, 41st ed. 2016, both from memory. They are said with landmarks here, independently of the file. The
areas are drawn from the file here; another test keeps the compiled atlas equal to it.
"""

from __future__ import annotations

from functools import cache

import pytest

from bodymaps import atlas_file, figure, geometry
from bodymaps.making.atlas import DERMATOMES, FigureBody, structures
from bodymaps.patterns import Structure

NERVES = DERMATOMES.with_name("nerves.toml")

# Nerve: view, landmark, and the way from it in mm (outwards, down): where its loss is tested.
TESTED_AT = {
    "trigeminal_ophthalmic": ("front", "glabella", 20, -30),  # forehead
    "trigeminal_maxillary": ("front", "nose_side", 20, 4),  # cheek beside the nose
    "trigeminal_mandibular": ("front", "chin", 16, -6),  # chin
    "greater_occipital": ("back", "occiput", 26, -20),  # back of the head
    "lesser_occipital": ("back", "mastoid", 0, -24),  # behind the ear
    "great_auricular": ("front", "jaw_angle", -5, 0),  # angle of the jaw, clear of the outline
    "supraclavicular": ("front", "clavicle_mid", 0, 18),  # below the collarbone
    "axillary": ("front", "deltoid_insertion", 0, -30),  # badge area
    "intercostobrachial": ("front", "axilla", 4, 6),  # armpit
    "lateral_antebrachial": ("front", "forearm_radial_mid", 0, 0),  # radial side of the forearm
    "medial_antebrachial": ("front", "forearm_ulnar_mid", 0, 0),  # ulnar side of the forearm
    "posterior_antebrachial": ("back", "forearm_mid", 2, -20),  # back of the forearm
    "radial_superficial": ("back", "first_web", -2, 0),  # first web
    "median": ("front", "index_tip", -2, -6),  # pulp of the index finger
    "ulnar": ("front", "little_tip", 0, -4),  # pulp of the little finger
    "intercostal_t4": ("front", "nipple", -6, -4),  # beside the nipple
    "intercostal_t10": ("front", "navel", 30, 4),  # beside the navel
    "ilioinguinal": ("front", "pubis", 34, 2),  # root of the genitals
    "genitofemoral": ("front", "inguinal_mid", 0, 40),  # below the groin ligament
    "cluneal_superior": ("back", "iliac_crest", 10, 50),  # upper buttock
    "lateral_femoral_cutaneous": ("front", "thigh_lateral_mid", -8, 0),  # outer thigh
    "femoral_anterior_cutaneous": ("front", "thigh_mid", 0, 60),  # front of the thigh
    "obturator": ("front", "thigh_medial_mid", 8, 60),  # inner thigh, lower half
    "saphenous": ("front", "shin_medial_mid", 0, -20),  # inner leg
    "posterior_femoral_cutaneous": ("back", "thigh_mid", 0, 0),  # back of the thigh
    "common_fibular": ("front", "shin_lateral_mid", 0, 0),  # outer leg
    "superficial_fibular": ("front", "mtp_3", 0, -20),  # back of the foot
    "deep_fibular": ("front", "mtp_1", 12, 6),  # first web of the foot
    "tibial_plantar": ("back", "sole_heel", 0, 0),  # heel of the sole
    "sural": ("front", "mtp_5", -1, 0),  # outer edge of the foot
    "pudendal": ("back", "coccyx", 10, 44),  # beside the anus
}
# What tells two nerves apart: a nerve, and the neighbour whose place above is not its own.
NOT_SHARED = [
    ("median", "ulnar"),
    ("ulnar", "median"),
    ("radial_superficial", "median"),
    ("deep_fibular", "superficial_fibular"),
    ("superficial_fibular", "deep_fibular"),
    ("superficial_fibular", "sural"),
    ("lateral_femoral_cutaneous", "femoral_anterior_cutaneous"),
    ("femoral_anterior_cutaneous", "lateral_femoral_cutaneous"),
    ("trigeminal_mandibular", "great_auricular"),
    ("lateral_antebrachial", "medial_antebrachial"),
    ("saphenous", "common_fibular"),
]
WITHOUT_SKIN = (
    "suprascapular",
    "long_thoracic",
    "dorsal_scapular",
    "anterior_interosseous",
    "posterior_interosseous",
)


@cache
def drawn() -> dict[str, Structure]:
    entries = structures(NERVES, FigureBody())
    return {one.id: one for one in (atlas_file.structure(entry, NERVES.name) for entry in entries)}


def holds(nerve: str, zone: str, view: str, x: float, y: float) -> bool:
    area = drawn()[nerve].zones.get((view, zone))
    return area is not None and geometry.holds_point(area, x, y)


def place(nerve: str) -> tuple[str, float, float]:
    view, landmark, out, down = TESTED_AT[nerve]
    x, y = figure.load().landmark(view, landmark)
    return view, x + (out if view == "back" else -out), y + down


@pytest.mark.parametrize("nerve", TESTED_AT)
def test_where_the_loss_of_a_nerve_is_tested_is_its_core(nerve: str) -> None:
    assert holds(nerve, "core", *place(nerve))


@pytest.mark.parametrize(("nerve", "neighbour"), NOT_SHARED)
def test_the_safe_skin_of_a_neighbour_is_not_its_core(nerve: str, neighbour: str) -> None:
    assert not holds(nerve, "core", *place(neighbour))


@pytest.mark.parametrize("view", ["front", "back"])
def test_the_ring_finger_is_split_between_median_and_ulnar(view: str) -> None:
    """The radial half median (on the back its tip only), the ulnar half ulnar."""
    x, y = figure.load().landmark(view, "ring_tip")
    out = -1 if view == "front" else 1
    halves = {
        nerve: [step for step in range(-7, 8) if holds(nerve, "core", view, x + out * step, y - 6)]
        for nerve in ("median", "ulnar")
    }
    assert halves["median"] and halves["ulnar"]
    assert min(halves["median"]) > max(halves["ulnar"])


def test_palmar_median_reaches_the_back_of_the_finger_tips_only() -> None:
    """Index finger: its back is radial up to the middle joint, median beyond it."""
    at = figure.load().landmark
    (x1, y1), (x2, y2) = at("back", "index_mcp"), at("back", "index_tip")
    base, tip = ((x1 + way * (x2 - x1), y1 + way * (y2 - y1)) for way in (0.15, 0.9))
    assert holds("radial_superficial", "core", "back", *base)
    assert not holds("median", "core", "back", *base)
    assert holds("median", "core", "back", *tip)
    assert not holds("radial_superficial", "core", "back", *tip)


@pytest.mark.parametrize("nerve", WITHOUT_SKIN)
def test_a_nerve_without_skin_says_that_its_pain_is_drawn(nerve: str) -> None:
    assert "pain" in drawn()[nerve].note.lower()


def test_carpal_tunnel_pain_may_run_up_the_forearm() -> None:
    """Above the wrist in 36.5 % of hands (Stevens et al., Muscle Nerve 1999;22:1448-1456)."""
    x, y = figure.load().landmark("front", "forearm_mid")
    assert holds("median", "spillover", "front", x, y)
    assert not holds("median", "core", "front", x, y)


def test_each_nerve_says_what_points_to_it_what_to_examine_and_what_tells_it_apart() -> None:
    assert len(drawn()) == 47
    for one in drawn().values():
        assert min(len(one.points_to), len(one.examine), len(one.told_apart)) >= 2, one.id
        assert one.roots and one.at is not None and len(one.sources) >= 2, one.id


def test_a_nerve_drawn_for_the_right_stays_on_the_right() -> None:
    for one in drawn().values():
        for (view, _), area in one.zones.items():
            x_min, _, x_max, _ = area.bounds
            over = x_max - 500 if view == "front" else 500 - x_min
            assert over <= 8, (one.id, view)

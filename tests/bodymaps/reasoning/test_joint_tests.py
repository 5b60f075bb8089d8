"""The tests of the joints: how they are told, what they speak for, when they hold treatment back."""

import re

import pytest

from bodymaps.reasoning import evidence_lines, evidence_rules, items, ranges, ratios_file
from bodymaps.reasoning.items import FINDING_TYPES, ItemsError
from tests.bodymaps.reasoning.evidence_cases import ATLAS
from tests.bodymaps.reasoning.raising import facts, level, said

GROUPS = items.findings().on_page("joint")
TESTS = [item for group in GROUPS for item in group.items]
RULES = {rule.id: rule for rule in evidence_rules.rules()}
FILE = evidence_rules.load("evidence_joints.toml")["rule"]


# How they are told.


def test_every_joint_has_tests():
    assert [group.id for group in GROUPS] == [
        "shoulder", "elbow", "wrist", "neck_joint", "thoracic", "lumbar", "sacroiliac", "hip", "knee",
        "ankle", "jaw",
    ]  # fmt: skip
    assert all(len(group.items) >= 4 for group in GROUPS)


def test_a_group_is_called_as_its_joint_where_ranges_are_measured_but_for_the_neck():
    measured = {joint.id for joint in ranges.load().joints}
    assert {group.id for group in GROUPS} - {"neck_joint"} <= measured


@pytest.mark.parametrize("item", TESTS, ids=lambda item: item.key)
def test_a_test_says_how_it_is_done_and_what_is_positive(item):
    assert item.help and item.source and len(item.label) <= 60
    assert re.fullmatch(r"[a-z0-9_]+:[a-z0-9_]+", item.key) and len(item.key) <= 40
    assert item.choices[-1].id == "NT"


@pytest.mark.parametrize(
    ("key", "word"),
    [
        ("neck_joint:upper_stability", "do not test"),
        ("neck_joint:flexion_rotation", "danger questions"),
        ("shoulder:apprehension", "stop at the first fear"),
        ("hip:fadir", "new hip"),
        ("sacroiliac:sacral_thrust", "thin bones"),
        ("thoracic:joint_press", "fever"),
        ("lumbar:extension_rotation", "cauda"),
        ("knee:mcmurray", "locked"),
        ("ankle:calf_squeeze", "do not load"),
        ("wrist:snuffbox", "local rules"),
        ("jaw:lock", "Never forced"),
    ],
)
def test_what_can_harm_carries_its_caution(key, word):
    assert word in items.findings().items[key].caution


def test_a_label_tells_one_test_from_every_other_without_its_heading():
    """In a note or a reason it stands alone; and a test of the neuro screen is not doubled."""
    every = [item.label.lower() for item in items.findings().items.values()]
    assert not [item.key for item in TESTS if every.count(item.label.lower()) > 1]


def test_a_test_without_its_scale_or_with_an_unknown_member_is_refused():
    broken = {"id": "toe", "title": "Toe", "page": "joint", "type": "grade", "scale": "wobble"}
    item = {"key": "toe:press", "label": "Press"}
    told = {"version": "v", "scale": [], "group": [{**broken, "items": [item]}]}
    with pytest.raises(ItemsError, match="joints.toml: item toe:press: scale must be one of"):
        items.read(told, FINDING_TYPES, "joints.toml")
    with pytest.raises(ItemsError, match="joints.toml: item toe:press: unknown member cautoin"):
        items.read(
            {**told, "group": [{**broken, "items": [{**item, "cautoin": "x"}]}]}, FINDING_TYPES, "joints.toml"
        )


# What they speak for.


def lines(*places, findings, of, age=40):
    """(rule, for or against, counted) of a candidate."""
    told = facts(*places, age=age, findings=findings)
    return {
        (line.rule, line.speaks, line.counted)
        for line in evidence_lines.of(told, ATLAS).of(of)
        if line.by_finding
    }


def sacroiliac(*grades):
    tests = ("distraction", "thigh_thrust", "gaenslen", "compression", "sacral_thrust")
    return {f"sacroiliac:{test}": {"right": grade} for test, grade in zip(tests, grades, strict=False)}


SI = ("joint_referral", "sacroiliac", "right")


def test_three_of_five_speak_for_the_sacroiliac_joint_and_one_alone_does_not_add_to_it():
    """Laslett 2003: 4.16 and 0.12; correlated tests count once."""
    found = lines("back:sacroiliac", findings=sacroiliac("positive", "positive", "positive"), of=SI)
    assert ("sacroiliac_of_five", "for", True) in found and ("sacroiliac_one", "for", False) in found
    two = lines("back:sacroiliac", findings=sacroiliac("positive", "positive"), of=SI)
    assert two == {("sacroiliac_one", "for", True)}
    against = lines("back:sacroiliac", findings=sacroiliac("negative", "negative", "negative"), of=SI)
    assert ("sacroiliac_of_five_not", "against", True) in against


def test_a_test_speaks_for_its_own_side_only():
    found = {"hip:log_roll": {"left": "positive"}}
    assert not lines("front:groin", findings=found, of=("joint_referral", "hip", "right"))
    places = [("front:groin", "left", "ache")]
    assert lines(*places, findings=found, of=("joint_referral", "hip", "left")) == {("log_roll", "for", True)}


@pytest.mark.parametrize("degrees", [14, 15, 29, 30])
def test_a_hip_that_turns_in_less_than_15_degrees_speaks_for_the_hip_and_a_free_one_against(degrees):
    """Altman 1991, Arthritis Rheum 34:505-14: 15 degrees (from memory); 30 is this product's."""
    found = lines(
        "front:groin",
        findings={"passive:hip_internal_rotation": {"right": degrees}},
        of=("joint_referral", "hip", "right"),
    )
    wanted = {14: {("turns_in_short", "for", True)}, 30: {("turns_in_free", "against", True)}}
    assert found == wanted.get(degrees, set())


def test_a_torn_ligament_speaks_for_the_knee_and_a_firm_one_says_nothing_against_it():
    knee = ("joint_referral", "knee", "right")
    loose = lines("front:knee_anterior", findings={"knee:lachman": {"right": "positive"}}, of=knee)
    firm = lines("front:knee_anterior", findings={"knee:lachman": {"right": "negative"}}, of=knee)
    assert loose == {("knee_loose", "for", True)} and firm == set()


def test_what_was_not_tested_says_nothing():
    for key in ("shoulder:hawkins", "shoulder:painful_arc"):
        found = {key: {"right": "NT"}}
        assert not lines(
            "front:shoulder_lateral", findings=found, of=("joint_referral", "subacromial", "right")
        )


def published():
    """(key, side of 1) -> ratios of the file of ratios, of tests alone and of rows of clusters."""
    known = ratios_file.load()
    alone = [(one.test.key, lr) for one in known.singles for lr in one.lr.values()]
    rows = [(test.key, row.lr) for one in known.clusters for test in one.tests for row in one.rows]
    return [*alone, *rows]


RATIOS = [
    (entry["id"], entry[name]) for entry in FILE for name in ("lr", "lr_against") if name in entry
]  # fmt: skip


@pytest.mark.parametrize(("rule", "ratio"), RATIOS)
def test_a_ratio_that_weighs_is_one_that_is_shown(rule, ratio):
    keys = RULES[rule].condition.keys()
    assert any(key in keys and lr == pytest.approx(ratio, abs=0.006) for key, lr in published())


def test_rules_about_one_joint_share_what_they_are_about():
    """Correlated tests count once for a candidate."""
    for entry in FILE:
        keys = RULES[entry["id"]].condition.keys()
        groups = {items.findings().items[key].group for key in keys}
        assert entry["about"].startswith(("tests of ", "range of ")), entry["id"]
        assert len(groups - {"range_neck"}) <= 1, entry["id"]


# When they hold treatment back. After an injury it is graded up; a sign alone is at least watched.

BONE = [
    "knee:bone_tender", "knee:not_bent_90", "knee:not_four_steps", "ankle:malleolus_tender",
    "ankle:midfoot_tender", "ankle:not_four_steps", "elbow:not_straight", "wrist:snuffbox",
    "wrist:thumb_compression",
]  # fmt: skip
AFTER = {"onset": "after_injury"}


@pytest.mark.parametrize("key", BONE)
def test_a_sign_that_asks_for_an_image_waits_for_it(key):
    """Ottawa rules (Bachmann 2003, 2004), elbow (Appelboam 2008), scaphoid (Mallee 2014)."""
    found = {key: {"right": "positive"}}
    assert level("fracture", findings=found) == "watch"
    assert level("fracture", findings=found, history=AFTER) == "same_day"
    assert level("fracture", findings={key: {"right": "negative"}}) == ""
    assert level("fracture", findings={key: {"right": "NT"}}, history=AFTER) == "watch"


def test_a_negative_sign_never_lowers_what_an_injury_raises():
    negative = {key: {"right": "negative"} for key in BONE}
    assert (
        level("fracture", "front:ankle_lateral", history={"trauma": "yes"}, findings=negative) == "same_day"
    )


def test_the_hip_that_sounds_dull_or_hurts_on_rolling_after_a_fall_waits():
    """Reiman 2013: percussion 6.11 and 0.07."""
    assert level("fracture", findings={"hip:percussion": {"left": "positive"}}) == "same_day"
    rolled = {"hip:log_roll": {"left": "positive"}}
    assert level("fracture", findings=rolled) == ""
    assert level("fracture", findings=rolled, history=AFTER) == "same_day"


@pytest.mark.parametrize(
    ("told", "wanted"),
    [
        ({"age": 64}, "watch"),
        ({"age": 65}, "same_day"),
        ({"age": 40, "history": {"thin_bones": "unsure"}}, "same_day"),
        ({"age": 40, "history": {"cancer": "yes"}}, "same_day"),
        ({"age": 40, "history": {"conditions": ["osteoporosis"]}}, "same_day"),
    ],
)
def test_sharp_pain_on_tapping_the_spine_is_graded_by_the_reasons_for_a_fracture(told, wanted):
    """Langdon 2010: 0.875 and 0.90 in old people with a suspected fracture."""
    assert level("fracture", findings={"thoracic:fist_percussion": "positive"}, **told) == wanted


def test_an_upper_neck_that_gives_way_is_kept_still_and_with_cord_signs_is_an_emergency():
    """Mansfield 2020: inconsistent and possibly harmful; a positive one is never ignored."""
    loose = {"neck_joint:upper_stability": "positive"}
    assert level("fracture", findings=loose) == "same_day"
    assert level("fracture", findings={**loose, "cord:hoffmann": {"left": "positive"}}) == "emergency"
    assert level("fracture", findings=loose, history={"hands_clumsy": "unsure"}) == "emergency"
    assert any("clears nothing" in words for words in said("fracture", findings=loose).differs)


@pytest.mark.parametrize("key", ["ankle:calf_squeeze", "elbow:biceps_hook", "knee:extension_lag"])
def test_a_torn_tendon_is_the_same_day_with_or_without_an_injury_that_is_remembered(key):
    """Maffulli 1998: 0.96 and 0.93; O'Driscoll 2007. Tendons tear without a blow."""
    assert level("rupture", findings={key: {"right": "positive"}}) == "same_day"
    assert level("rupture", findings={key: {"right": "negative"}}, history=AFTER) == ""
    assert "Do not load" in said("rupture", findings={key: {"right": "positive"}}).action


@pytest.mark.parametrize(
    "key",
    [
        "shoulder:drop_arm", "shoulder:external_rotation_lag", "shoulder:lift_off", "knee:lachman",
        "knee:anterior_drawer", "knee:posterior_drawer", "knee:valgus", "knee:varus", "knee:effusion",
        "ankle:shin_squeeze",
    ],
)  # fmt: skip
def test_a_cuff_or_ligament_that_gives_is_watched_after_an_injury_and_not_without_one(key):
    found = {key: {"right": "positive"}}
    assert level("rupture", findings=found, history=AFTER) == "watch"
    assert level("rupture", findings=found, history={"trauma": "unsure"}) == "watch"
    assert level("rupture", findings=found) == ""

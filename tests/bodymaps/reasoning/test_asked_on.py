"""What a drawing or an answer calls for, until it is answered."""

import pytest

from bodymaps.reasoning import conditions, flag_rules, flags, items
from tests.bodymaps.reasoning import ways
from tests.bodymaps.reasoning.raising import asked, facts


@pytest.mark.parametrize(
    "group", [group.id for group in items.history().on_page("asked on")] + ["vital", "head", "walk", "look"]
)
def test_every_group_is_called_for_by_something(group):
    calls = [one for one in flag_rules.asked() if one.group.id == group]
    called = {item.key for one in calls for item in one.items}
    assert {item.key for item in calls[0].group.items} == called


@pytest.mark.parametrize("number", range(len(flag_rules.asked())))
def test_what_is_called_for_is_asked_until_it_is_answered(number):
    one = flag_rules.asked()[number]
    for way in ways.of(one.when)[:60]:
        keys = {fact[1] for fact in way}
        found = {item.key for ask in flags.to_ask(ways.facts(way)) for item in ask.items}
        for item in one.items:
            if item.key not in keys and not item.only_if:
                assert item.key in found, (one.group.id, way)
        assert not keys & found


def test_thoughts_of_dying_are_asked_only_when_something_calls_for_it_and_in_person():
    assert "suicidal_thoughts" not in asked("back:neck_posterior", "front:pectoral_upper", age=70)
    for history in (
        {"mood_low": "yes"},
        {"worry": "unsure"},
        {"sleep_poor": "yes"},
        {"day_course": ["night_wakes"]},
        {"lasted": "over_3_months"},
    ):
        one = next(ask for ask in flags.to_ask(facts(history=history)) if ask.group.id == "mind")
        assert one.in_person and [item.key for item in one.items] == ["suicidal_thoughts"]
    assert "suicidal_plan" in asked(history={"suicidal_thoughts": "yes"})


def test_only_thoughts_of_dying_wait_for_the_clinician():
    assert {one.group.id for one in flag_rules.asked() if one.in_person} == {"mind"}


def test_a_question_for_others_is_not_asked():
    assert "pregnancy_pain" in asked("front:abdomen_lower", sex="female")
    assert "pregnancy_pain" not in asked("front:abdomen_lower", sex="male")


def test_new_pain_of_head_or_neck_calls_for_pressure_nerves_eyes_and_gait():
    found = asked(history={"new_head_neck_pain": "yes"})
    for key in (
        "vital:systolic",
        "vital:diastolic",
        "head:cranial_nerves",
        "head:eye_movements",
        "walk:gait",
    ):
        assert key in found
    told = {"vital:systolic": 120, "walk:gait": "NT", "head:pupils": {"right": "normal"}}
    rest = asked(history={"new_head_neck_pain": "yes"}, findings=told)
    assert "vital:systolic" not in rest and "walk:gait" not in rest
    assert "head:pupils" in rest, "the left is still open"


def test_blade_and_inner_arm_call_for_hand_and_pupils_and_fever_for_the_temperature():
    found = asked("back:scapula_body", "front:little_palmar")
    assert {"look:hand_wasting", "head:pupils", "lid_droops"} <= set(found)
    assert "vital:temperature" in asked(history={"fever": "unsure"})


def test_the_neck_rule_is_asked_only_after_an_injury_with_neck_pain():
    neck = "back:neck_posterior"
    assert not {"neck_surgery", "walked_since"} & set(asked(neck))
    assert "neck_surgery" not in asked("back:elbow_lateral", history={"trauma": "yes"})
    assert {"neck_surgery", "walked_since", "look:midline_tenderness"} <= set(
        asked(neck, history={"trauma": "unsure"})
    )
    assert "simple_rear_end" not in asked(neck, history={"trauma": "yes", "walked_since": "yes"})


@pytest.mark.parametrize(("age", "wanted"), [(49, False), (50, True)])
def test_the_temple_artery_is_asked_from_50(age, wanted):
    assert ("jaw_tires" in asked("front:temple", age=age)) is wanted


def test_every_condition_in_the_catalogues_can_be_read():
    for catalogue in (items.history(), items.findings()):
        for item in catalogue.items.values():
            if item.only_if:
                conditions.read(item.only_if)


SCREEN_NO = dict.fromkeys(
    [
        "trauma",
        "cord",
        "bladder_bowel_saddle",
        "chest",
        "new_head_neck_pain",
        "fever",
        "cancer",
        "weight_loss",
    ],
    "no",
)
FIRST = [
    ("chest", "back:arm_lateral", "heart"),
    ("chest", "front:jaw_mandible", "heart"),
    ("chest", "back:interscapular", "heart"),
    ("cord", "back:neck_posterior", "deficit"),
    ("new_head_neck_pain", "front:temple", "neck_artery"),
]


@pytest.mark.parametrize(("first", "place", "group"), FIRST)
def test_a_plain_no_to_the_first_question_is_not_asked_again_and_nothing_else_is_taken_for_one(
    first, place, group
):
    whole = {item.key for one in flag_rules.asked() for item in one.items if one.group.id == group}
    for told in ({}, {first: "yes"}, {first: "unsure"}):
        found = asked(place, history={**SCREEN_NO, first: "unsure", **told} if told else {})
        assert whole <= set(found)
    left = {key for key, of in asked(place, history=SCREEN_NO).items() if of == group}
    assert left == ({"face_numb", "recent_strain_infection"} if group == "neck_artery" else set())


def test_the_heart_is_asked_on_where_the_chest_is_drawn_or_the_heart_is_likely_whatever_the_first_answer():
    assert "chest_effort" in asked("front:pectoral_upper", history=SCREEN_NO)
    for known in ({"conditions": ["heart"]}, {"conditions": ["diabetes"]}, {"heart_known": "unsure"}):
        assert "chest_effort" in asked("back:arm_lateral", history={**SCREEN_NO, **known})


@pytest.mark.parametrize(
    "signs", [{"recent_strain_infection": "unsure"}, {"face_numb": "yes"}, {"onset": "sudden"}]
)
def test_a_sign_or_a_sudden_onset_calls_for_the_arteries_of_the_neck_after_all(signs):
    assert "double_vision" in asked("back:neck_posterior", history={**SCREEN_NO, **signs})


@pytest.mark.parametrize(
    ("age", "told", "wanted"),
    [
        (49, {"onset": "gradual"}, False),
        (49, {}, True),
        (49, {"onset": "sudden"}, True),
        (49, {"onset": "gradual", "conditions": ["high_pressure"]}, True),
        (50, {"onset": "gradual"}, True),
        (None, {"onset": "gradual"}, True),
    ],
)
def test_the_aorta_is_asked_unless_somebody_is_young_and_it_began_otherwise_than_suddenly(age, told, wanted):
    assert ("tearing_pain" in asked("back:lumbar_paraspinal", age=age, history=told)) is wanted


@pytest.mark.parametrize(
    ("age", "told", "wanted"),
    [(49, {}, False), (50, {}, True), (None, {}, True), (30, {"weight_loss": "unsure"}, True)],
)
def test_the_lung_apex_is_asked_of_a_shoulder_alone_from_50_or_with_a_sign_of_illness(age, told, wanted):
    assert ("cough_blood" in asked("back:scapula_body", age=age, history=told)) is wanted


def test_with_low_mood_denied_dying_is_asked_about_only_when_three_burdens_come_together():
    told = {"mood_low": "no", "lasted": "years", "day_course": ["night_wakes"], "sleep_poor": "yes"}
    assert "suicidal_thoughts" not in asked(history=told)
    assert "suicidal_thoughts" in asked(history={**told, "worry": "unsure"})
    assert "suicidal_thoughts" in asked(history={**told, "mood_low": "unsure"})


ORDINARY = [
    (
        ("front:shoulder_lateral", "front:shoulder_anterior"),
        {"onset": "gradual", "day_course": ["night_wakes"]},
    ),
    (("back:lumbar_paraspinal", "back:iliac_crest_posterior"), {"onset": "after_load", "lasted": "days"}),
    (("back:calf_medial", "back:calf_central"), {"onset": "after_load", "lasted": "days"}),
    (("front:temple", "back:suboccipital"), {"onset": "gradual", "lasted": "over_3_months"}),
    (("back:neck_angle", "back:scapula_medial_border"), {"onset": "on_waking", "lasted": "days"}),
    (("back:elbow_lateral", "back:forearm_radial_dorsal"), {"onset": "gradual", "lasted": "weeks"}),
]


@pytest.mark.parametrize(("places", "told"), ORDINARY)
def test_an_ordinary_patient_with_a_clear_screen_is_asked_little_and_raises_nothing(places, told):
    """Too many questions are not read. Four is this product's judgement of what is borne."""
    everything = facts(*places, age=44, history={**SCREEN_NO, **told})
    assert not flags.raised(everything)
    assert sum(len(one.items) for one in flags.to_ask(everything)) <= 4

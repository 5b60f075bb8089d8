"""What raises, grades up and never lowers each sign of danger, at its published limits."""

import itertools

import pytest

from bodymaps.reasoning import flag_rules
from tests.bodymaps.reasoning.raising import asked, level, said

HEART_REGIONS = [
    "front:pectoral_upper", "front:pectoral_lower", "front:sternal", "front:axilla", "front:chest_lateral",
    "front:jaw_mandible", "front:epigastric", "front:arm_anterior", "front:arm_lateral", "front:arm_medial",
    "back:arm_posterior", "back:arm_lateral", "front:elbow_anterior", "front:forearm_ulnar_volar",
    "front:shoulder_anterior", "back:interscapular", "back:scapula_body", "back:scapula_medial_border",
    "back:suprascapular",
]  # fmt: skip
HEART_QUESTIONS = ["chest_now", "chest_effort", "sweating_sick", "chest_pressure", "heart_known"]
NONE_OF_THE_HEART = dict.fromkeys(HEART_QUESTIONS, "no")


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("region", HEART_REGIONS)
def test_pain_where_the_heart_is_felt_brings_its_questions_on_either_side(region, side):
    place = (region, "midline" if region in ("front:sternal", "front:epigastric") else side, "ache")
    assert level("heart", place) == "watch"
    assert set(HEART_QUESTIONS) <= {key for key, group in asked(place).items() if group == "heart"}


def test_the_heart_stands_until_each_question_is_answered():
    for open_ in HEART_QUESTIONS:
        told = {key: answer for key, answer in NONE_OF_THE_HEART.items() if key != open_}
        assert level("heart", "back:interscapular", history=told) == "watch"
        assert open_ in asked("back:interscapular", history=told)
    assert level("heart", "back:interscapular", history=NONE_OF_THE_HEART) == ""
    assert "heart" not in asked("back:interscapular", history=NONE_OF_THE_HEART).values()


STORIES = [
    {},
    {"chest": "yes"},
    {"chest_now": "yes"},
    {"chest_effort": "unsure"},
    {"sweating_sick": "yes", "chest_now": "no"},
    {"heart_known": "yes", "chest_now": "yes"},
    {"brings_on": ["effort"]},
    NONE_OF_THE_HEART,
]


@pytest.mark.parametrize("story", STORIES)
@pytest.mark.parametrize("region", HEART_REGIONS)
def test_the_right_side_is_never_graded_lower_than_the_left(region, story):
    right, left = (level("heart", (region, side, "ache"), history=story) for side in ("right", "left"))
    assert right == left


@pytest.mark.parametrize("story", STORIES)
def test_a_muscle_that_hurts_on_pressing_never_clears_or_lowers_the_heart(story):
    """Swap and Nagurney 2005: reproduced by palpation 0.3, which lowers the odds and clears nothing."""
    for place, grade in itertools.product(HEART_REGIONS, ("positive", "negative", "NT")):
        pressed = {
            f"reproduced:{how}": {"right": grade, "left": grade} for how in ("by_pressing", "by_moving")
        }
        assert level("heart", place, history=story) == level("heart", place, history=story, findings=pressed)


@pytest.mark.parametrize(
    ("story", "wanted"),
    [
        ({"chest_effort": "yes"}, "same_day"),
        ({"chest_pressure": "unsure"}, "same_day"),
        ({"sweating_sick": "yes"}, "emergency"),
        ({"sweating_sick": "yes", "chest_now": "no"}, "same_day"),
        ({"chest": "yes"}, "emergency"),
        ({"chest": "unsure", "chest_now": "no"}, "same_day"),
        ({"chest": "yes", "chest_now": "yes"}, "emergency"),
        ({"chest_effort": "yes", "chest_now": "unsure"}, "emergency"),
        ({"chest_now": "yes"}, "same_day"),
        ({"brings_on": ["effort"]}, "same_day"),
    ],
)
def test_effort_sweating_pressure_and_pain_now_grade_it_up(story, wanted):
    assert level("heart", "front:pectoral_upper", history=story) == wanted


def test_both_arms_now_are_graded_above_one_arm_now():
    one = [("front:arm_anterior", "left", "ache")]
    both = [*one, ("back:arm_posterior", "right", "ache")]
    assert level("heart", *one, history={"chest_now": "yes"}) == "watch"
    assert level("heart", *both, history={"chest_now": "yes"}) == "same_day"


def test_jaw_or_both_arms_now_with_no_sign_of_the_heart_are_not_held_back_and_the_chest_is():
    signs = dict.fromkeys(["chest_effort", "sweating_sick", "chest_pressure"], "no")
    now = {**signs, "chest_now": "yes", "heart_known": "no"}
    arms = [("front:arm_anterior", "left", "ache"), ("back:arm_posterior", "right", "ache")]
    for place in (arms, ["front:jaw_mandible"]):
        assert level("heart", *place, history=now) == ""
        assert level("heart", *place, history={**now, "chest_pressure": "unsure"}) == "emergency"
        assert level("heart", *place, history={**now, "heart_known": "unsure"}) == "same_day"
        one_open = {key: value for key, value in now.items() if key != "sweating_sick"}
        assert level("heart", *place, history=one_open) == "same_day", "not asked is no no"
    assert level("heart", "front:pectoral_upper", history=now) == "same_day"


def test_a_failing_circulation_makes_it_an_emergency():
    told = {"chest_effort": "yes", "chest_now": "no"}
    assert level("heart", history=told) == "same_day"
    for vital, value in (("systolic", 90), ("pulse", 130), ("breathing", 25), ("oxygen", 91)):
        assert level("heart", history=told, findings={f"vital:{vital}": value}) == "emergency"


def test_where_studies_differ_both_are_said():
    words = " ".join(said("heart", "front:sternal").differs)
    for number in ("4.7", "4.1", "2.3", "2.6", "0.3"):
        assert number in words
    assert "200 ml" in " ".join(said("cauda_equina", history={"saddle_numb": "yes"}).differs)
    assert {"2009", "2010"} <= set(
        " ".join(said("cord_compression", history={"cord": "yes"}).differs).replace(")", " ").split()
    )


# Cauda equina and cord.


@pytest.mark.parametrize("answer", ["yes", "unsure"])
@pytest.mark.parametrize(
    "key", ["bladder_bowel_saddle", "bladder_bowel_change", "saddle_numb", "legs_weak_both", "sexual_change"]
)
def test_any_change_of_bladder_bowel_saddle_legs_or_sexual_feeling_is_an_emergency(key, answer):
    assert level("cauda_equina", history={key: answer}) == "emergency"
    assert level("cauda_equina", history={key: answer, "cauda_recent": "yes"}) == "emergency"


def test_an_old_and_steady_numbness_is_the_same_day_and_a_bladder_change_never_less_than_emergency():
    old = {"cauda_recent": "no"}
    assert level("cauda_equina", history={"saddle_numb": "yes", **old}) == "same_day"
    assert level("cauda_equina", history={"bladder_bowel_change": "yes", **old}) == "emergency"


def test_both_legs_found_very_weak_are_an_emergency_and_one_is_not():
    one = {"strength:L4": {"right": "3"}}
    assert level("cauda_equina", findings=one) == ""
    assert level("cauda_equina", findings={**one, "strength:S1": {"left": "3"}}) == "emergency"
    assert level("cauda_equina", findings={**one, "strength:S1": {"left": "4"}}) == "same_day"
    assert level("cauda_equina", findings={**one, "strength:S1": {"left": "NT"}}) == ""
    arms = {"strength:C5": {"right": "3", "left": "3"}}
    assert level("cauda_equina", findings=arms) == ""


def test_both_legs_a_little_weak_alone_are_the_same_day_and_with_the_back_or_a_nerve_an_emergency():
    """Hips and knees that hurt, or old age, weaken both legs to 4 as well."""
    slight = {"strength:L2": {"right": "4", "left": "4"}}
    assert level("cauda_equina", "front:groin", findings=slight) == "same_day"
    for place in ("back:lumbar_midline", "back:coccyx", ("back:calf_lateral", "left", "numbness")):
        assert level("cauda_equina", place, findings=slight) == "emergency"
    assert level("cauda_equina", findings=slight, history={"course": "worse"}) == "emergency"


def test_a_single_hoffmann_prompts_and_babinski_or_clonus_flag():
    assert level("cord_compression", findings={"cord:hoffmann": {"left": "positive"}}) == "watch"
    for sign in ("babinski", "clonus"):
        assert level("cord_compression", findings={f"cord:{sign}": {"right": "positive"}}) == "same_day"


def test_hoffmann_on_both_sides_is_one_of_five():
    both = {"cord:hoffmann": {"right": "positive", "left": "positive"}}
    assert level("cord_compression", age=60, findings=both) == "watch"


def test_three_of_five_flag_and_the_age_counts_above_45():
    """Cook et al. 2010: gait, Hoffmann, inverted supinator, Babinski, age above 45."""
    two = {"cord:hoffmann": {"right": "positive"}, "walk:gait": "abnormal"}
    assert level("cord_compression", age=45, findings=two) == "watch"
    assert level("cord_compression", age=46, findings=two) == "same_day"
    assert level("cord_compression", age=90) == ""


def test_cord_signs_with_a_bladder_change_are_an_emergency():
    for sign in ({"cord": "yes"}, {"hands_clumsy": "unsure"}):
        assert level("cord_compression", history=sign) == "same_day"
        assert level("cord_compression", history={**sign, "bladder_bowel_change": "unsure"}) == "emergency"
    hoffmann = {"cord:hoffmann": {"right": "positive"}}
    assert (
        level("cord_compression", history={"bladder_bowel_saddle": "yes"}, findings=hoffmann) == "emergency"
    )


def test_a_brisk_but_normal_reflex_raises_nothing():
    """NINDS 3 is normal (Hallett 1993); the clinic's 3+ does not alarm; 4+ is written with clonus."""
    for key, grade, wanted in (
        ("reflex:knee", "3", ""),
        ("reflex:knee", "4", "watch"),
        ("reflex_clinic:knee", "3+", ""),
        ("reflex_clinic:knee", "4+", "same_day"),
    ):
        found = level("cord_compression", findings={key: {"right": grade, "left": grade}})
        assert found == wanted, (key, grade)


# Fracture and the neck rule.

NECK_CLEAR = {
    "trauma": "yes", "fully_alert": "yes", "neck_surgery": "no", "vertebral_disease": "no",
    "dangerous_mechanism": "no", "limb_tingling_injury": "no", "walked_since": "yes",
}  # fmt: skip
TURNS = {"neck:rotation": {"right": 45, "left": 45}}


def fracture(age=64, history=None, findings=TURNS, places=("back:neck_posterior",)):
    return said("fracture", *places, age=age, history={**NECK_CLEAR, **(history or {})}, findings=findings)


def test_an_injury_never_silently_vanishes_and_the_rule_stands_in_the_reasons():
    clear = fracture()
    assert clear.level == "watch" and any("no image of the neck is needed" in why for why in clear.reasons)
    old = fracture(age=65)
    assert old.level == "same_day" and any("image the neck" in why for why in old.reasons)
    stiff = fracture(findings={"neck:rotation": {"right": 40, "left": 45}})
    assert stiff.level == "same_day" and any("40" in why for why in stiff.reasons)
    unknown = fracture(findings={})
    assert unknown.level == "same_day" and any("Still needed: Rotation" in why for why in unknown.reasons)
    child = fracture(age=15)
    assert child.level == "same_day" and any("cannot be applied" in why for why in child.reasons)


def test_an_injury_with_tingling_weakness_or_cord_signs_is_an_emergency():
    assert fracture(history={"limb_tingling_injury": "yes"}).level == "emergency"
    assert fracture(history={"weakness_grows": "unsure"}).level == "emergency"
    assert fracture(findings={**TURNS, "strength:C7": {"right": "4"}}).level == "emergency"


def test_a_weak_limb_after_an_injury_of_that_limb_alone_is_no_emergency_of_the_neck():
    """A sprained ankle turns out weakly because it hurts; with pain of neck or spine it is another matter."""
    told, weak = {"trauma": "yes"}, {"strength:ankle_eversion": {"right": "4"}}
    assert level("fracture", "front:ankle_lateral", history=told, findings=weak) == "same_day"
    for spine in ("back:lumbar_midline", "back:neck_angle", "back:thoracic_lower"):
        assert level("fracture", "front:ankle_lateral", spine, history=told, findings=weak) == "emergency"
    new = {**told, "new_head_neck_pain": "unsure"}
    assert level("fracture", "front:ankle_lateral", history=new, findings=weak) == "emergency"
    both = {"strength:L5": {"right": "4", "left": "4"}}
    assert level("fracture", "front:ankle_lateral", history=told, findings=both) == "emergency"
    for sign in ({"cord": "unsure"}, {"legs_weak_both": "yes"}):
        assert level("fracture", "front:ankle_lateral", history={**told, **sign}) == "emergency"


def test_what_the_neck_rule_says_nothing_of_is_not_cleared_by_it():
    assert fracture(history={"thin_bones": "yes"}).level == "same_day"
    assert fracture(places=("back:neck_posterior", "back:lumbar_midline")).level == "same_day"


def test_an_injury_without_neck_pain_is_looked_at_the_same_day():
    assert level("fracture", "back:elbow_lateral", history={"trauma": "unsure"}) == "same_day"


# The others: what grades up, and ages.


def test_fever_with_a_reason_for_infection_grades_up():
    hot, warm = {"vital:temperature": 38}, {"vital:temperature": 37.9}
    assert level("infection", findings=hot) == "same_day" and level("infection", findings=warm) == ""
    for key in ("immune_weak", "recent_bacterial"):
        assert level("infection", history={key: "yes"}, findings=warm) == "watch"
        assert level("infection", history={key: "unsure"}, findings=hot) == "emergency"


def test_breathlessness_is_an_emergency_until_oxygen_pulse_and_breathing_are_normal():
    told = {"sudden_breathless": "yes"}
    normal = {"vital:oxygen": 95, "vital:pulse": 99, "vital:breathing": 20}
    assert level("lung_clot", history=told) == "emergency"
    assert level("lung_clot", history=told, findings=normal) == "same_day"
    for vital, value in (("oxygen", 94), ("pulse", 100), ("breathing", 21)):
        assert level("lung_clot", history=told, findings={**normal, f"vital:{vital}": value}) == "emergency"
    assert level("lung_clot", history={**told, "clot_before": "yes"}, findings=normal) == "emergency"


def test_pain_on_a_deep_breath_is_watched_and_with_a_reason_for_a_clot_is_the_same_day():
    told = {"brings_on": ["deep_breath"]}
    assert level("lung_clot", "front:chest_lateral", history=told) == "watch"
    assert level("lung_clot", "front:chest_lateral", history={**told, "lay_still": "unsure"}) == "same_day"
    assert {"vital:oxygen", "calf_swollen", "clot_before"} <= set(asked("front:chest_lateral", history=told))


@pytest.mark.parametrize("vital", [{"vital:systolic": 180}, {"vital:diastolic": 110}])
def test_a_severely_raised_pressure_with_pain_of_head_or_neck_grades_up(vital):
    assert level("cervical_artery", "back:occiput", findings=vital) == "same_day"
    assert level("cervical_artery", "back:elbow_lateral", findings=vital) == ""
    new = {"new_head_neck_pain": "yes"}
    assert level("cervical_artery", history=new) == "same_day"
    assert level("cervical_artery", history=new, findings=vital) == "emergency"
    below = {key: value - 1 for key, value in vital.items()}
    assert level("cervical_artery", "back:occiput", findings=below) == ""


@pytest.mark.parametrize(
    "sign", ["sudden_severe", "double_vision", "speech_swallow", "face_numb", "dizzy_drop", "lid_droops"]
)
def test_new_pain_of_the_neck_with_any_other_sign_is_an_emergency(sign):
    assert level("cervical_artery", history={"new_head_neck_pain": "yes", sign: "unsure"}) == "emergency"


@pytest.mark.parametrize(("age", "wanted"), [(49, ""), (50, "same_day"), (None, "")])
def test_the_temple_artery_is_thought_of_from_50_years(age, wanted):
    assert level("giant_cell_arteritis", age=age, history={"jaw_tires": "yes"}) == wanted


def test_lost_sight_is_never_less_than_the_same_day_and_an_emergency_from_50():
    assert level("giant_cell_arteritis", age=30, history={"sight_worse": "yes"}) == "same_day"
    assert level("giant_cell_arteritis", age=50, history={"sight_worse": "yes"}) == "emergency"


def test_an_earlier_cancer_holds_treatment_back_and_weight_loss_alone_is_watched():
    assert level("cancer", history={"cancer": "yes"}) == "same_day"
    assert level("cancer", history={"weight_loss": "yes"}) == "watch"
    assert level("cancer", history={"cancer": "yes", "legs_weak_both": "yes"}) == "emergency"


def test_lung_apex_needs_the_area_and_grades_up_with_a_sign():
    area = ("back:scapula_medial_border", "front:forearm_ulnar_volar")
    assert level("lung_apex", *area[:1]) == "" and level("lung_apex", *area) == "watch"
    assert level("lung_apex", *area, findings={"look:hand_wasting": {"right": "abnormal"}}) == "same_day"
    assert level("lung_apex", *area, history={"lid_droops": "unsure"}) == "same_day"


def test_thin_hand_muscles_with_a_numb_little_finger_alone_are_watched_for_the_lung_apex():
    """The ulnar nerve at the elbow does the same and is far more frequent."""
    wasted = {"look:hand_wasting": {"right": "abnormal"}}
    assert level("lung_apex", "front:little_palmar", findings=wasted) == "watch"
    assert level("lung_apex", "back:scapula_body", findings=wasted) == "same_day"
    for told in ({"smoking": "now"}, {"weight_loss": "unsure"}, {"cancer": "yes"}):
        assert level("lung_apex", "front:little_palmar", findings=wasted, history=told) == "same_day"


@pytest.mark.parametrize(("age", "wanted"), [(49, ""), (50, "watch"), (None, "watch")])
def test_smoking_makes_a_shoulder_watched_for_the_lung_apex_from_50(age, wanted):
    assert level("lung_apex", "back:scapula_body", age=age, history={"smoking": "former"}) == wanted


def test_widespread_pain_is_watched_and_says_how_long():
    short = said("widespread_pain", widespread=True, history={"lasted": "weeks"})
    long = said("widespread_pain", widespread=True, history={"lasted": "years"})
    assert short.level == long.level == "watch"
    assert not any("three months" in why for why in short.reasons)
    assert any("more than three months" in why for why in long.reasons)
    assert "Lasting: years" in long.reasons


def test_fibromyalgia_is_never_named():
    text = "".join((flag_rules.FOLDER / name).read_text() for name in (flag_rules.FLAGS, flag_rules.ASKED))
    assert "fibromyalgia" not in text.lower()


def test_thoughts_are_the_same_day_and_a_plan_is_an_emergency():
    assert level("suicidal_thoughts", history={"suicidal_thoughts": "unsure"}) == "same_day"
    both = {"suicidal_thoughts": "yes", "suicidal_plan": "yes"}
    assert level("suicidal_thoughts", history=both) == "emergency"

"""Signs of danger: every entry of every flag comes with what it asks for and goes without it."""

import itertools

import pytest

from bodymaps.reasoning import case, conditions, flag_rules, flags, items
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.flags import LEVELS
from tests.bodymaps.reasoning import ways

DANGER = {
    "trauma": "fracture",
    "cord": "cord_compression",
    "bladder_bowel_saddle": "cauda_equina",
    "chest": "heart",
    "new_head_neck_pain": "cervical_artery",
    "fever": "infection",
    "cancer": "cancer",
    "weight_loss": "cancer",
}
IDS = {
    "cord_compression", "cauda_equina", "cancer", "infection", "fracture", "cervical_artery", "heart",
    "lung_apex", "lung_clot", "giant_cell_arteritis", "polymyalgia", "vein_thrombosis", "aorta", "kidney",
    "gallbladder_diaphragm", "pregnancy_emergency", "zoster", "septic_joint", "compartment_syndrome",
    "progressive_deficit", "widespread_pain", "suicidal_thoughts",
}  # fmt: skip
HEART_REGIONS = [
    "front:pectoral_upper", "front:pectoral_lower", "front:sternal", "front:axilla", "front:chest_lateral",
    "front:jaw_mandible", "front:epigastric", "front:arm_anterior", "front:arm_lateral", "front:arm_medial",
    "back:arm_posterior", "back:arm_lateral", "front:elbow_anterior", "front:forearm_ulnar_volar",
    "front:shoulder_anterior", "back:interscapular", "back:scapula_body", "back:scapula_medial_border",
    "back:suprascapular",
]  # fmt: skip
HEART_QUESTIONS = ["chest_now", "chest_effort", "sweating_sick", "chest_pressure", "heart_known"]
NONE_OF_THE_HEART = dict.fromkeys(HEART_QUESTIONS, "no")


def facts(*places, age=40, sex="unknown", history=None, findings=None, widespread=False):
    told = {"age": age, "sex": sex, "history": history or {}, "findings": findings or {}}
    drawn = {(place, "right", "ache") if isinstance(place, str) else place for place in places}
    return Facts(case.read(told), Drawn(frozenset(drawn), widespread))


def level(flag, *places, **told):
    """The level of one flag, or "" when it is not raised."""
    return next((one.level for one in flags.raised(facts(*places, **told)) if one.id == flag), "")


def said(flag, *places, **told):
    return next(one for one in flags.raised(facts(*places, **told)) if one.id == flag)


def asked(*places, **told):
    """The keys that are called for, with the group of each."""
    return {item.key: one.group.id for one in flags.to_ask(facts(*places, **told)) for item in one.items}


def urgent(one):
    return LEVELS.index(one)


# The table: every least way of every entry.

ENTRIES = [(rule, number) for rule in flags.rules() for number in range(len(rule.entries))]
PLAIN = [(rule, number) for rule, number in ENTRIES if not rule.entries[number].neck_rule]


def named(value):
    return getattr(value, "id", value)


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_every_way_to_an_entry_raises_its_flag_at_least_so_high(rule, number):
    entry = rule.entries[number]
    for way in ways.of(entry.when):
        found = [flag for flag in flags.raised(ways.facts(way)) if flag.id == rule.id]
        assert len(found) == 1, way
        assert urgent(found[0].level) <= urgent(entry.level), way
        assert entry.words in found[0].reasons, way


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_an_entry_goes_with_any_part_of_a_way_unless_what_is_left_is_another_way(rule, number):
    entry = rule.entries[number]
    every = ways.of(entry.when)
    for way in every:
        for part in way:
            left = way - {part}
            other_way = any(one <= left for one in every)
            assert entry.holds(ways.facts(left)) is other_way, (way, part)


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_a_flag_goes_or_drops_to_what_the_other_entries_say(rule, number):
    plain = [one for one in rule.entries if not one.neck_rule]
    for way in ways.of(rule.entries[number].when):
        for part in way:
            left = way - {part}
            held = [one.level for one in plain if any(other <= left for other in ways.of(one.when))]
            found = next((one.level for one in flags.raised(ways.facts(left)) if one.id == rule.id), "")
            if ("history", "trauma", "yes") not in left and ("history", "trauma", "unsure") not in left:
                assert found == min(held, key=urgent, default=""), (way, part)


def test_nothing_known_raises_nothing_and_asks_nothing():
    assert flags.raised(Facts(case.Case(), Drawn())) == ()
    assert flags.to_ask(Facts(case.Case(), Drawn())) == ()


def test_every_no_and_every_normal_finding_raises_nothing():
    history = {
        item.key: "no" for group in items.history().groups for item in group.items if item.type == "yes_no"
    }
    found = {}
    for item in items.findings().items.values():
        if item.type == "grade" and item.key.partition(":")[0] != "reflex_clinic":
            grade = items.findings().scale_of(item).normal or "none"
            found[item.key] = {"right": grade, "left": grade} if item.sided else grade
    assert flags.raised(facts(age=44, history=history, findings=found)) == ()


def test_every_sign_has_its_flag():
    assert {rule.id for rule in flags.rules()} == IDS


@pytest.mark.parametrize(("rule", "number"), ENTRIES, ids=named)
def test_every_entry_is_said_in_words_and_has_an_action(rule, number):
    entry = rule.entries[number]
    assert entry.condition and entry.words.endswith(".") and rule.actions[entry.level].endswith(".")
    text = " ".join([rule.title, rule.why, entry.words, *rule.actions.values(), *rule.differs]).lower()
    assert "diagnos" not in text.replace("diagnosis page", "") and " - " not in text and "\u2014" not in text


@pytest.mark.parametrize("rule", flags.rules(), ids=named)
def test_every_flag_names_its_sources(rule):
    assert rule.sources and all(rule.sources)


def test_every_named_condition_is_used():
    text = "".join((flag_rules.FOLDER / name).read_text() for name in (flag_rules.FLAGS, flag_rules.ASKED))
    names = flag_rules._load(flag_rules.FLAGS)["named"]
    assert not [name for name in names if f'named = "{name}"' not in text]


# The danger questions, and "not sure".


@pytest.mark.parametrize(
    "key", [item.key for group in items.history().on_page("danger") for item in group.items]
)
@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_every_danger_question_answered_yes_or_not_sure_raises_its_flag(key, answer):
    found = said(DANGER[key], history={key: answer})
    assert found.action and any("yes" in why or "not sure" in why for why in found.reasons)
    assert not level(DANGER[key], history={key: "no"})


@pytest.mark.parametrize("key", [key for key, item in items.history().items.items() if item.type == "yes_no"])
def test_not_sure_counts_as_yes_everywhere(key):
    for place in ((), ("front:pectoral_upper",), ("back:neck_posterior", "front:abdomen_lower")):
        yes, unsure = (
            {
                flag.id: flag.level
                for flag in flags.raised(facts(*place, age=60, sex="female", history={key: answer}))
            }
            for answer in ("yes", "unsure")
        )
        assert yes == unsure, (key, place)


def test_the_most_urgent_come_first_and_each_once():
    found = flags.raised(facts(age=60, history=dict.fromkeys(DANGER, "yes"), widespread=True))
    levels = [urgent(flag.level) for flag in found]
    assert levels == sorted(levels) and len({flag.id for flag in found}) == len(found)


def test_watch_does_not_hold_treatment_back_and_the_others_do():
    found = flags.raised(
        facts(age=60, history={"cord": "yes", "bladder_bowel_saddle": "yes"}, widespread=True)
    )
    held = flags.holds_back(found)
    assert {flag.level for flag in held} == {"emergency"}
    assert "widespread_pain" in {flag.id for flag in found} - {flag.id for flag in held}
    same_day = flags.raised(facts(history={"fever": "yes"}))
    assert flags.holds_back(same_day) == same_day and same_day[0].level == "same_day"


# Heart.


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


def test_both_legs_found_weak_are_an_emergency_and_one_is_not():
    one = {"strength:L4": {"right": "3"}}
    assert level("cauda_equina", findings=one) == ""
    assert level("cauda_equina", findings={**one, "strength:S1": {"left": "4"}}) == "emergency"
    assert level("cauda_equina", findings={**one, "strength:S1": {"left": "NT"}}) == ""
    arms = {"strength:C5": {"right": "3", "left": "3"}}
    assert level("cauda_equina", findings=arms) == ""


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


# What is asked on.


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


# Files that cannot be used.

GOOD = {
    "id": "heat",
    "title": "Heat",
    "why": "It burns.",
    "sources": [["a work", "checked"]],
    "action": {"watch": "Cool it."},
    "graded": [{"level": "watch", "when": {"yes": ["fever"]}, "words": "Hot."}],
}


def file_of(**changed):
    flag = {name: value for name, value in {**GOOD, **changed}.items() if value is not None}
    return {"version": "test", "levels": dict.fromkeys(LEVELS, "words"), "flag": [flag]}


def graded(**changed):
    return [{**GOOD["graded"][0], **changed}]


def test_a_good_file_is_read():
    assert flag_rules.read_flags(file_of()).rules[0].sources == ("a work",)


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"graded": graded(level="soon")}, "heat: entry 1: level must be one of"),
        ({"graded": graded(when={"yes": ["feever"]})}, "heat: entry 1: no such item: feever"),
        ({"graded": graded(when=None)}, "heat: entry 1: a condition must be a table"),
        ({"graded": graded(when={"named": "warm"})}, "heat: entry 1: no such named condition"),
        ({"graded": graded(when={"item": "fever", "is": ["yes"]})}, "entry 1: fever: not sure counts"),
        ({"graded": graded(words=" ")}, "heat: entry 1: words must be a text"),
        ({"graded": graded(neck_rule="perhaps")}, "heat: entry 1: neck_rule must be one of"),
        ({"graded": graded(colour="red")}, "heat: entry 1: unknown key colour"),
        ({"graded": []}, "heat: graded entries"),
        ({"action": {}}, "heat: graded entries, and an action"),
        (
            {
                "action": {
                    "watch": "",
                }
            },
            "heat: watch must be a text",
        ),
        ({"action": {"watch": "Cool.", "emergency": "Run."}}, "heat: graded entries, and an action"),
        ({"sources": None}, "heat: sources are needed"),
        ({"sources": []}, "heat: sources are needed"),
        ({"sources": ["a work"]}, r"heat: source 'a work' must be \[work"),
        ({"sources": [["a work", "perhaps"]]}, "heat: source"),
        ({"title": None}, "heat: title must be a text"),
        ({"urgency": "now"}, "heat: unknown key urgency"),
    ],
)
def test_a_faulty_flag_is_refused_with_file_and_entry(changed, reason):
    with pytest.raises(
        flag_rules.FlagRulesError, match=f"flags.toml: flag {reason}" if "heat" in reason else reason
    ):
        flag_rules.read_flags(file_of(**changed))


def test_two_flags_of_one_id_and_missing_levels_are_refused():
    twice = file_of()
    with pytest.raises(flag_rules.FlagRulesError, match="heat"):
        flag_rules.read_flags({**twice, "flag": twice["flag"] * 2})
    with pytest.raises(flag_rules.FlagRulesError, match="words for the levels"):
        flag_rules.read_flags({**twice, "levels": {}})
    with pytest.raises(flag_rules.FlagRulesError, match="unknown key colours"):
        flag_rules.read_flags({**twice, "colours": {}})


@pytest.mark.parametrize(
    ("entry", "reason"),
    [
        ({"group": "hart", "when": {"yes": ["fever"]}}, "asked.toml: ask hart: no such group"),
        ({"group": "heart", "items": ["fever"], "when": {"yes": ["fever"]}}, "ask heart: items must be keys"),
        ({"group": "heart", "items": [], "when": {"yes": ["fever"]}}, "ask heart: items must be keys"),
        ({"group": "heart"}, "ask heart: a condition must be a table"),
        ({"group": "heart", "when": {"yes": ["fever"]}, "who": "me"}, "ask heart: unknown key who"),
        ({"group": "heart", "when": {"yes": ["fever"]}, "in_person": "yes"}, "ask heart: in_person"),
    ],
)
def test_a_faulty_ask_is_refused_with_file_and_entry(entry, reason):
    with pytest.raises(flag_rules.FlagRulesError, match=reason):
        flag_rules.read_asked({"version": "test", "ask": [entry]}, {})

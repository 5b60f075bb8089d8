"""The Canadian C-spine rule (Stiell et al. 2001, JAMA 286:1841), step by step and at its boundaries."""

import dataclasses

import pytest

from bodymaps.reasoning import case, neck_rule, places
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn

NECK = Drawn(frozenset({("back:neck_posterior", "left", "ache")}))
# Rear-ended at 64, walks, nothing dangerous, turns 45 to each side: no image.
CLEAR = {
    "trauma": "yes",
    "fully_alert": "yes",
    "neck_surgery": "no",
    "vertebral_disease": "no",
    "dangerous_mechanism": "no",
    "limb_tingling_injury": "no",
    "simple_rear_end": "yes",
    "walked_since": "yes",
}
NO_LOW_RISK = {
    "simple_rear_end": "no",
    "walked_since": "no",
    "sat_in_department": "no",
    "neck_pain_delayed": "no",
}
FULL = {"neck:rotation": {"right": 80, "left": 80}}


def rule(age=64, drawn=NECK, turns=(45, 45), without=(), midline=None, **answers):
    history = {key: value for key, value in {**CLEAR, **answers}.items() if key not in without}
    measured = {
        side: value for side, value in zip(("right", "left"), turns, strict=True) if value is not None
    }
    findings = {"neck:rotation": measured} if measured else {}
    if midline:
        findings["look:midline_tenderness"] = midline
    return neck_rule.of(Facts(case.read({"age": age, "history": history, "findings": findings}), drawn))


def test_rear_ended_at_64_walking_and_turning_45_each_way_needs_no_image():
    assert rule().result == "no_image"


@pytest.mark.parametrize(("age", "result"), [(64, "no_image"), (65, "image"), (66, "image")])
def test_it_images_from_65_years_not_only_above(age, result):
    assert rule(age=age).result == result


@pytest.mark.parametrize(("age", "result"), [(15, "cannot_apply"), (16, "no_image"), (17, "no_image")])
def test_it_begins_at_16_years(age, result):
    assert rule(age=age).result == result


@pytest.mark.parametrize(
    ("turns", "result"),
    [
        ((45, 45), "no_image"),
        ((44, 45), "image"),
        ((45, 44), "image"),
        ((40, 80), "image"),
        ((44.9, 60), "image"),
        ((None, None), "not_enough"),
        ((80, None), "not_enough"),
        ((None, 80), "not_enough"),
        ((44, None), "image"),
        (("NT", 80), "not_enough"),
    ],
)
def test_it_needs_45_degrees_to_the_right_and_to_the_left(turns, result):
    assert rule(turns=turns).result == result


@pytest.mark.parametrize("key", ["dangerous_mechanism", "limb_tingling_injury"])
@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_a_high_risk_factor_images_whatever_else_and_not_sure_counts(key, answer):
    found = rule(**{key: answer}, turns=(80, 80), midline="normal")
    assert found.result == "image" and len(found.reasons) == 1


def test_without_any_low_risk_factor_it_images_even_when_the_head_turns_fully():
    assert rule(**NO_LOW_RISK, midline="abnormal", turns=(80, 80)).result == "image"


@pytest.mark.parametrize("key", NO_LOW_RISK)
def test_one_low_risk_factor_is_enough_to_test_the_range(key):
    assert rule(**{**NO_LOW_RISK, key: "yes"}, midline="abnormal").result == "no_image"
    assert rule(**{**NO_LOW_RISK, key: "unsure"}, midline="abnormal").result == "image"


def test_a_midline_that_was_felt_and_is_not_tender_is_a_low_risk_factor():
    assert rule(**NO_LOW_RISK, midline="normal").result == "no_image"


@pytest.mark.parametrize("midline", [None, "NT"])
def test_a_midline_that_was_not_felt_is_no_low_risk_factor_and_is_still_needed(midline):
    found = rule(**NO_LOW_RISK, midline=midline)
    assert found.result == "not_enough"
    assert "Tender over the spine in the middle" in found.words


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("fully_alert", "no"),
        ("fully_alert", "unsure"),
        ("neck_surgery", "yes"),
        ("neck_surgery", "unsure"),
        ("vertebral_disease", "yes"),
        ("vertebral_disease", "unsure"),
    ],
)
def test_it_cannot_be_applied_and_says_why(key, answer):
    found = rule(**{key: answer})
    assert found.result == "cannot_apply" and len(found.reasons) == 1 and found.reasons[0] in found.words


@pytest.mark.parametrize(
    "key", ["fully_alert", "neck_surgery", "vertebral_disease", "dangerous_mechanism", "limb_tingling_injury"]
)
def test_what_was_not_asked_is_never_taken_for_the_harmless_answer(key):
    found = rule(without=[key])
    assert found.result == "not_enough" and len(found.missing) == 1 and found.missing[0] in found.words


def test_without_an_age_it_says_so():
    assert rule(age=None).missing == ("Age",) and rule(age=None).result == "not_enough"


def test_nothing_answered_names_all_that_is_missing():
    found = rule(without=[key for key in CLEAR if key != "trauma"], turns=(None, None))
    assert found.result == "not_enough"
    for label in ("Fully awake", "Dangerous mechanism", "Tingling", "low-risk", "Earlier neck surgery"):
        assert label in found.words


def test_a_high_risk_factor_images_while_the_rest_is_open_and_names_it():
    found = rule(age=70, without=["fully_alert"])
    assert found.result == "image" and found.missing == ("Fully awake and oriented",)


@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_it_is_asked_after_an_injury_known_or_not_sure(answer):
    assert rule(trauma=answer).result == "no_image"


def test_it_is_not_asked_without_an_injury_or_without_pain_of_the_neck():
    assert rule(trauma="no").result == "not_asked"
    assert rule(without=["trauma"]).result == "not_asked"
    elbow = Drawn(frozenset({("back:elbow_lateral", "right", "ache")}))
    assert rule(drawn=elbow).result == "not_asked"
    assert rule(drawn=Drawn()).result == "not_asked"


@pytest.mark.parametrize("region", places.known()["neck"].regions)
def test_pain_anywhere_at_the_neck_brings_it(region):
    assert rule(drawn=Drawn(frozenset({(region, "right", "ache")}))).result == "no_image"


def test_a_new_pain_of_the_neck_brings_it_before_anything_is_drawn():
    assert rule(drawn=Drawn(), new_head_neck_pain="unsure").result == "no_image"


def test_an_injury_older_than_its_pain_is_no_clearance_by_time_alone():
    """The rule has no factor of duration; "delayed" is a low-risk factor, not a result."""
    assert rule(**{**NO_LOW_RISK, "neck_pain_delayed": "yes"}, turns=(None, None)).result == "not_enough"


@pytest.mark.parametrize("result", neck_rule.RESULTS)
def test_every_result_has_words(result):
    assert bool(neck_rule.rule().words[result]) == (result != "not_asked")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"high_risk": ["unheard_of"]}, "no such question: unheard_of"),
        ({"rotation": "neck:none"}, "no such finding: neck:none"),
        ({"source": " "}, "a source"),
        ({"status": "sure"}, "its status"),
        ({"words": {}}, "words for not_asked"),
        ({"one_more": 1}, "needs exactly"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_with_what_to_mend(changed, said):
    data = {**dataclasses.asdict(neck_rule.rule()), **changed}
    with pytest.raises(neck_rule.NeckRuleError, match=said):
        neck_rule.read(data)

"""The language of the rules: what holds, what the unknown does, what is refused, and how it reads."""

import pytest

from bodymaps.reasoning import case, condition_words, conditions
from bodymaps.reasoning.conditions import Condition, ConditionError, Facts
from bodymaps.reasoning.drawn import Drawn

NOTHING = Facts(case.Case(), Drawn())


def known(*places: tuple[str, str, str], widespread: bool = False, **told: object) -> Facts:
    return Facts(case.read(told), Drawn(frozenset(places), widespread))


def holds(told: dict, facts: Facts = NOTHING, side: str = "") -> bool:
    return conditions.read(told).holds(facts, side)


SUDDEN = {"item": "onset", "is": ["sudden"]}
SPURLING = {"finding": "neck:spurling", "is": ["positive"]}


def test_an_answer_holds_only_when_it_was_given():
    assert holds(SUDDEN, known(history={"onset": "sudden"}))
    assert not holds(SUDDEN, known(history={"onset": "gradual"}))
    assert not holds(SUDDEN)


def test_of_several_chosen_answers_any_is_enough():
    told = {"item": "brings_on", "is": ["reach", "lift"]}
    assert holds(told, known(history={"brings_on": ["chew", "lift"]}))
    assert not holds(told, known(history={"brings_on": ["chew"]}))
    assert not holds(told, known(history={"brings_on": []}))


@pytest.mark.parametrize(
    ("bound", "met", "missed"),
    [("at_least", 45, 44), ("at_most", 45, 46), ("above", 46, 45), ("below", 44, 45)],
)
def test_each_bound_of_a_number_is_exact(bound, met, missed):
    told = {"item": "morning_stiffness", bound: 45}
    assert holds(told, known(history={"morning_stiffness": met}))
    assert not holds(told, known(history={"morning_stiffness": missed}))
    assert not holds(told)


def test_two_bounds_are_both_kept():
    told = {"age": True, "at_least": 16, "below": 65}
    assert [holds(told, known(age=age)) for age in (15, 16, 64, 65)] == [False, True, True, False]
    assert not holds(told)


def test_a_number_that_was_not_tested_is_neither_high_nor_low():
    facts = known(findings={"vital:temperature": "NT"})
    assert not holds({"finding": "vital:temperature", "at_least": 30}, facts)
    assert not holds({"finding": "vital:temperature", "below": 43}, facts)


def test_what_was_not_tested_is_neither_normal_nor_abnormal():
    for facts in (NOTHING, known(findings={"touch:C6": {"right": "NT", "left": "NT"}})):
        assert not holds({"finding": "touch:C6", "normal": True}, facts)
        assert not holds({"finding": "touch:C6", "abnormal": True}, facts)


def test_normal_is_every_grade_that_counts_as_normal():
    """NINDS reflex scale (Hallett 1993): 2 and 3 are both normal, 4 is above."""
    for grade, normal in (("1", False), ("2", True), ("3", True), ("4", False)):
        facts = known(findings={"reflex:knee": {"right": grade}})
        assert holds({"finding": "reflex:knee", "normal": True}, facts) is normal
        assert holds({"finding": "reflex:knee", "abnormal": True}, facts) is not normal


def test_a_side_is_the_side_a_rule_is_asked_for():
    facts = known(findings={"neck:spurling": {"right": "positive", "left": "negative"}})
    assert holds({**SPURLING, "side": "same"}, facts, "right")
    assert not holds({**SPURLING, "side": "same"}, facts, "left")
    assert holds({**SPURLING, "side": "other"}, facts, "left")
    assert not holds({**SPURLING, "side": "other"}, facts, "right")
    assert holds(SPURLING, facts, "left") and holds(SPURLING, facts)


def test_without_a_side_same_and_other_are_any():
    facts = known(findings={"neck:spurling": {"left": "positive"}})
    assert holds({**SPURLING, "side": "same"}, facts) and holds({**SPURLING, "side": "other"}, facts)


def test_a_region_holds_on_its_side_and_the_midline_on_both():
    chest = {"drawn": ["front:pectoral_upper", "front:sternal"], "side": "same"}
    right = known(("front:pectoral_upper", "right", "ache"))
    middle = known(("front:sternal", "midline", "ache"))
    assert holds(chest, right, "right") and not holds(chest, right, "left")
    assert holds({**chest, "side": "other"}, right, "left")
    assert holds(chest, middle, "right") and holds(chest, middle, "left")


def test_a_kind_is_asked_of_the_region_itself():
    facts = known(("front:forehead", "right", "ache"), ("front:temple", "right", "burning"))
    assert not holds({"drawn": ["front:forehead"], "kinds": ["burning"]}, facts)
    assert holds({"drawn": ["front:forehead", "front:temple"], "kinds": ["burning"]}, facts)


def test_age_and_sex():
    assert holds({"sex": ["female"]}, known(sex="F")) and not holds({"sex": ["female"]}, known(sex="M"))
    assert holds({"sex": ["unknown"]})


def test_widespread_is_asked_of_the_drawing():
    assert holds({"widespread": True}, known(widespread=True)) and not holds({"widespread": True})


def test_all_any_none_and_how_many():
    yes, no = {"age": True, "at_least": 1}, {"age": True, "at_least": 99}
    facts = known(age=50)
    assert holds({"all": [yes, yes]}, facts) and not holds({"all": [yes, no]}, facts)
    assert holds({"any": [no, yes]}, facts) and not holds({"any": [no, no]}, facts)
    assert holds({"none": [no]}, facts) and not holds({"none": [no, yes]}, facts)
    assert holds({"at_least_of": 2, "of": [yes, no, yes]}, facts)
    assert not holds({"at_least_of": 2, "of": [yes, no, no]}, facts)


def test_only_none_is_true_of_the_unknown():
    leaves = [SUDDEN, SPURLING, {"age": True, "at_least": 0}, {"drawn": ["front:temple"]}]
    assert not any(holds(leaf) for leaf in leaves)
    assert holds({"none": leaves})


def test_each_side_needs_both():
    weak = {"finding": ["strength:L4", "strength:L5"], "abnormal": True, "side": "same"}
    told = {"each_side": [weak]}
    one = known(findings={"strength:L4": {"right": "4"}, "strength:L5": {"right": "3"}})
    both = known(findings={"strength:L4": {"right": "4"}, "strength:L5": {"left": "3"}})
    assert not holds(told, one) and holds(told, both)
    assert len(conditions.read(told).because(both)) == 2


def test_yes_counts_not_sure_and_answered_counts_any_answer():
    asked = {"yes": ["fever", "cancer"]}
    assert [holds(asked, known(history={"cancer": one})) for one in ("yes", "unsure", "no")] == [
        True,
        True,
        False,
    ]
    both = {"answered": ["fever", "cancer"]}
    assert holds(both, known(history={"cancer": "no", "fever": "unsure"}))
    assert not holds(both, known(history={"cancer": "no"}))


def test_because_says_what_holds_and_nothing_of_what_is_absent():
    told = {"all": [{"any": [SUDDEN, SPURLING]}, {"none": [{"yes": ["fever"]}]}, {"age": True, "above": 45}]}
    facts = known(age=46, history={"onset": "sudden"})
    assert conditions.read(told).because(facts) == ("Onset: suddenly", "age 46")


def test_because_says_each_thing_once():
    assert conditions.read({"all": [SUDDEN, SUDDEN]}).because(known(history={"onset": "sudden"})) == (
        "Onset: suddenly",
    )


def test_because_says_which_side_was_found_and_where_it_was_drawn():
    facts = known(("front:temple", "left", "burning"), findings={"neck:spurling": {"left": "positive"}})
    assert conditions.read(SPURLING).because(facts) == ("Spurling, left: positive",)
    assert "left temple" in conditions.read({"drawn": ["front:temple"]}).because(facts)[0]


def test_its_keys_are_those_it_asks_for_under_none_too():
    read = conditions.read({"all": [{"none": [SUDDEN]}, SPURLING, {"age": True, "above": 1}]})
    assert read.keys() == {"onset", "neck:spurling"}


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        (None, "must be a table"),
        ({}, "must be a table"),
        ([], "must be a table"),
        ({"colour": "red"}, "must ask for one of"),
        ({"item": "nothing_like_it", "is": ["yes"]}, "no such item"),
        ({"item": 3, "is": ["yes"]}, "no such item"),
        ({"finding": "onset", "is": ["sudden"]}, "no such item"),
        ({"item": "onset"}, "needs one of is"),
        ({"item": "onset", "is": "sudden"}, "must be a list"),
        ({"item": "onset", "is": []}, "must be a list"),
        ({"item": "onset", "is": ["slowly"]}, "is must be a list out of"),
        ({"item": "onset", "is": ["sudden"], "at_least": 3}, "needs one of is"),
        ({"item": "onset", "is": ["sudden"], "side": "same"}, "unknown side"),
        ({"item": "medication", "is": ["warfarin"]}, "medication"),
        ({"item": "morning_stiffness", "is": ["45"]}, "a number needs"),
        ({"item": "morning_stiffness"}, "a number needs"),
        ({"item": "morning_stiffness", "at_least": "45"}, "must be a number"),
        ({"item": "morning_stiffness", "at_least": True}, "must be a number"),
        ({"finding": "vital:pulse", "abnormal": True}, "a number needs"),
        ({"finding": "touch:C6", "abnormal": False}, "normal = true"),
        ({"finding": "touch:C6", "normal": True, "abnormal": True}, "needs one of is"),
        ({"finding": "touch:C6", "is": ["NT"]}, "is must be a list out of"),
        ({"finding": "touch:C6", "abnormal": True, "side": "left"}, "side must be one of"),
        ({"drawn": []}, "must be a list"),
        ({"drawn": "front:temple"}, "must be a list"),
        ({"drawn": ["front:tempel"]}, "front:tempel"),
        ({"drawn": ["front:temple"], "kinds": ["sting"]}, "sting"),
        ({"drawn": ["front:temple"], "kinds": "ache"}, "must be a list"),
        ({"age": 65}, "age = true"),
        ({"age": True}, "a number needs"),
        ({"age": True, "over": 65}, "unknown over"),
        ({"sex": ["woman"]}, "woman"),
        ({"widespread": False}, "widespread = true"),
        ({"all": []}, "list of conditions"),
        ({"all": {"age": True, "at_least": 3}}, "list of conditions"),
        ({"all": [SUDDEN], "any": [SUDDEN]}, "unknown any"),
        ({"any": [{"item": "onset", "is": ["slowly"]}]}, "is must be a list out of"),
        ({"of": [SUDDEN]}, "at_least_of"),
        ({"of": [SUDDEN], "at_least_of": 0}, "from 1 to 1"),
        ({"of": [SUDDEN], "at_least_of": 2}, "from 1 to 1"),
        ({"of": [SUDDEN], "at_least_of": True}, "at_least_of"),
        ({"yes": "fever"}, "must be a list"),
        ({"yes": []}, "must be a list"),
        ({"yes": ["onset"]}, "is must be a list out of"),
        ({"yes": ["fever"], "is": ["yes"]}, "unknown is"),
        ({"answered": ["morning_stiffness"]}, "given answers"),
    ],
)
def test_it_refuses(told, reason):
    with pytest.raises(ConditionError, match=reason):
        conditions.read(told)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (SUDDEN, "Onset: suddenly"),
        ({"yes": ["fever"]}, "Infection: yes or not sure"),
        ({"yes": ["fever", "cancer", "cord"]}, '"Infection", "Cancer" or "Spinal cord": yes or not sure'),
        ({"answered": ["fever", "cancer"]}, '"Infection" and "Cancer": answered'),
        ({"age": True, "at_least": 65}, "age at least 65"),
        ({**SPURLING, "side": "same"}, "Spurling: positive, same side"),
        (
            {"finding": ["touch:S3", "pin:S3"], "abnormal": True},
            "Light touch (S3) or Pin prick (S3): not normal",
        ),
        ({"finding": "neck:rotation", "below": 60}, "Rotation: below 60 °"),
        ({"drawn": ["front:temple"], "kinds": ["ache", "burning"]}, "drawn as ache or burning: temple"),
        ({"drawn": ["front:temple"], "called": "head"}, "drawn: head"),
        ({"all": [SUDDEN, {"none": [SPURLING]}]}, "Onset: suddenly, and not (Spurling: positive)"),
        (
            {"all": [{"any": [SUDDEN, SPURLING]}, {"sex": ["female"]}]},
            "(Onset: suddenly; or Spurling: positive), and sex female",
        ),
        ({"at_least_of": 1, "of": [SUDDEN, SPURLING]}, "at least 1 of: Onset: suddenly; Spurling: positive"),
        (
            {"each_side": [{"drawn": ["front:temple"], "side": "same"}]},
            "right and left alike: drawn: temple",
        ),
    ],
)
def test_it_reads(told, words):
    assert condition_words.in_words(conditions.read(told)) == words


def test_a_condition_is_its_own_when_made_of_others():
    made = conditions.read({"all": [SUDDEN, SPURLING]})
    assert isinstance(made, Condition) and len(made.parts) == 2 and len(list(made.leaves())) == 2

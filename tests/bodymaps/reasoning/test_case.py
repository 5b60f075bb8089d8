"""One case: each value checked against the catalogue, each refusal in one line that names the member."""

import math

import pytest

from bodymaps.reasoning import case
from bodymaps.reasoning.case import CaseError


def test_nothing_told_is_a_case():
    assert case.read({}) == case.Case()
    assert case.read({"age": None, "sex": None, "history": None, "findings": None}) == case.Case()


def test_it_reads_each_kind_of_value():
    made = case.read(
        {
            "age": 44,
            "sex": "female",
            "history": {
                "onset": "sudden",
                "brings_on": ["reach", "turn_head", "reach"],
                "fever": "unsure",
                "chest": True,
                "cancer": False,
                "morning_stiffness": 45,
                "goals": "  To swim. ",
            },
            "findings": {
                "touch:C6": {"right": "1", "left": "2"},
                "neck:rotation": {"left": 62},
                "strength:C5": {"right": "NT"},
            },
        }
    )
    assert (made.age, made.sex) == (44, "female")
    assert made.history == {
        "onset": "sudden",
        "brings_on": ("turn_head", "reach"),
        "fever": "unsure",
        "chest": "yes",
        "cancer": "no",
        "morning_stiffness": 45,
        "goals": "To swim.",
    }
    assert made.finding("touch:C6", "right") == "1" and made.finding("touch:C6", "left") == "2"
    assert made.finding("neck:rotation", "left") == 62 and made.finding("neck:rotation", "right") is None
    assert made.finding("strength:C5", "right") == "NT"


def test_it_takes_the_short_forms_of_sex():
    told = {"F": "female", "M": "male", "other": "other", None: "unknown"}
    assert {short: case.read({"sex": short}).sex for short in told} == told


def test_a_vital_sign_that_was_not_taken_may_say_so():
    key = next(
        key for key, one in case.items.findings().items.items() if one.type == "number" and not one.sided
    )
    assert case.read({"findings": {key: "NT"}}).finding(key, "") == "NT"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"age": -1}, "age: must be whole years, 0 to 130"),
        ({"age": 131}, "age: must be whole years, 0 to 130"),
        ({"age": 44.5}, "age: must be whole years, 0 to 130"),
        ({"age": True}, "age: must be whole years, 0 to 130"),
        ({"age": "44"}, "age: must be whole years, 0 to 130"),
        ({"sex": "f"}, "sex: must be one of female, male, other, unknown"),
        ({"sex": 1}, "sex: must be one of female, male, other, unknown"),
        ({"history": ["onset"]}, "history: must be an object of keys and values"),
        ({"findings": "none"}, "findings: must be an object of keys and values"),
        ({"history": {"shoe_size": 42}}, "history.shoe_size: unknown key"),
        ({"history": {"touch:C6": "2"}}, "history.touch:C6: unknown key"),
        ({"history": {"onset": "Sudden"}}, "history.onset: 'Sudden' is not one of sudden, gradual"),
        ({"history": {"onset": ["sudden"]}}, "history.onset: ['sudden'] is not one of"),
        ({"history": {"onset": True}}, "history.onset: True is not one of"),
        ({"history": {"brings_on": "reach"}}, "history.brings_on: must be a list"),
        ({"history": {"brings_on": ["reach", "fly"]}}, "history.brings_on: 'fly' is not one of"),
        ({"history": {"brings_on": [["reach"]]}}, "history.brings_on: ['reach'] is not one of"),
        ({"history": {"fever": "maybe"}}, "history.fever: 'maybe' is not one of yes, no, unsure"),
        ({"history": {"fever": 1}}, "history.fever: 1 is not one of yes, no, unsure"),
        ({"history": {"morning_stiffness": "45"}}, "history.morning_stiffness: must be a number in min"),
        ({"history": {"morning_stiffness": True}}, "history.morning_stiffness: must be a number in min"),
        ({"history": {"morning_stiffness": math.nan}}, "history.morning_stiffness: must be a number in min"),
        ({"history": {"morning_stiffness": math.inf}}, "history.morning_stiffness: must be a number in min"),
        ({"history": {"morning_stiffness": "NT"}}, "history.morning_stiffness: must be a number in min"),
        ({"history": {"morning_stiffness": 601}}, "history.morning_stiffness: 601 min is outside 0 to 600"),
        ({"history": {"morning_stiffness": -1}}, "history.morning_stiffness: -1 min is outside 0 to 600"),
        ({"history": {"work": "x" * 121}}, "history.work: must be a text of at most 120 characters"),
        ({"history": {"work": 3}}, "history.work: must be a text of at most 120 characters"),
        ({"findings": {"onset": "sudden"}}, "findings.onset: unknown key"),
        ({"findings": {"touch:C6": "2"}}, 'findings.touch:C6: needs {"right": value, "left": value}'),
        ({"findings": {"touch:C6": {}}}, 'findings.touch:C6: needs {"right": value, "left": value}'),
        ({"findings": {"touch:C6": {"both": "2"}}}, "findings.touch:C6: needs"),
        ({"findings": {"touch:C6": {"right": "2", "Left": "2"}}}, "findings.touch:C6: needs"),
        (
            {"findings": {"touch:C6": {"right": "3"}}},
            "findings.touch:C6.right: '3' is not one of 0, 1, 2, NT",
        ),
        ({"findings": {"touch:C6": {"left": 2}}}, "findings.touch:C6.left: 2 is not one of"),
        (
            {"findings": {"neck:rotation": {"left": math.nan}}},
            "findings.neck:rotation.left: must be a number",
        ),
    ],
)
def test_it_refuses_in_one_line_that_names_the_member(data, said):
    with pytest.raises(CaseError) as refused:
        case.read(data)
    assert str(refused.value).startswith(said)
    assert "\n" not in str(refused.value)


def test_the_error_knows_the_key_for_the_form():
    with pytest.raises(CaseError) as refused:
        case.read({"findings": {"touch:C6": {"right": "3"}}})
    assert refused.value.key == "touch:C6"
    assert "touch" not in refused.value.reason


def test_reflexes_are_graded_on_one_scale_of_the_two():
    one = {"reflex:biceps": {"right": "2"}}
    other = {"reflex_clinic:triceps": {"right": "NT"}}
    assert case.findings_of(one) and case.findings_of(other)
    with pytest.raises(CaseError, match="graded on one scale"):
        case.findings_of({**one, **other})

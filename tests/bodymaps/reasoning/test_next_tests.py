"""Which tests may be proposed, what their results are called, and which stand together."""

from __future__ import annotations

import pytest

from bodymaps.reasoning import items, next_tests, offered_tests
from bodymaps.reasoning.evidence import Evidence
from bodymaps.reasoning.possible import Possible
from bodymaps.reasoning.standing import Standing
from tests.bodymaps.reasoning.evidence_cases import ATLAS, FOUR_TESTS, HAND_ON_HEAD, Person, on

LEG = Person((("ache", {"back:sacroiliac": 0.7, "back:thigh_posterior_upper": 0.6}),), age=45)
SACROILIAC = ("distraction", "thigh_thrust", "gaenslen", "compression", "sacral_thrust")


def possible(person: Person, *names: str) -> dict[tuple[str, str], list[Possible]]:
    """What may be tested to separate these of a person's candidates, by key and side."""
    order = tuple(one for one in person.judged().order if one.id in names)
    assert len(order) == len(names)
    found: dict[tuple[str, str], list[Possible]] = {}
    for one in next_tests.possible(Standing(Evidence(order), person.facts, ATLAS)):
        found.setdefault((one.id, one.side), []).append(one)
    return found


def test_every_test_that_is_offered_stands_in_the_catalogue_with_both_of_its_values() -> None:
    known = items.findings().items
    for key, one in offered_tests.alone().items():
        for values in one.values:
            item = known[key]
            allowed = {choice.id for choice in item.choices}
            within = isinstance(values[key], float) and item.least <= values[key] <= item.most
            assert values[key] in allowed or within, key


def test_feeling_strength_reflexes_vitals_and_looks_are_not_offered_one_by_one() -> None:
    groups = {items.findings().items[key].group for key in offered_tests.alone()}
    assert not groups & {
        "touch",
        "pin",
        "strength",
        "reflex",
        "reflex_clinic",
        "vital",
        "look",
        "pretest",
        "cord",
    }


@pytest.mark.parametrize(
    ("key", "results"),
    [
        ("neck:spurling", ("Positive", "Negative")),
        ("neck:abduction_relief", ("Eases the arm pain", "No change")),
        # Wainner 2003: exactly 60 degrees is negative.
        ("neck:rotation", ("Below 60 °", "60 ° or more")),
    ],
)
def test_results_are_called_by_what_is_found(key: str, results: tuple[str, str]) -> None:
    found = offered_tests.alone()[key].results
    assert found[0] == results[0] and found[1].startswith(results[1])


def test_a_range_has_a_limit_for_each_result_where_the_rules_name_two() -> None:
    assert offered_tests.alone()["passive:shoulder_external_rotation"].results == (
        "Below 30 °",
        "60 ° or more",
    )


def test_a_published_test_is_expected_to_be_positive_as_often_as_its_paper_says() -> None:
    # Spurling with C6 as its root: 0.50 with the root, 1 - 0.86 with the muscle (Wainner 2003).
    (one,) = possible(HAND_ON_HEAD, "C6", "infraspinatus")["neck:spurling", "right"]
    assert one.positive == pytest.approx((0.503, 0.144), abs=0.001)


def test_a_test_says_its_ratio_and_whom_it_speaks_for() -> None:
    (one,) = possible(HAND_ON_HEAD, "C6", "infraspinatus")["neck:spurling", "right"]
    told = one.tell()
    assert told.basis == "published ratio" and "Wainner" in told.source and told.caution
    assert (
        told.why[0] == "Positive: for C6 nerve root, published ratio 3.5. Speaks for cervical radiculopathy."
    )
    assert told.why[1].startswith("Negative: against C6 nerve root, published ratio 0.58.")


def test_the_result_that_says_more_is_told_first() -> None:
    # Wainner 2003: rotation of 60 degrees and more has a ratio of 0.23, less than that one of 1.8.
    (one,) = possible(HAND_ON_HEAD, "C6", "infraspinatus")["neck:rotation", "right"]
    first, second = one.tell().why
    assert first.startswith("60 ° or more: against") and "0.23" in first and "1.8" in second


def test_tests_about_the_same_thing_do_not_stand_beside_each_other() -> None:
    found = possible(HAND_ON_HEAD, "C6", "infraspinatus")
    (spurling,), (distraction,) = found["neck:spurling", "right"], found["neck:distraction", "right"]
    assert not distraction.adds_to([spurling])


def test_what_is_on_record_already_is_not_told_again_as_a_reason_for_the_next_test() -> None:
    person = Person(HAND_ON_HEAD.drawing, findings=on("right", {"neck:spurling": "positive"}))
    (one,) = possible(person, "C6", "infraspinatus")["neck:distraction", "right"]
    assert "3.5" not in " ".join(one.tell().why)
    # Counted once, a positive distraction adds 4.4 / 3.5 to the odds.
    assert "4.4" in " ".join(one.tell().why)


def test_the_last_test_of_the_four_for_a_root_is_worth_the_ratio_of_all_four() -> None:
    # Wainner 2003: 30.3 with four positive, 6.1 with three.
    three = {key: value for key, value in FOUR_TESTS.items() if key != "neck:distraction"}
    (one,) = possible(Person(HAND_ON_HEAD.drawing, findings=three), "C6", "infraspinatus")[
        "neck:distraction", "right"
    ]
    said = " ".join(one.tell().why)
    assert "published ratio 30.3" in said and "published ratio 6.1" in said


def test_five_tests_of_the_sacroiliac_joint_are_proposed_as_one_with_their_ratio() -> None:
    # Laslett 2003: three or more of five, 4.16; fewer, 0.12; sensitivity 0.91, specificity 0.78 beside it.
    found = possible(LEG, "sacroiliac", "piriformis")["sacroiliac:distraction", "right"]
    alone, together = found
    assert together.tell().title == "Sacroiliac joint, five tests, right"
    assert (
        together.tell().why[0].startswith("To be tested: Distraction of the pelvis, Thigh thrust, Gaenslen")
    )
    assert dict(zip(("sacroiliac", "piriformis"), sorted(together.positive, reverse=True), strict=True)) == {
        "sacroiliac": pytest.approx(0.91, abs=0.01),
        "piriformis": pytest.approx(0.22, abs=0.01),
    }
    assert not alone.adds_to([together])


def test_those_of_the_five_that_were_tried_are_left_out() -> None:
    person = Person(LEG.drawing, age=45, findings=on("right", {"sacroiliac:distraction": "NT"}))
    found = possible(person, "sacroiliac", "piriformis")
    assert ("sacroiliac:distraction", "right") not in found
    together = found["sacroiliac:thigh_thrust", "right"][-1].tell()
    assert together.why[0].startswith("To be tested: Thigh thrust, Gaenslen")


def test_the_last_of_the_five_stands_alone() -> None:
    tried = {f"sacroiliac:{name}" for name in SACROILIAC[:4]}
    assert not [one for one in offered_tests.together(tried) if one.title.startswith("Sacroiliac joint")]


def test_a_case_that_three_of_the_five_have_decided_is_not_tested_on() -> None:
    decided = {f"sacroiliac:{name}": "positive" for name in SACROILIAC[:3]}
    found = possible(Person(LEG.drawing, age=45, findings=on("right", decided)), "sacroiliac", "piriformis")
    assert not [key for key, _ in found if key.startswith("sacroiliac:")]


def test_a_cluster_with_a_number_that_says_nothing_does_not_stand_as_one() -> None:
    # Of the four tests of Wainner two, three and four have a ratio, none and one have not.
    titles = [one.title for one in offered_tests.together()]
    assert not any("radiculopathy" in title or "Cord" in title for title in titles)
    assert "Sacroiliac joint, five tests" in titles


def test_a_cluster_that_no_rule_of_evidence_counts_is_not_offered() -> None:
    assert not any("best four tests" in one.title for one in offered_tests.together())


def test_several_tests_are_proposed_only_for_one_of_the_very_first() -> None:
    # Common practice: nobody tests the sacroiliac joint five times over for an aching calf.
    calf = Person((("ache", {"back:calf_central": 0.8}),), age=60)
    standing = Standing(calf.judged(), calf.facts, ATLAS)
    assert [one.id for one in standing.leading].index("sacroiliac") >= 3
    assert not [one for one in next_tests.possible(standing) if "five tests" in one.tell().title]

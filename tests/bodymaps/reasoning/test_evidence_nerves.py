"""The neuro screen as evidence: fits, normal signs, published ratios; what was not tested says nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from bodymaps.reasoning import case as cases
from bodymaps.reasoning import evidence_nerves, neuro
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Line
from bodymaps.reasoning.own_areas import Sided
from tests.bodymaps.reasoning.evidence_cases import (
    ARM,
    ATLAS,
    C6_SIGNS,
    FOUR_TESTS,
    NORMAL_ARM,
    Person,
    on,
    one,
)


def lines(findings: dict[str, Any], drawn_on: tuple[Sided, ...] = ()) -> dict[Sided, list[Line]]:
    return evidence_nerves.of(cases.read({"findings": findings}), ATLAS, drawn_on)


def ratios(found: dict[Sided, list[Line]], root: str) -> list[Line]:
    return [line for line in found.get(("root", root, "right"), []) if line.about == evidence_nerves.TESTS]


def test_a_fit_speaks_by_its_score() -> None:
    found = lines(C6_SIGNS)
    fit = {
        root: next(line.weight for line in found["root", root, "right"] if line.rule == evidence_nerves.FITS)
        for root in ("C6", "C7")
    }
    assert fit["C6"] > fit["C7"] > 0
    best = neuro.fits(cases.read({"findings": C6_SIGNS}))[0]
    assert best.id == "C6" and fit["C6"] == pytest.approx(0.19 * math.log(5) * best.score)


def test_normal_signs_speak_weakly_against_their_root_and_for_the_muscles_of_the_limb() -> None:
    found = lines(NORMAL_ARM)
    against = found["root", "C6", "right"]
    assert [line.speaks for line in against] == [AGAINST]
    assert found["muscle", "levator_scapulae", "right"][0].speaks == FOR
    assert ("muscle", "levator_scapulae", "left") not in found


def test_what_was_not_tested_says_nothing() -> None:
    untested = on("right", dict.fromkeys(("touch:C6", "strength:C6", "reflex:brachioradialis"), "NT"))
    assert lines(untested) == {} and lines({}) == {}


def test_one_normal_sign_of_many_says_nothing_against_a_root() -> None:
    assert ("root", "C6", "right") not in lines(on("right", {"touch:C6": "2"}))


def test_with_one_abnormal_sign_the_screen_speaks_for_no_muscle() -> None:
    found = lines({**NORMAL_ARM, "strength:T1": {"right": "4"}})
    assert not [one for one in found if one[0] == "muscle"]


# Wainner RS et al., Spine 2003;28:52-62: printed ratios of four, three and two positive tests.
PRINTED = ((4, 30.3), (3, 6.1), (2, 0.88))


@pytest.mark.parametrize(("positive", "ratio"), PRINTED)
def test_a_cluster_weighs_its_printed_ratio_and_its_single_tests_are_not_counted(
    positive: int, ratio: float
) -> None:
    tests = dict(FOUR_TESTS)
    for key in list(tests)[positive:]:
        tests[key] = {"right": 70 if key == "neck:rotation" else "negative"}
    cluster, *singles = ratios(lines({**C6_SIGNS, **tests}), "C6")
    assert cluster.weight == pytest.approx(0.19 * math.log(ratio)) and cluster.counted
    assert singles and not any(line.counted for line in singles)


def test_without_a_cluster_a_single_test_counts() -> None:
    # Wainner 2003, Spurling A: ratio 3.5 (from memory).
    (spurling,) = ratios(lines({**C6_SIGNS, **on("right", {"neck:spurling": "positive"})}), "C6")
    assert spurling.counted and spurling.weight == pytest.approx(0.19 * math.log(3.5))


def test_a_ratio_for_a_root_goes_to_the_best_fitting_of_that_side() -> None:
    found = lines({**C6_SIGNS, **FOUR_TESTS})
    assert ratios(found, "C6") and not ratios(found, "C7")
    assert ("root", "C6", "left") not in found


def test_without_a_fit_it_goes_to_the_roots_in_whose_skin_something_is_drawn() -> None:
    drawn = lines(FOUR_TESTS, drawn_on=(("root", "C7", "right"),))
    assert ratios(drawn, "C7") and not ratios(drawn, "C6")
    assert ratios(lines(FOUR_TESTS), "C5") and ratios(lines(FOUR_TESTS), "C8")


def test_a_ratio_against_is_held_against_every_root_it_is_about() -> None:
    # Wainner 2003, upper limb test A: ratio of a negative test 0.12 (from memory).
    found = lines({**C6_SIGNS, **on("right", {"tension:median": "negative"})})
    for root in ("C5", "C6", "C7", "C8"):
        (said,) = ratios(found, root)
        assert said.speaks == AGAINST and said.weight == pytest.approx(0.19 * math.log(0.12))


def test_a_straight_leg_raise_says_more_when_it_is_negative() -> None:
    # van der Windt DA et al., Cochrane 2010, CD007431: pooled sensitivity 0.92, specificity 0.28.
    positive, negative = (
        ratios(lines(on("right", {"back:slr": result})), "L5")[0] for result in ("positive", "negative")
    )
    assert positive.weight == pytest.approx(0.19 * math.log(0.92 / 0.72), abs=0.003)
    assert negative.weight == pytest.approx(0.19 * math.log(0.08 / 0.28), abs=0.003)
    assert abs(negative.weight) > positive.weight


def test_signs_of_the_cord_are_held_against_no_root() -> None:
    cord = {"cord:hoffmann": "positive", "cord:babinski": "positive", "cord:inverted_supinator": "positive"}
    assert lines({**on("right", cord), "walk:gait": "abnormal"}) == {}


def test_the_part_of_the_file_is_whole() -> None:
    known = evidence_nerves.known()
    assert replace(known) == known and known.ratio_of_fit > 1
    roots = {root for screen in known.screens for root in screen.roots} | {
        root for found in known.roots.values() for root in found
    }
    groups = {group for screen in known.screens for group in screen.muscle_groups}
    assert roots <= set(ATLAS.dermatomes)
    assert groups <= {muscle.group for muscle in ATLAS.muscles.values()}


THIGH = (("ache", {"front:groin": 0.8, "front:thigh_anterior_upper": 0.8}),)


def against_by_loss(drawing: Any, layer: str, name: str, side: str, findings: dict[str, Any]) -> list[str]:
    judged = one(Person(drawing, findings=findings).judged(), layer, name, side)
    return [line.rule for line in judged.speaks_against if line.about == "loss of function"]


@pytest.mark.parametrize(
    ("finding", "lost", "kept"),
    [("strength:C7", "3", "4"), ("reflex:triceps", "0", "1"), ("reflex_clinic:triceps", "0", "1+")],
)
def test_a_lost_reflex_or_strength_of_3_speaks_against_the_muscles_of_its_arm_only(
    finding: str, lost: str, kept: str
) -> None:
    scalene = ("muscle", "scalenus_medius", "right")
    assert against_by_loss(ARM, *scalene, on("right", {finding: lost})) == ["loss_arm"]
    for harmless in (on("right", {finding: kept}), on("right", {finding: "NT"}), on("left", {finding: lost})):
        assert not against_by_loss(ARM, *scalene, harmless)
    assert not against_by_loss(THIGH, "muscle", "iliopsoas", "right", on("right", {finding: lost}))


def test_a_lost_knee_reflex_speaks_against_muscle_and_hip_joint_and_not_against_the_shoulder() -> None:
    lost = on("right", {"reflex:knee": "0"})
    for layer, name in (("muscle", "iliopsoas"), ("joint_referral", "hip")):
        assert against_by_loss(THIGH, layer, name, "right", lost) == ["loss_leg"]
    assert not against_by_loss(ARM, "muscle", "scalenus_medius", "right", lost)


def test_a_weak_shoulder_is_left_out_as_a_torn_cuff_makes_it_too() -> None:
    weak = on("right", {"strength:shoulder_abduction": "2", "strength:shoulder_external_rotation": "2"})
    assert not against_by_loss(ARM, "muscle", "scalenus_medius", "right", weak)

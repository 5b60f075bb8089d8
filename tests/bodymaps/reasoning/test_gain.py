"""What a finding is expected to tell, reckoned by hand. Entropy and mutual information: Shannon CE, Bell Syst
Tech J 1948;27:379-423. Sensitivity, specificity and ratios of the neck tests: Wainner RS et al., Spine
2003;28:52-62 (from memory).
"""

from __future__ import annotations

import math

import pytest

from bodymaps.reasoning import evidence_rules, gain
from bodymaps.reasoning.gain import Pair
from bodymaps.reasoning.implied import shares

STEP = evidence_rules.arithmetic().step


@pytest.mark.parametrize(
    ("positive", "negative", "sensitivity", "specificity"),
    [
        # The table prints ratios beside sensitivity and specificity, all rounded: 1.8 and 0.23 may be 1.85
        # and 0.235, which gives a specificity of 0.526.
        (3.5, 0.58, 0.50, 0.86),  # Spurling, version A
        (1.9, 0.67, 0.50, 0.74),  # Spurling, version B
        (4.4, 0.62, 0.44, 0.90),  # distraction
        (1.8, 0.23, 0.89, 0.49),  # rotation below 60 degrees
        # Three or more of five tests of the sacroiliac joint: Laslett M et al., Aust J Physiother
        # 2003;49:89-97, as a secondary source prints it (checked).
        (4.16, 0.12, 0.91, 0.78),
    ],
)
def test_a_pair_of_ratios_gives_the_sensitivity_and_specificity_printed_beside_it(
    positive: float, negative: float, sensitivity: float, specificity: float
) -> None:
    pair = Pair(positive, negative)
    assert pair.sensitivity == pytest.approx(sensitivity, abs=0.02)
    assert 1 - pair.by_chance == pytest.approx(specificity, abs=0.02)


def test_the_information_of_a_one_sided_channel_is_that_of_a_textbook() -> None:
    # LNTwww (communications engineering, TU Munich), exercise 3.11Z, its solution (checked): weights 0.4
    # and 0.6, the second is heard rightly half of the time; H(Y) = 0.8813 and H(XY) = 1.571 bits. With H(X) =
    # H(0.4) = 0.9710 the information is H(X) + H(Y) - H(XY) = 0.2813.
    assert gain.entropy(0.3) == pytest.approx(0.8813, abs=0.0001)
    assert gain.entropy(0.4) + gain.entropy(0.3) - 1.571 == pytest.approx(0.281, abs=0.001)
    assert gain.gain((0.4, 0.6), (0.0, 0.5)) == pytest.approx(0.2813, abs=0.0001)


def test_example_one_two_equal_candidates_and_spurling() -> None:
    # One of two is a root, both weigh 1/2. Spurling: ratios 3.5 and 0.58, so
    #   sensitivity      3.5 x (1 - 0.58) / (3.5 - 0.58) = 1.47 / 2.92 = 0.5034
    #   1 - specificity        (1 - 0.58) / (3.5 - 0.58) = 0.42 / 2.92 = 0.1438
    #   positive at all  (0.5034 + 0.1438) / 2           = 0.3236
    # H(0.3236) = 0.9083, H(0.5034) = 1.0000, H(0.1438) = 0.5942
    #   gain             0.9083 - (1.0000 + 0.5942) / 2  = 0.1112 bits
    pair = Pair(3.5, 0.58)
    positive = (pair.sensitivity, pair.by_chance)
    assert gain.gain((0.5, 0.5), positive) == pytest.approx(0.1112, abs=0.0001)
    # Odds of 1 become 3.5 when it is positive and 0.58 when it is negative.
    for outcome, ratio in ((True, 3.5), (False, 0.58)):
        root, other = gain.after((0.5, 0.5), positive, outcome)[1]
        assert root / other == pytest.approx(ratio)


def test_example_two_three_candidates_and_two_findings() -> None:
    # Totals of 0.19 x ln 4, 0.19 x ln 2 and 0 weigh 4 : 2 : 1, so 4/7, 2/7, 1/7.
    weighed = gain.weights([STEP * math.log(4), STEP * math.log(2), 0.0], STEP)
    assert weighed == pytest.approx((4 / 7, 2 / 7, 1 / 7))
    # A is positive in 0.8 with the first and 0.2 with the others:
    #   positive at all 0.8 x 4/7 + 0.2 x 3/7 = 3.8 / 7 = 0.5429;  H = 0.9947, H(0.8) = H(0.2) = 0.7219
    #   gain            0.9947 - 0.7219       = 0.2728
    # B is positive in 0.8 with the second and 0.2 with the others:
    #   positive at all 0.8 x 2/7 + 0.2 x 5/7 = 2.6 / 7 = 0.3714;  H = 0.9518
    #   gain            0.9518 - 0.7219       = 0.2299
    a, b = (0.8, 0.2, 0.2), (0.2, 0.8, 0.2)
    assert gain.gain(weighed, a) == pytest.approx(0.2728, abs=0.0001)
    assert gain.gain(weighed, b) == pytest.approx(0.2299, abs=0.0001)
    # Beside A. When A is positive (3.8/7 of the time) the weights are 3.2, 0.4, 0.2 of 3.8; B is positive in
    #   (0.2 x 3.4 + 0.8 x 0.4) / 3.8 = 1.00 / 3.8 = 0.2632;  H = 0.8315, less 0.7219 = 0.1096
    # When it is negative (3.2/7) they are 0.8, 1.6, 0.8 of 3.2; B is positive in
    #   (0.2 x 1.6 + 0.8 x 1.6) / 3.2 = 1.60 / 3.2 = 0.5;     H = 1, less 0.7219     = 0.2781
    #   gain of B beside A: (3.8 x 0.1096 + 3.2 x 0.2781) / 7 = 0.1866
    first, second = gain.choose(weighed, [b, a], most=2, least=0.0)
    assert (first.place, second.place) == (1, 0)
    assert first.gain == pytest.approx(0.2728, abs=0.0001)
    assert second.gain == pytest.approx(0.1866, abs=0.0001)


def test_a_published_ratio_multiplies_the_odds_of_the_weights_exactly() -> None:
    before = gain.weights([0.62, 0.41, 0.30], STEP)
    after = gain.weights([0.62, 0.41 + STEP * math.log(3.5), 0.30], STEP)
    assert after[1] / after[0] == pytest.approx(3.5 * before[1] / before[0])
    assert after[2] / after[0] == pytest.approx(before[2] / before[0])


@pytest.mark.parametrize("share", [0.0, 0.02, 0.3, 0.5, 1.0])
def test_a_finding_that_says_the_same_of_all_gains_nothing(share: float) -> None:
    assert gain.gain((0.5, 0.3, 0.2), (share, share, share)) == pytest.approx(0.0, abs=1e-12)


def test_no_gain_is_below_nothing_nor_above_what_is_unknown() -> None:
    steps = [place / 7 for place in range(8)]
    for one in steps:
        for other in steps:
            for weight in (0.0, 0.1, 0.5, 0.9, 1.0):
                found = gain.gain((weight, 1 - weight), (one, other))
                assert 0 <= found <= gain.entropy(weight) + 1e-12


def test_what_is_chosen_greedily_is_the_best_beside_what_was_chosen_before() -> None:
    weighed = (0.4, 0.3, 0.2, 0.1)
    findings = [
        (0.7, 0.2, 0.2, 0.2),
        (0.7, 0.2, 0.2, 0.3),
        (0.2, 0.7, 0.3, 0.2),
        (0.2, 0.2, 0.8, 0.2),
        (0.5, 0.5, 0.5, 0.5),
        (0.9, 0.9, 0.1, 0.1),
    ]
    chosen = gain.choose(weighed, findings, most=4, least=0.001)
    states = [(1.0, weighed)]
    left = dict(enumerate(findings))
    for one in chosen:
        worth = {
            place: sum(share * gain.gain(state, positive) for share, state in states)
            for place, positive in left.items()
        }
        assert one.gain == pytest.approx(max(worth.values()))
        positive = left.pop(one.place)
        states = [
            (share * often, then)
            for share, state in states
            for often, then in (gain.after(state, positive, result) for result in (True, False))
        ]
    assert 4 not in {one.place for one in chosen}


def test_a_result_that_says_nothing_is_taken_for_saying_nearly_nothing() -> None:
    # A positive result multiplies the odds by 2, a negative one by nothing: taken for 0.9, so
    #   sensitivity 2 x 0.1 / 1.1 = 0.1818, and by chance 0.1 / 1.1 = 0.0909
    found = shares([STEP * math.log(2), 0.0], [0.0, 0.0])
    assert found and found.positive == pytest.approx((0.1818, 0.0909), abs=0.0001)


def test_what_moves_nobody_or_moves_both_ways_alike_is_no_finding() -> None:
    assert shares([0.0, 0.0], [0.0, 0.0]) is None
    assert shares([0.1, 0.0], [0.1, 0.0]) is None
    assert shares([], []) is None


def test_of_two_results_that_speak_the_same_way_what_they_share_is_left_out() -> None:
    # The last of the four tests for a root after three positive ones: 30.3 when positive, 6.1 when negative
    # (Wainner 2003), and 3.5 counted so far. They differ by 30.3 / 6.1 = 4.97, which leaves 2.23 and 0.449:
    #   sensitivity 2.23 x 0.551 / 1.78 = 0.69, by chance 0.551 / 1.78 = 0.31
    found = shares([STEP * math.log(30.3 / 3.5), 0.0], [STEP * math.log(6.1 / 3.5), 0.0])
    assert found and found.positive == pytest.approx((0.69, 0.31), abs=0.005)


def test_a_candidate_that_a_positive_result_speaks_against_is_expected_to_have_it_less() -> None:
    found = shares([STEP * math.log(2), -STEP * math.log(2)], [-STEP * math.log(2), STEP * math.log(1.5)])
    # Ratios of 2 and 0.5: by chance 0.5 / 1.5 = 1/3, so 2/3 with the first and 1/2 x 1/3 with the second.
    assert found and found.positive == pytest.approx((2 / 3, 1 / 6))

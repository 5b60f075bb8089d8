"""Exact bounds of a share, against printed values, closed forms and the binomial sums they are defined by."""

from fractions import Fraction
from math import comb

import pytest

from charting.review.exact import incomplete_beta, interval, lower_bound, upper_bound
from charting.review.safety import percent, rate


@pytest.mark.parametrize(
    ("count", "of", "level", "low", "high"),
    [
        # R, help page of binom.test: Mendel's peas after Conover 1971, p. 97 (printed by R; from memory).
        (682, 925, 0.95, 0.7076683, 0.7654066),
        # NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1: 4 defective of 20, 90 % (from memory).
        (4, 20, 0.90, 0.071354, 0.401028),
        # Clopper and Pearson's table as it is usually printed: 1 of 10 and 0 of 10 at 95 % (from memory).
        (1, 10, 0.95, 0.0025286, 0.4450161),
        (0, 10, 0.95, 0.0, 0.3084971),
    ],
)
def test_it_gives_the_printed_interval(count, of, level, low, high):
    assert interval(count, of, level) == pytest.approx((low, high), abs=6e-7)


def test_without_a_case_it_is_the_closed_form_of_the_method():
    # R package GenBinomApps, clopper.pearson.ci, details: for k = 0 the two-sided interval is
    # (0, 1 - (alpha/2)^(1/n)), for k = n it is ((alpha/2)^(1/n), 1) (checked).
    for of in (1, 7, 40, 7629):
        assert interval(0, of, 0.9) == pytest.approx((0, 1 - 0.05 ** (1 / of)))
        assert interval(of, of, 0.9) == pytest.approx((0.05 ** (1 / of), 1))


def test_with_no_case_at_all_it_is_about_three_in_the_number_of_treatments():
    # Jovanovic and Levy, Am Stat 1997;51:137-9, abstract: 3/n is an upper 95 % bound (checked).
    for of in (100, 1000, 7629):
        assert upper_bound(0, of, 0.95) == pytest.approx(3 / of, rel=0.02)
        assert upper_bound(0, of, 0.95) < 3 / of


def test_it_gives_the_published_bound_and_rates_of_needling():
    # Brady 2014, J Man Manip Ther 22:134: 7629 treatments, 1463 mild (19.18 %), none worse, at most 0.04 %
    # (checked). Boyce 2020, IJSPT 15:103: 36.7 %, and 20 major ones, less than 0.1 % (checked).
    mild, worse = rate("mild", 1463, 7629), rate("worse", 0, 7629)
    assert mild.share_words == "19.2 %"
    assert worse.at_most_words == "0.039 %" and round(100 * worse.at_most, 2) == 0.04
    assert rate("any", 7531, 20494).share_words == "36.7 %"
    assert rate("major", 20, 20494).share_words == "0.098 %"


@pytest.mark.parametrize(("count", "of"), [(0, 1), (1, 2), (3, 17), (20, 41), (39, 40)])
def test_at_its_bounds_the_chance_of_what_was_seen_is_the_level(count, of):
    # The equations that define the bounds: NAG library manual, g07aa, description (checked).
    def at_most(share, seen):
        share = Fraction(share)
        return float(sum(comb(of, k) * share**k * (1 - share) ** (of - k) for k in range(seen + 1)))

    assert at_most(upper_bound(count, of, 0.95), count) == pytest.approx(0.05)
    if count:
        assert 1 - at_most(lower_bound(count, of, 0.95), count - 1) == pytest.approx(0.05)


def test_the_incomplete_beta_keeps_its_identities():
    # DLMF 8.17: I_x(1, b) = 1 - (1-x)^b, I_x(a, 1) = x^a, I_x(a, b) = 1 - I_(1-x)(b, a) (from memory).
    for x in (0.001, 0.2, 0.5, 0.97):
        assert incomplete_beta(x, 1, 7.5) == pytest.approx(1 - (1 - x) ** 7.5)
        assert incomplete_beta(x, 3.2, 1) == pytest.approx(x**3.2)
        assert incomplete_beta(x, 4, 9) == pytest.approx(1 - incomplete_beta(1 - x, 9, 4))


@pytest.mark.parametrize(("count", "of", "level"), [(1, 0, 0.95), (3, 2, 0.95), (-1, 2, 0.95), (1, 2, 1.0)])
def test_it_refuses_what_is_no_share(count, of, level):
    with pytest.raises(ValueError, match=r"no share|between 0 and 1"):
        upper_bound(count, of, level)


def test_a_small_rate_keeps_two_digits():
    assert [percent(share) for share in (0, 0.5, 0.012, 0.00039, 0.0000123)] == [
        "0.0 %",
        "50.0 %",
        "1.2 %",
        "0.039 %",
        "0.0012 %",
    ]


def test_no_treatment_has_no_rate():
    assert rate("any", 0, 0).share_words == "no treatment in this period"
    assert rate("any", 0, 0).at_most_words == ""

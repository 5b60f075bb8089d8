"""Clusters of tests and single tests with published ratios: every worked value, with its source beside it."""

import re

import pytest

from bodymaps.reasoning import clusters, ratios, ratios_file
from bodymaps.reasoning.case import Case, read

WAINNER = "Wainner 2003, Spine 28:52-62, as printed"
FOUR = ("tension:median", "neck:rotation", "neck:distraction", "neck:spurling")
YES = {"neck:rotation": 45.0}
NO = {"neck:rotation": 80.0}


def four(positive: int, of: int = 4, side: str = "left", pretest: float | None = None) -> Case:
    """The first `of` of the four tests done, the first `positive` of them positive."""
    values = {
        (key, side): (YES.get(key, "positive") if number < positive else NO.get(key, "negative"))
        for number, key in enumerate(FOUR[:of])
    }
    own = {("pretest:radiculopathy", ""): pretest} if pretest is not None else {}
    return Case(findings={**values, **own})


def cord(age: int | None, **found: str) -> Case:
    """The five signs: gait, and three reflexes, negative on both sides unless told: "hoffmann" = "right"."""
    values = {("walk:gait", ""): found.get("gait", "normal")}
    for name in ("hoffmann", "inverted_supinator", "babinski"):
        for side in ("right", "left"):
            positive = found.get(name) in (side, "both")
            values[f"cord:{name}", side] = (
                "NT" if found.get(name) == "NT" else "positive" if positive else "negative"
            )
    return Case(age=age, findings={key: value for key, value in values.items() if value != ""})


def percent(share: float | None) -> float:
    assert share is not None
    return round(100 * share, 1)


# Odds.


@pytest.mark.parametrize(
    ("p", "lr", "after", "source"),
    [
        (19 / 82, 0.88, 20.97, f"{WAINNER}, 21 %"),
        (19 / 82, 6.1, 64.78, f"{WAINNER}, 65 %"),
        (19 / 82, 30.3, 90.14, f"{WAINNER}, 90 %"),
        (0.10, 0.88, 8.9, "computed from the printed ratio"),
        (0.10, 6.1, 40.4, "computed from the printed ratio"),
        (0.10, 30.3, 77.1, "computed from the printed ratio"),
        (0.36, 0.88, 33.1, "computed from the printed ratio"),
        (0.36, 6.1, 77.4, "computed from the printed ratio"),
        (0.36, 30.3, 94.5, "computed from the printed ratio"),
        (0.50, 0.88, 46.8, "computed from the printed ratio"),
        (0.50, 6.1, 85.9, "computed from the printed ratio"),
        (0.50, 30.3, 96.8, "computed from the printed ratio"),
        (19 / 82, 0.12, 3.5, "Wainner 2003, negative median test, from memory"),
        (0.336, 30.9, 94, "Cook 2010, 94 % quoted at second hand"),
        (0.336, 0.18, 8.3, "Cook 2010, computed"),
        (0.10, 30.9, 77.4, "Cook 2010, computed"),
        (0.10, 0.18, 2.0, "Cook 2010, computed"),
        (0.403, 4.0, 73, "Cook 2009, Babinski alone, 73 % quoted"),
        (0.75, 0.92 / 0.72, 79.3, "van der Windt 2010, computed"),
        (0.75, 0.08 / 0.28, 46.2, "van der Windt 2010, computed"),
        (0.75, 0.28 / 0.10, 89.4, "van der Windt 2010, computed"),
    ],
)
def test_the_odds_come_out_as_the_source_has_them(p, lr, after, source):
    places = len(str(after).partition(".")[2])
    assert round(100 * clusters.post_test(p, lr), places) == after, source


def test_nothing_is_rounded_on_the_way():
    """odds 0.30159 x 6.1 = 1.8397."""
    odds = 19 / 63
    assert clusters.post_test(19 / 82, 6.1) == pytest.approx(odds * 6.1 / (1 + odds * 6.1), abs=1e-15)


def test_the_arithmetic_is_a_line_to_read():
    assert ratios.arithmetic(19 / 82, 6.1) == "23 % before: odds 0.302 x 6.1 = 1.840, after 65 %"
    assert ratios.arithmetic(0.99, 30.3).endswith("after over 99 %")


@pytest.mark.parametrize(("p", "lr"), [(0, 2), (1, 2), (1.2, 2), (0.5, 0), (0.5, -1), (float("nan"), 2)])
def test_it_refuses_what_has_no_odds(p, lr):
    with pytest.raises(ValueError, match="a likelihood must lie between 0 and 1"):
        clusters.post_test(p, lr)


# The four tests for cervical radiculopathy.


@pytest.mark.parametrize(
    ("positive", "pretest", "lr", "after"),
    [
        (2, None, 0.88, 21.0),
        (3, None, 6.1, 64.8),
        (4, None, 30.3, 90.1),
        (2, 10.0, 0.88, 8.9),
        (3, 10.0, 6.1, 40.4),
        (4, 10.0, 30.3, 77.1),
        (2, 36.0, 0.88, 33.1),
        (3, 36.0, 6.1, 77.4),
        (4, 36.0, 30.3, 94.5),
        (2, 50.0, 0.88, 46.8),
        (3, 50.0, 6.1, 85.9),
        (4, 50.0, 30.3, 96.8),
    ],
)
def test_the_printed_rows_of_wainner(positive, pretest, lr, after):
    """Wainner 2003: 2, 3 and 4 positive; other starting points computed from the printed ratios."""
    (found,) = clusters.of(four(positive, pretest=pretest))
    assert (found.lr, percent(found.after), found.side) == (lr, after, "left")
    assert len(found.positive) == positive and len(found.negative) == 4 - positive


def test_two_positive_lower_the_likelihood_and_are_no_support():
    """0.88: 23.2 to 21.0 %."""
    (found,) = clusters.of(four(2))
    assert found.after is not None and found.before is not None and found.after < found.before
    assert "is no support" in found.reading
    assert any("misprint" in limit for limit in found.limits)


@pytest.mark.parametrize("positive", [0, 1])
def test_none_or_one_positive_has_no_printed_row(positive):
    (found,) = clusters.of(four(positive))
    assert (found.lr, found.after, found.arithmetic) == (None, None, "")
    assert found.reading == f"{positive} of 4 positive. The paper prints no ratio for this number."


def test_ratios_are_stored_as_printed_and_not_recomputed():
    """Sensitivity / (1 - specificity) of the rounded table gives 6.5 and 24."""
    rows = {row.least: row.lr for row in ratios_file.load().clusters[0].rows}
    assert rows == {2: 0.88, 3: 6.1, 4: 30.3}
    assert round(0.39 / 0.06, 1) not in rows.values()
    assert round(0.24 / 0.01, 1) not in rows.values()


def test_the_wide_interval_of_four_is_said():
    """1.7 to 538.2, from memory."""
    (found,) = clusters.of(four(4))
    assert "95 % interval of 30.3: 1.7 to 538.2, from memory." in found.limits
    assert "All intervals are wide." in found.limits


@pytest.mark.parametrize(("degrees", "positive"), [(59.0, 4), (60.0, 3), (61.0, 3)])
def test_rotation_of_exactly_sixty_degrees_is_negative(degrees, positive):
    case = four(4)
    (found,) = clusters.of(Case(findings={**case.findings, ("neck:rotation", "left"): degrees}))
    assert len(found.positive) == positive


def test_an_untested_item_is_never_negative():
    (found,) = clusters.of(four(3, of=3))
    assert (found.lr, found.not_tested) == (None, ("Spurling",))
    assert found.reading == (
        "At least 3 of 4 positive, not tested: Spurling. No ratio until that is known. "
        "Still possible: 6.1 and 30.3."
    )
    untested = Case(findings={**four(3, of=3).findings, ("neck:spurling", "left"): "NT"})
    assert clusters.of(untested) == (found,)


def test_what_was_not_examined_at_all_makes_no_cluster():
    assert clusters.of(Case(age=70)) == ()
    assert clusters.of(Case(findings={("neck:spurling", "left"): "NT"})) == ()


def test_each_side_stands_by_itself():
    case = Case(findings={**four(3).findings, **four(2, side="right").findings})
    assert [(one.side, one.lr) for one in clusters.of(case)] == [("right", 0.88), ("left", 6.1)]


def test_whose_estimate_it_is_stands_in_the_words():
    (study,), (own,) = clusters.of(four(3)), clusters.of(four(3, pretest=10.0))
    assert "Before the tests 23 %: 19 of 82 in the study, from memory." in study.reading
    assert "Before the tests 10 %: your own estimate." in own.reading
    assert own.arithmetic == "10 % before: odds 0.111 x 6.1 = 0.678, after 40 %"
    assert "nerve conduction" in study.population


def test_an_estimate_not_made_is_that_of_the_study():
    untold = Case(findings={**four(3).findings, ("pretest:radiculopathy", ""): "NT"})
    assert clusters.of(untold) == clusters.of(four(3))


def test_it_reads_a_case_of_a_file():
    told = {
        "tension:median": {"left": "positive"},
        "neck:rotation": {"left": 50},
        "neck:distraction": {"left": "positive"},
        "neck:spurling": {"left": "negative"},
        "pretest:radiculopathy": 36,
    }
    (found,) = clusters.of(read({"findings": told}))
    assert percent(found.after) == 77.4


# The five signs of the cord.


def test_sixty_years_hoffmann_and_babinski_are_three():
    """Cook 2010: at least 3 of 5, ratio 30.9 (5.5 to 181.8). Before 10 %: 77.4 %."""
    case = cord(60, hoffmann="right", babinski="left")
    (found,) = clusters.of(Case(60, findings={**case.findings, ("pretest:myelopathy", ""): 10.0}))
    assert (found.lr, found.side, percent(found.after)) == (30.9, "", 77.4)
    assert "see the danger signs" in found.reading
    assert "95 % interval of 30.9: 5.5 to 181.8." in found.limits


def test_forty_six_years_alone_is_one():
    """Cook 2010: at most 1 of 5, ratio 0.18 (0.12 to 0.42). Before 10 %: 2.0 %."""
    case = cord(46)
    (found,) = clusters.of(Case(46, findings={**case.findings, ("pretest:myelopathy", ""): 10.0}))
    assert (len(found.positive), found.lr, percent(found.after)) == (1, 0.18, 2.0)
    assert "95 % interval of 0.18: 0.12 to 0.42." in found.limits


def test_exactly_two_have_no_ratio():
    (found,) = clusters.of(cord(60, hoffmann="right"))
    assert (found.lr, found.after) == (None, None)
    assert found.reading == "2 of 5 positive. The paper gives no ratio for this."


def test_forty_five_years_are_negative():
    (found,) = clusters.of(cord(45, hoffmann="both"))
    assert (len(found.positive), found.lr) == (1, 0.18)


def test_unknown_age_leaves_bounds():
    (two,) = clusters.of(cord(None, hoffmann="right", babinski="right"))
    assert (two.lr, two.not_tested) == (None, ("Age above 45",))
    assert two.reading.startswith("At least 2 of 5 positive, not tested: Age above 45.")
    (none,) = clusters.of(cord(None))
    assert none.lr == 0.18
    (three,) = clusters.of(cord(None, hoffmann="right", babinski="right", gait="abnormal"))
    assert three.lr == 30.9


def test_a_sign_tested_on_one_side_only_is_not_negative():
    case = cord(30)
    rest = {key: value for key, value in case.findings.items() if key != ("cord:babinski", "left")}
    (found,) = clusters.of(Case(30, findings=rest))
    assert found.not_tested == ("Babinski, left",)
    assert found.lr == 0.18


def test_no_likelihood_is_said_where_the_study_gives_none_before():
    (found,) = clusters.of(cord(60, hoffmann="right", babinski="right"))
    assert (found.before, found.after, found.arithmetic) == (None, None, "")
    assert "No estimate before the tests" in found.reading


def test_the_contradiction_and_the_quoted_likelihood_are_said():
    """2009, same lead author: no gain from combining. 94 % implies 33.6 % before."""
    (found,) = clusters.of(cord(60, hoffmann="right", babinski="right"))
    assert any("no gain" in limit and "2009" in limit for limit in found.limits)
    assert any("33.6 %" in limit for limit in found.limits)


# Single tests.


def single(case: Case, name: str, side: str = "left") -> clusters.Single:
    return next(one for one in clusters.singles(case) if (one.id, one.side) == (name, side))


def lone(key: str, value: str | float, side: str = "left", **own: float) -> Case:
    before = {(f"pretest:{name}", ""): share for name, share in own.items()}
    return Case(findings={(key, side): value, **before})


@pytest.mark.parametrize(
    ("key", "value", "name", "lr"),
    [
        ("tension:median", "positive", "median_test", 1.3),
        ("tension:median", "negative", "median_test", 0.12),
        ("tension:radial", "positive", "radial_test", 1.1),
        ("tension:radial", "negative", "radial_test", 0.85),
        ("neck:spurling", "positive", "spurling", 3.5),
        ("neck:spurling", "negative", "spurling", 0.58),
        ("neck:distraction", "positive", "distraction", 4.4),
        ("neck:distraction", "negative", "distraction", 0.62),
        ("neck:rotation", 59.0, "rotation", 1.8),
        ("neck:rotation", 60.0, "rotation", 0.23),
        ("neck:abduction_relief", "relief", "abduction_relief", 2.1),
        ("neck:abduction_relief", "none", "abduction_relief", 0.91),
        ("neck:abduction_relief", "worse", "abduction_relief", 0.91),
        ("neck:valsalva", "positive", "valsalva", 3.5),
        ("neck:valsalva", "negative", "valsalva", 0.83),
    ],
)
def test_single_tests_of_wainner(key, value, name, lr):
    """Table of single tests, from memory."""
    found = single(lone(key, value), name)
    assert (found.lr, found.status) == (lr, "from memory")


def test_a_negative_median_test_alone():
    """0.12: 23.2 to 3.5 %."""
    found = single(lone("tension:median", "negative"), "median_test")
    assert (percent(found.before), percent(found.after)) == (23.2, 3.5)


def test_singles_are_never_multiplied_with_each_other():
    findings = {("neck:spurling", "left"): "positive", ("neck:valsalva", "left"): "positive"}
    after = {one.id: percent(one.after) for one in clusters.singles(Case(findings=findings))}
    assert after["spurling"] == after["valsalva"] == percent(clusters.post_test(19 / 82, 3.5))


def test_nor_with_a_cluster_that_has_a_ratio():
    for one in clusters.singles(four(3)):
        assert (one.counted, one.after, one.arithmetic) == (True, None, "")
        assert "counted in the cluster already" in one.reading


def test_a_cluster_without_a_ratio_or_of_the_other_side_counts_nothing():
    assert single(four(1), "spurling").counted is False
    case = Case(findings={**four(3).findings, ("neck:valsalva", "right"): "positive"})
    assert single(case, "valsalva", "right").counted is False


def test_no_specificity_is_taken_from_davidson():
    """1981: nobody without the disease was tested."""
    found = single(lone("neck:abduction_relief", "relief"), "abduction_relief")
    assert any("Davidson 1981" in limit and "no specificity" in limit for limit in found.limits)


def test_a_positive_straight_leg_raise_hardly_moves_it_and_a_negative_one_does_more():
    """van der Windt 2010: sensitivity 0.92, specificity 0.28. 75 %: 79.3 and 46.2 %."""
    positive = single(lone("back:slr", "positive", lumbar_radiculopathy=75.0), "straight_leg_raise")
    negative = single(lone("back:slr", "negative", lumbar_radiculopathy=75.0), "straight_leg_raise")
    assert (round(positive.lr or 0, 2), round(negative.lr or 0, 2)) == (1.28, 0.29)
    assert (percent(positive.after), percent(negative.after)) == (79.3, 46.2)
    assert "58 to 98 %" in positive.population


def test_a_positive_crossed_straight_leg_raise_says_more():
    """van der Windt 2010: sensitivity 0.28, specificity 0.90. 75 %: 89.4 %."""
    case = lone("back:crossed_slr", "positive", lumbar_radiculopathy=75.0)
    positive = single(case, "crossed_straight_leg_raise")
    negative = single(lone("back:crossed_slr", "negative"), "crossed_straight_leg_raise")
    assert (round(positive.lr or 0, 2), round(negative.lr or 0, 2)) == (2.8, 0.8)
    assert percent(positive.after) == 89.4
    assert negative.after is None


def test_babinski_alone():
    """Cook 2009: 4.0 (1.1 to 16.6) and 0.7 (0.6 to 0.9). 73 % implies 40.3 % before."""
    case = Case(findings={("cord:babinski", "left"): "positive", ("pretest:myelopathy", ""): 40.3})
    positive = single(case, "babinski")
    assert (positive.lr, round(100 * (positive.after or 0)), positive.to_flags) == (4.0, 73, True)
    assert "95 % interval 1.1 to 16.6" in positive.reading
    negative = single(lone("cord:babinski", "negative"), "babinski")
    assert (negative.lr, negative.to_flags) == (0.7, False)


def test_hoffmann_prompts_and_clonus_points_to_the_danger_signs():
    hoffmann = single(lone("cord:hoffmann", "positive"), "hoffmann")
    clonus = single(lone("cord:clonus", "positive"), "clonus")
    assert "Prompts to examine the cord" in hoffmann.reading
    assert (hoffmann.lr, hoffmann.to_flags, clonus.lr, clonus.to_flags) == (None, False, None, True)
    assert clusters.singles(lone("cord:hoffmann", "negative")) == ()


def test_what_was_not_tested_is_no_single():
    assert clusters.singles(lone("neck:spurling", "NT")) == ()


def test_words_never_diagnose():
    cases = [*(four(count) for count in range(5)), cord(60, hoffmann="both", babinski="both")]
    said = [one.reading for case in cases for one in (*clusters.of(case), *clusters.singles(case))]
    assert said and not [one for one in said if re.search(r"diagnos|\bhas\b|\{", one)]


# The data file.


def data(**changes):
    given = {
        "version": "toy-1",
        "about": [{"id": "root", "name": "a root", "pretest": "pretest:radiculopathy"}],
        "cluster": [
            {
                "id": "two",
                "about": "root",
                "title": "Two tests",
                "sided": True,
                "items": [
                    {"finding": "neck:spurling", "positive": ["positive"]},
                    {"finding": "neck:rotation", "below": 60},
                ],
                "rows": [{"positives": 2, "lr": 5, "says": "speaks for {it}"}],
                "no_row": "No ratio.",
                "population": "Some people",
                "source": "A paper",
                "status": "checked",
            }
        ],
        "single": [
            {
                "id": "one",
                "about": "root",
                "finding": "neck:spurling",
                "positive": ["positive"],
                "lr_positive": 3,
                "says_positive": "speaks for {it}",
                "source": "A paper",
                "status": "checked",
            }
        ],
    }
    return {**given, **changes}


def cluster(**changes):
    return data(cluster=[{**data()["cluster"][0], **changes}])


def lone_rule(**changes):
    return data(single=[{**data()["single"][0], **changes}])


def rows(*told):
    return cluster(rows=[{"says": "x", **one} for one in told])


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        (data(version=""), "clusters.toml: version must be a text"),
        (data(cluster=[]), "clusters.toml: clusters and singles are needed"),
        (
            data(about=[{"id": "root", "name": "a root", "pretest": "vital:pulse"}]),
            "about root: pretest must be the key of a finding in per cent",
        ),
        (
            data(about=[{**data()["about"][0], "cases": 90, "of": 82}]),
            "about root: cases and of must be whole numbers",
        ),
        (cluster(about="toe"), "cluster two: about must be one of root"),
        (cluster(status="sure"), "cluster two: status must be one of checked"),
        (cluster(source=""), "cluster two: source must be a text"),
        (cluster(sided="yes"), "cluster two: sided must be true or false"),
        (cluster(odds=3), "cluster two: unknown member odds"),
        (cluster(items=[{"finding": "neck:spurling", "positive": ["positive"]}]), "at least two items"),
        (cluster(items=[{"finding": "neck:toe"}]), "cluster two: no finding has the key neck:toe"),
        (
            cluster(items=[{"finding": "neck:spurling", "positive": ["maybe"]}]),
            "cluster two: positive must be grades of neck:spurling",
        ),
        (cluster(items=[{"finding": "neck:rotation"}]), "cluster two: below must be a number above 0"),
        (cluster(items=[{"age_above": "old"}]), "cluster two: age_above must be whole years"),
        (rows({"positives": 2}), "cluster two: lr must be a number above 0"),
        (rows({"positives": 9, "lr": 2}), "a row needs one of positives, at_least, at_most, from 0 to 2"),
        (rows({"lr": 2}), "a row needs one of positives, at_least, at_most"),
        (
            rows({"positives": 1, "lr": 2}, {"at_most": 1, "lr": 0.2}),
            "two rows speak for the same number of positives",
        ),
        (
            rows({"positives": 2, "lr": 0.88, "interval": [1.5, 2.5], "interval_status": "checked"}),
            "cluster two: interval 1.5 to 2.5 does not hold the ratio 0.88",
        ),
        (rows({"positives": 2, "lr": 2, "interval": [1, 3]}), "cluster two: interval_status must be"),
        (lone_rule(says_positive=""), "single one: says_positive must be a text"),
        (lone_rule(lr_negative=0.5), "single one: every result with a ratio needs says"),
        (lone_rule(negative=["maybe"]), "single one: negative must be grades of neck:spurling"),
        (lone_rule(sensitivity=0.9), "single one: needs both sensitivity and specificity"),
        (lone_rule(finding="neck:toe"), "single one: no finding has the key neck:toe"),
    ],
)
def test_the_loader_refuses_and_names_file_entry_and_reason(told, reason):
    with pytest.raises(ratios.RatiosError, match=re.escape(reason)) as refused:
        ratios_file.read(told)
    assert str(refused.value).startswith("clusters.toml: ")


def test_the_toy_data_it_is_refused_from_is_fine_itself():
    assert ratios_file.read(data()).clusters[0].rows[0].lr == 5


def test_every_rule_names_source_status_population_and_limits():
    for one in (*ratios_file.load().clusters, *ratios_file.load().singles):
        assert one.source and one.status in ratios.STATUS
        has_ratio = isinstance(one, ratios.ClusterRule) or bool(one.lr)
        assert not has_ratio or (one.population and one.limits)

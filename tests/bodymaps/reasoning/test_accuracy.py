"""What is published of a test, by its key; and what the loader refuses of the file of the joints."""

import re

import pytest

from bodymaps.reasoning import accuracy, items, ratios_file
from bodymaps.reasoning.ratios import RatiosError
from tests.bodymaps.reasoning.test_clusters import data, lone_rule, rows


def test_a_test_has_its_figures_as_numbers_and_as_lines():
    """Appelboam 2008, BMJ 337:a2428: 96.8 and 48.5 %."""
    (found,) = accuracy.of("elbow:not_straight")
    assert (found.sensitivity, found.specificity) == (0.968, 0.485)
    assert found.said == (
        "Sensitivity 97 %, specificity 48 %.",
        "Positive: ratio 1.88.",
        "Negative: ratio 0.07.",
    )
    assert found.about == "a fracture of the elbow" and found.cluster == ""
    assert "1,740" in found.population and found.status == "checked"


def test_a_printed_interval_stands_beside_its_ratio():
    """Sman 2015: 2.15 (0.86 to 5.39); it contains 1, and that is said."""
    (found,) = accuracy.of("ankle:shin_squeeze")
    assert found.said == ("Positive: ratio 2.15, 95 % interval 0.86 to 5.39.",)
    assert any("contains 1" in limit for limit in found.limits)


def test_a_rate_of_one_gives_figures_and_no_ratio():
    """O'Driscoll 2007: 100 and 100 %."""
    (found,) = accuracy.of("elbow:biceps_hook")
    assert found.said == ("Sensitivity 100 %, specificity 100 %.",)
    assert (found.lr_positive, found.lr_negative) == (None, None)


def test_a_test_of_a_cluster_has_its_rows():
    alone, five, four = accuracy.of("sacroiliac:thigh_thrust")
    assert (alone.cluster, five.cluster) == ("", "Sacroiliac joint, five tests")
    assert five.said == (
        "3 to 5 of 5 positive: ratio 4.16. Sensitivity 91 %, specificity 78 %.",
        "0 to 2 of 5 positive: ratio 0.12.",
    )
    assert four.status == "from memory"


def test_the_neuro_screen_has_its_figures_too():
    assert accuracy.of("neck:spurling")[0].lr_positive == 3.5


@pytest.mark.parametrize(
    "key", ["jaw:click", "elbow:cozen", "lumbar:extension_rotation", "cord:clonus", "no:test"]
)
def test_where_nothing_usable_is_published_there_is_no_figure(key):
    assert accuracy.of(key) == ()


def test_some_tests_of_every_joint_but_not_all_have_a_figure():
    joints = items.findings().on_page("joint")
    found = {group.id: [bool(accuracy.of(item.key)) for item in group.items] for group in joints}
    assert all(any(one) for one in found.values()), found
    assert not all(all(one) for one in found.values())


# Refused: with file, entry and reason.


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        (lone_rule(rates=[0.9]), "single one: rates needs sensitivity and specificity"),
        (lone_rule(rates="high"), "single one: rates needs sensitivity and specificity"),
        (lone_rule(rates=[90, 80]), "single one: sensitivity and specificity must lie between 0 and 1"),
        (
            lone_rule(lr_positive=0.0, rates=[0.9, 0.8]),
            "single one: lr_positive must be a number above 0",
        ),
        (
            rows({"positives": 2, "lr": 2, "rates": [0.9, "x"]}),
            "cluster two: sensitivity and specificity must",
        ),
        (
            data(about=[{"id": "root", "name": "a root", "pretest": ""}]),
            "about root: pretest must be a text",
        ),
    ],
)
def test_the_loader_refuses(told, reason):
    with pytest.raises(RatiosError, match=re.escape(f"clusters_joints.toml: {reason}")):
        ratios_file.read(told, "clusters_joints.toml")


def test_rates_beside_sensitivity_are_refused():
    told = {name: value for name, value in data()["single"][0].items() if name != "lr_positive"}
    said = {"says_positive": "speaks for {it}", "says_negative": "speaks against {it}"}
    single = {**told, **said, "sensitivity": 0.9, "specificity": 0.8, "rates": [0.9, 0.8]}
    with pytest.raises(RatiosError, match="single one: rates stand beside printed ratios"):
        ratios_file.read(data(single=[single]))


def test_a_subject_without_an_estimate_is_read():
    told = data(about=[{"id": "root", "name": "a root"}])
    assert ratios_file.read(told).about["root"].pretest == ""

"""Tests that are no sign of one source. The cluster of four, and its ratio for four positive tests, 30.3:
Wainner et al., Spine 2003;28:52-62 (as cited in bodymaps/data/reasoning/clusters.toml).
"""

from charting.assessment.of_tests import of_tests
from tests.charting.assessment.records import record

FOUR = {
    "neck:spurling": "positive",
    "neck:distraction": "positive",
    "tension:median": "positive",
    "neck:rotation": 40.0,
}


def said(**findings):
    return {made.key: made for made in of_tests(record(**findings))}


def test_it_says_the_cluster_with_its_published_ratio_once_all_four_are_known():
    made = said(findings=FOUR)["cluster:cervical_radiculopathy_four:right"]
    assert made.about == "source"
    assert "right: 4 of 4 positive" in made.text
    assert "published likelihood ratio 30.3" in made.text


def test_it_leaves_a_cluster_open_while_a_test_of_it_is_missing():
    three = {key: grade for key, grade in FOUR.items() if key != "neck:rotation"}
    made = said(findings=three)["cluster:cervical_radiculopathy_four:right"]
    assert made.about == "open"
    assert "not tested: Rotation" in made.text
    assert "ratio" not in made.text


def test_it_says_what_is_alike_on_both_sides_once():
    both = {("tension:median", "right"): "negative", ("tension:median", "left"): "negative"}
    made = said(findings={**both, "tension:radial": "positive"})["tests:tension"]
    assert made.about == "source"
    assert made.text.count("Median") == 1
    assert "both sides: Median" in made.text
    assert "right: Radial" in made.text


def test_it_counts_tests_that_are_all_negative_against():
    assert said(findings={"tension:median": "negative"})["tests:tension"].about == "ruled_out"
    assert said(findings={"tension:median": "NT"}) == {}


def test_it_says_a_movement_only_when_it_hurts_or_differs_by_more_than_the_published_error():
    """Rotation of the neck: 5.4° at 90 %, Fletcher & Bandy, J Orthop Sports Phys Ther 2008;38:640-5."""
    near = {("active:neck_rotation", "right"): 60.0, ("active:neck_rotation", "left"): 63.0}
    assert "range:neck" not in said(findings=near)
    far = {**near, ("active:neck_rotation", "right"): 40.0}
    assert "rotation active right 40°, left 63°" in said(findings=far)["range:neck"].text
    hurts = {**near, ("pain_on:neck_rotation", "right"): "yes"}
    assert said(findings=hurts)["range:neck"].text.endswith("painful right.")

"""A change is called real only beyond the published error of measurement, with the same instrument."""

import pytest

from bodymaps.reasoning import range_change, ranges
from bodymaps.reasoning.range_change import Reading

ROTATION = ranges.load().movements["neck_rotation"]


def since(then, now, name="neck_rotation", how="active", before="neck_device", after="neck_device"):
    movement = ranges.load().movements[name]
    return range_change.since(movement, how, Reading(then, before), Reading(now, after))


@pytest.mark.parametrize("now", [55, 65])
def test_five_degrees_of_neck_rotation_are_no_real_change(now):
    """Fletcher and Bandy 2008: the least change beyond error is 5.4 degrees at the best, 9.6 at the worst."""
    told = since(60, now)
    assert not told.is_beyond
    assert "may be error of measurement" in told.words


def test_three_degrees_are_within_error_and_twelve_are_more_and_the_level_is_said():
    assert since(60, 57).words == ("3° less, within error of measurement (least change 3.5 to 9.6°, 90 %)")
    told = since(48, 60)
    assert told.is_beyond
    assert told.words == "12° more, more than error of measurement (least change 3.5 to 9.6°, 90 %)"


@pytest.mark.parametrize(("degrees", "is_beyond"), [(6.9, False), (9.6, False), (9.7, True)])
def test_of_several_studies_the_largest_figure_has_to_be_passed(degrees, is_beyond):
    """6.8 degrees at the worst in one study (neck pain with a respiratory dysfunction), 9.6 in the other."""
    assert since(40, 40 + degrees).is_beyond is is_beyond


@pytest.mark.parametrize(("now", "is_beyond"), [(68, False), (68.1, True)])
def test_a_change_as_large_as_the_figure_is_not_yet_more_than_it(now, is_beyond):
    """Kolber 2011: 8 degrees of shoulder flexion with an inclinometer."""
    name = {"name": "shoulder_flexion", "before": "inclinometer", "after": "inclinometer"}
    assert since(60, now, **name).is_beyond is is_beyond


def test_another_instrument_is_not_compared():
    told = since(40, 80, before="goniometer")
    assert (told.verdict, told.difference) == ("other_instrument", None)
    assert not since(40, 80, before="", after="").is_beyond, "nobody knows with what"


def test_without_a_published_figure_the_difference_is_said_and_not_judged():
    told = since(40, 80, before="inclinometer", after="inclinometer")
    assert told.verdict == "no_figure"
    assert told.words.startswith("40° more; no figure")


def test_a_level_that_is_not_printed_is_said_to_be_missing():
    told = since(10, 25, name="lumbar_fingertip_floor", before="tape", after="tape")
    assert told.words == "15 cm more, more than error of measurement (least change 9.8 cm, level not stated)"


def test_the_same_is_the_same():
    assert since(60, 60).words == "the same"


def test_sides_are_compared_as_seen_from_the_right():
    right, left = Reading(40, "neck_device"), Reading(60, "neck_device")
    told = range_change.between_sides(ROTATION, "active", right, left)
    assert told.words.startswith("right 20° less than left, more than error of measurement")
    assert range_change.between_sides(ROTATION, "active", left, left).words == "sides alike"


def test_no_verdict_calls_anything_normal():
    said = " ".join([*range_change.MEANING.values(), range_change.WITHOUT_FIGURE])
    assert "normal" not in said and "abnormal" not in said

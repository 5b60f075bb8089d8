"""Readings in words: with the instrument, the other side, the visit before, and how sure a change is."""

from datetime import timedelta

import pytest

from charting.examination.measured import range_rows
from charting.examination.range_limits import Taken
from charting.visits.models import Visit

TURN = ("neck_rotation", "right")


def device(value, **more):
    return Taken(active=value, instrument="neck_device", **more)


@pytest.fixture
def before(blank, mara):
    """A visit of the same person, a week earlier."""
    made = Visit.objects.create(patient=blank.patient, clinician=mara)
    Visit.objects.filter(pk=made.pk).update(started_at=blank.started_at - timedelta(days=7))
    return Visit.objects.get(pk=made.pk)


def only(visit):
    (row,) = range_rows(visit)
    return row


def test_a_reading_says_everything_that_is_on_record(joint_recorded, blank):
    taken = Taken(active=58, passive=62.5, instrument="neck_device", end_feel="firm", hurts="yes", pain=4)
    joint_recorded("neck", {TURN: taken, ("neck_rotation", "left"): Taken(hurts="no", remark="slow")})
    row = only(blank)
    assert (row.joint, row.movement) == ("Neck", "Rotation")
    assert row.right == (
        "active 58°, passive 62.5° (neck device worn on the head), end feel firm, painful, 4 of 10"
    )
    assert row.left == "painless; slow"
    assert row.sides == row.since == ()


def test_five_degrees_since_the_visit_before_are_no_real_change_and_twelve_are(joint_recorded, blank, before):
    """Fletcher and Bandy 2008: 5.4 to 9.6 degrees at the 90 % level."""
    joint_recorded("neck", {TURN: device(60), ("neck_rotation", "left"): device(48)}, visit=before)
    joint_recorded("neck", {TURN: device(65), ("neck_rotation", "left"): device(60)})
    right, left = only(blank).since
    assert "5° more, may be error of measurement" in right and "90 %" in right
    assert "12° more, more than error of measurement" in left and "90 %" in left
    assert "60°, neck device worn on the head" in right


def test_another_instrument_is_not_compared(joint_recorded, blank, before):
    joint_recorded("neck", {TURN: Taken(active=30, instrument="goniometer")}, visit=before)
    joint_recorded("neck", {TURN: device(65)})
    (said,) = only(blank).since
    assert said.endswith("read with another instrument: not compared")


def test_the_last_number_is_taken_even_when_the_visit_between_has_none(joint_recorded, blank, before, mara):
    between = Visit.objects.create(patient=blank.patient, clinician=mara)
    Visit.objects.filter(pk=between.pk).update(started_at=blank.started_at - timedelta(days=2))
    joint_recorded("neck", {TURN: device(40)}, visit=before)
    joint_recorded("neck", {TURN: Taken(hurts="yes")}, visit=between)
    joint_recorded("neck", {TURN: device(60)})
    assert "20° more" in only(blank).since[0]


def test_a_later_visit_and_another_person_say_nothing(joint_recorded, blank, before):
    joint_recorded("neck", {TURN: device(40)})
    joint_recorded("neck", {TURN: device(60)}, visit=before)
    assert only(before).since == ()


def test_the_sides_are_compared_in_words(joint_recorded, blank):
    joint_recorded("neck", {TURN: device(40), ("neck_rotation", "left"): device(60)})
    assert only(blank).sides == (
        "active: right 20° less than left, more than error of measurement (least change 3.5 to 9.6°, 90 %)",
    )


def test_nothing_is_said_of_what_was_not_read(blank, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert range_rows(blank) == ()


def test_it_takes_two_queries(joint_recorded, blank, django_assert_num_queries):
    joint_recorded("neck", {TURN: device(40)})
    visit = Visit.objects.select_related("patient__practice").get(pk=blank.pk)
    with django_assert_num_queries(2):
        range_rows(visit)

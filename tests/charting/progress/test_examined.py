"""Only like is held against like: thresholds with the same tip, movements with the same instrument."""

import pytest

from bodymaps import atlas
from charting.examination.models import MuscleFinding, RangeReading
from charting.progress import examined
from tests.charting.progress import courses


@pytest.fixture
def three(anna, mara):
    return courses.visits(courses.an_episode(anna, mara), mara, (0, 14, 28))


def when(visits):
    return {visit.pk: visit.started_at for visit in visits}


def thresholds(visits):
    return examined.thresholds(MuscleFinding.objects.all(), when(visits), atlas.load())


def movements(visits):
    return examined.movements(RangeReading.objects.all(), when(visits))


def test_a_threshold_is_the_mean_of_the_trials_at_the_same_place_with_the_same_tip(three):
    courses.press(three[0], 180, 190)
    courses.press(three[1], 300, tip=0.5)
    courses.press(three[2], 250, 270)
    (found,) = thresholds(three)
    assert [value.number for value in found.values] == [185, 260]
    assert found.title == "Pressure pain threshold: Infraspinatus (upper belly), right"
    assert found.values[1].since == "75 kPa higher"
    assert found.change.startswith("75 kPa higher; no published figure")
    assert (found.better, found.low, found.high) == ("higher", 0, 400)


def test_kgf_and_kpa_are_one_scale(three):
    """1 kgf/cm² is 98.0665 kPa (CGPM 1901: standard gravity 9.80665 m/s²)."""
    courses.press(three[0], 200)
    courses.press(three[1], 1)
    MuscleFinding.objects.filter(visit=three[1]).update(
        pressure={"unit": "kgf/cm2", "trials": [2.5], "tip_cm2": 1.0}
    )
    (found,) = thresholds(three)
    assert [value.number for value in found.values] == [200, 245.2]


def test_another_place_or_an_unknown_tip_is_no_course(three):
    courses.press(three[0], 180)
    courses.press(three[1], 200, site="lower_belly")
    for visit in three[1:]:
        MuscleFinding.objects.create(
            visit=visit,
            muscle="supraspinatus",
            side="left",
            position=2,
            pressure={"unit": "kPa", "trials": [200], "tip_cm2": None},
        )
    assert thresholds(three) == ()


def test_a_movement_is_held_against_the_published_error_of_its_instrument(three):
    """Shoulder flexion with an inclinometer: least change 8°, 90 % (Kolber 2011, ranges.toml)."""
    for visit, degrees in zip(three, (110, 116, 150), strict=True):
        courses.turn(visit, degrees)
    (found,) = movements(three)
    assert found.title == "Range: Shoulder, flexion, right, active"
    assert found.values[1].since.startswith("6° more, within error of measurement")
    assert found.change == "40° more, more than error of measurement (least change 8°, 90 %)."
    assert (found.least.size, found.least.away) == (8, "8°")
    assert "Kolber" in found.least.words and "Kolber" in found.judged[0].words
    assert (found.low, found.high) == (0, 200)


def test_another_instrument_is_another_course(three):
    courses.turn(three[0], 110)
    courses.turn(three[1], 150, "goniometer")
    assert movements(three) == ()
    courses.turn(three[2], 140)
    assert [[value.number for value in one.values] for one in movements(three)] == [[110, 140]]

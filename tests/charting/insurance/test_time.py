"""The time of a visit: which minutes count, what they make, what does not fit."""

from datetime import time

from charting.insurance.models import Payer
from charting.insurance.timed import time_of
from charting.treatment.models import TreatmentEntry

IN_UNITS = Payer(name="Northlake Mutual", units=Payer.Units.EIGHT_MINUTES)


def entry(technique, minutes, began=None, ended=None):
    clock = {"began_at": began and time(*began), "ended_at": ended and time(*ended)}
    return TreatmentEntry(technique=technique, minutes=minutes, position=1, **clock)


def test_it_adds_all_timed_minutes_before_it_counts_units():
    """7 + 7 + 7 minutes alone are none; together 21 make one (8-minute rule: all timed minutes first)."""
    found = time_of([entry("pressure", 7), entry("stretch", 7), entry("exercise", 7)], IN_UNITS)
    assert (found.minutes, found.units) == (21, 1)


def test_it_leaves_out_what_is_not_timed():
    found = time_of([entry("pressure", 10), entry("heat", 20), entry("needling", 9)], IN_UNITS)
    assert (found.minutes, found.units) == (10, 1)


def test_it_counts_no_units_for_a_payer_that_does_not():
    assert time_of([entry("pressure", 30)], Payer(name="Northlake Mutual")).units is None
    assert time_of([entry("pressure", 30)], None).units is None


def test_it_tells_what_lacks_minutes_or_the_clock():
    bare, clocked = entry("pressure", None), entry("stretch", 10, (9, 0), (9, 10))
    found = time_of([bare, clocked], IN_UNITS)
    assert found.without_minutes == (bare,)
    assert found.without_clock == (bare,)


def test_it_finds_what_ran_at_the_same_time():
    first, second = entry("pressure", 15, (9, 0), (9, 15)), entry("stretch", 10, (9, 10), (9, 20))
    third = entry("exercise", 10, (9, 20), (9, 30))
    assert time_of([first, second, third], IN_UNITS).overlaps == ((first, second),)

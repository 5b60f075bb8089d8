"""Time on an axis is to scale: order, distances, leap days and the change of the clocks."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from charting.progress.axis import MOST_TICKS, SHORTEST, Axis, lanes

ZURICH = ZoneInfo("Europe/Zurich")
INSTANTS = st.datetimes(datetime(1990, 1, 1), datetime(2080, 1, 1), timezones=st.just(UTC))
MANY = st.lists(INSTANTS, min_size=1, max_size=40)


def at(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=ZURICH)


@settings(deadline=None)
@given(MANY)
def test_it_keeps_the_order_and_holds_every_instant(instants):
    axis = Axis.over(instants, 50, 950)
    places = [axis.x(each) for each in sorted(instants)]
    assert places == sorted(places)
    assert all(50 <= place <= 950 + 1e-6 for place in places)


@settings(deadline=None)
@given(MANY, st.integers(0, 10**9), st.integers(1, 10**9))
def test_equal_times_are_equal_distances_wherever_they_lie(instants, seconds, more):
    axis = Axis.over(instants, 0, 1000)
    scale = 1000 / (axis.end - axis.start).total_seconds()
    first = axis.start + timedelta(seconds=seconds)
    apart = axis.x(first + timedelta(seconds=more)) - axis.x(first)
    assert apart == pytest.approx(more * scale, rel=1e-6, abs=1e-6)


def test_a_leap_day_takes_a_day():
    """29 February exists in 2024 and not in 2025 (Gregorian calendar)."""
    for year, days in ((2024, 2), (2025, 1)):
        axis = Axis.over([at(year, 2, 1), at(year, 4, 1)], 0, (at(year, 4, 1) - at(year, 2, 1)).days)
        assert axis.x(at(year, 3, 1, 12)) - axis.x(at(year, 2, 28, 12)) == pytest.approx(days, rel=1e-3)


def test_the_change_of_the_clocks_keeps_order_and_distance():
    """On 25 October 2026 the clocks of Zurich show 02:30 twice; on 29 March an hour is missing (IANA)."""
    first, again = at(2026, 10, 25, 2, 30), at(2026, 10, 25, 2, 30).replace(fold=1)
    axis = Axis.over([at(2026, 10, 1), at(2026, 11, 1)], 0, 744 + 1)
    assert axis.x(again.astimezone(UTC)) - axis.x(first.astimezone(UTC)) == pytest.approx(1)
    spring = Axis.over([at(2026, 3, 1), at(2026, 4, 1)], 0, 743)
    day = spring.x(at(2026, 3, 30).astimezone(UTC)) - spring.x(at(2026, 3, 29).astimezone(UTC))
    assert day == pytest.approx(23)


def test_one_visit_stands_at_the_beginning_of_an_axis_of_two_weeks():
    axis = Axis.over([at(2026, 5, 4, 9)], 50, 950)
    assert axis.x(at(2026, 5, 4, 9)) == 50
    assert axis.end - axis.start == SHORTEST


def test_it_refuses_an_axis_of_nothing():
    with pytest.raises(ValueError, match="at least one"):
        Axis.over([], 0, 1)


@settings(deadline=None)
@given(MANY)
def test_its_dates_can_be_read_and_stand_where_they_are(instants):
    axis = Axis.over(instants, 0, 1000)
    ticks = axis.ticks(ZURICH)
    assert len(ticks) <= MOST_TICKS
    assert [tick.x for tick in ticks] == sorted(tick.x for tick in ticks)
    assert all(tick.x == axis.x(tick.at) and axis.holds(tick.at) for tick in ticks)


@pytest.mark.parametrize(
    ("end", "words"),
    [
        ((2026, 5, 25, 9), ["4 May", "11 May", "18 May", "25 May"]),
        ((2026, 8, 3, 9), ["4 May", "18 May", "1 Jun", "15 Jun", "29 Jun", "13 Jul", "27 Jul"]),
        ((2026, 11, 2, 9), ["Jun 2026", "Jul 2026", "Aug 2026", "Sep 2026", "Oct 2026", "Nov 2026"]),
        ((2032, 2, 2, 9), ["2027", "2028", "2029", "2030", "2031", "2032"]),
    ],
)
def test_it_writes_weeks_months_or_years(end, words):
    axis = Axis.over([at(2026, 5, 4, 9), at(*end)], 0, 1000)
    assert [tick.words for tick in axis.ticks(ZURICH)] == words


@settings(deadline=None)
@given(st.lists(st.floats(0, 1000), max_size=60).map(sorted), st.floats(1, 200))
def test_pictures_of_one_lane_never_cover_each_other(places, width):
    found = lanes(places, width)
    for lane in set(found):
        here = [place for place, one in zip(places, found, strict=True) if one == lane]
        assert all(after - before >= width - 1e-6 for before, after in zip(here, here[1:], strict=False))


def test_a_picture_is_lifted_only_where_it_must_be():
    assert lanes([100, 200, 230, 260, 400], 80) == (0, 0, 1, 2, 0)

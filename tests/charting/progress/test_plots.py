"""A plot shows the whole scale, joins only visits that follow each other, and leaves gaps elsewhere."""

import uuid
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from charting.progress.axis import Axis
from charting.progress.events import Happened
from charting.progress.measures import HIGHER, LOWER, Least, Measure, Value, runs
from charting.progress.plots import BOTTOM, MOST_LINES, TOP, Plot, plot

ZURICH = ZoneInfo("Europe/Zurich")
FIRST = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
VISITS = [uuid.UUID(int=number) for number in range(6)]


def week(number: float) -> datetime:
    return FIRST + timedelta(weeks=number)


def measure(*numbers: float | None, **more) -> Measure:
    """One number for each visit, a week apart; None: that visit has no value."""
    values = tuple(
        Value(VISITS[at], week(at), number, f"{number:g} of 10")
        for at, number in enumerate(numbers)
        if number is not None
    )
    return Measure("nprs.now", "Pain now", "of 10", 0, 10, more.pop("better", LOWER), values, **more)


def drawn(one: Measure, treated=(), reactions=()) -> Plot:
    axis = Axis.over([week(number) for number in range(len(VISITS))], 100, 600)
    said = {"axis": axis, "zone": ZURICH, "visits": VISITS}
    return plot(one, treated=treated, reactions=reactions, **said)


def test_only_visits_that_follow_each_other_are_joined():
    found = runs(measure(7, 6, None, 5, None, 3).values, VISITS)
    assert [[value.number for value in run] for run in found] == [[7, 6], [5], [3]]
    assert len(drawn(measure(7, 6, None, 5, None, 3)).lines) == 1
    assert len(drawn(measure(7, 6, None, 5, 4, 3)).lines) == 2
    assert drawn(measure(7, None, 6, None, 5, None)).lines == ()


def test_the_scale_is_shown_whole_whatever_was_scored():
    shown = drawn(measure(2, 1))
    assert [step.words for step in shown.steps] == ["0", "5", "10"]
    assert [float(step.y) for step in shown.steps] == [BOTTOM, (TOP + BOTTOM) / 2, TOP]
    assert float(shown.dots[0].y) == BOTTOM - (BOTTOM - TOP) * 0.2


def test_dots_stand_at_their_true_time():
    assert [dot.x for dot in drawn(measure(7, 6, None, 5)).dots] == ["100", "200", "400"]


def test_the_band_reaches_one_least_change_to_both_sides_and_never_off_the_scale():
    """From 7, with 2.1 points (Cleland 2008, from memory): 4.9 to 9.1. From 9 it ends at the scale."""
    band = drawn(measure(7, 3, least=Least(2.1, "2.1 points", ""))).band
    scale = (BOTTOM - TOP) / 10
    assert abs(float(band.y) - (BOTTOM - 9.1 * scale)) < 0.06
    assert abs(float(band.end) - (BOTTOM - 4.9 * scale)) < 0.06
    assert float(drawn(measure(9, 3, least=Least(2.1, "2.1 points", ""))).band.y) == TOP
    assert drawn(measure(7, 3)).band is None


def test_direction_is_said_in_words():
    assert drawn(measure(7, 3)).title == "Pain now, lower is better"
    assert drawn(measure(7, 3, better=HIGHER)).title == "Pain now, higher is better"


def test_somebody_who_can_not_see_it_hears_first_last_and_scale():
    words = drawn(measure(7, 6, 3, change="4 points less.")).words
    assert "Scale from 0 to 10 of 10, lower is better." in words
    assert "3 values, from 7 of 10 on 4 May 2026 to 3 of 10 on 18 May 2026. 4 points less." in words


def test_events_outside_the_axis_are_left_out_and_many_treatments_are_short():
    inside, outside = Happened(week(1), "Pressed."), Happened(week(40), "Later.")
    assert [mark.words for mark in drawn(measure(7, 6), treated=[inside, outside]).treated] == ["Pressed."]
    few = [inside] * MOST_LINES
    assert float(drawn(measure(7, 6), treated=few).treated_top) == TOP
    assert float(drawn(measure(7, 6), treated=[*few, inside]).treated_top) > TOP


def test_numbers_that_would_cover_each_other_are_left_to_the_table():
    days = [Value(VISITS[at], FIRST + timedelta(days=at), 5, "5") for at in range(5)]
    close = Measure("a", "A", "", 0, 10, LOWER, tuple(days))
    assert [dot.label for dot in drawn(close).dots] == ["5", "", "", "", "5"]
    assert [dot.label for dot in drawn(measure(7, 6, 5)).dots] == ["7", "6", "5"]

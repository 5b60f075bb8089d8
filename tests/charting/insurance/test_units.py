"""The minute table of the Medicare Claims Processing Manual, ch. 5, 20.2 (checked), and its closed form."""

import pytest

from charting.insurance import units
from charting.insurance.units import UnitsError

PUBLISHED = [(8, 22, 1), (23, 37, 2), (38, 52, 3), (53, 67, 4), (68, 82, 5), (83, 97, 6)]


@pytest.mark.parametrize(("first", "last", "expected"), PUBLISHED)
def test_it_counts_every_minute_of_the_published_table(first, last, expected):
    counted = {units.load().units_of(minutes) for minutes in range(first, last + 1)}
    assert counted == {expected}


def test_it_counts_nothing_before_the_first_row():
    assert [units.load().units_of(minutes) for minutes in range(8)] == [0] * 8


def test_it_goes_on_beyond_the_table_in_the_same_steps():
    """floor((m + 7) / 15), the closed form of the table (arithmetic)."""
    for minutes in range(8, 400):
        assert units.load().units_of(minutes) == (minutes + 7) // 15


def test_it_keeps_the_whole_table_as_it_is_printed():
    kept = [(row.first, row.last, row.units) for row in units.load().published]
    assert kept == PUBLISHED


def test_it_refuses_minutes_below_nothing():
    with pytest.raises(ValueError, match="less than 0"):
        units.load().units_of(-1)


@pytest.mark.parametrize(
    ("wrong", "right", "said"),
    [
        ("units = 6 }", "units = 7 }", "83 minutes are 7 units here, 6 by the numbers"),
        ("least = 8", "least = 7", "22 minutes are 1 units here, 2 by the numbers"),
        ("minutes_each = 15", 'minutes_each = "15"', "eight_minutes.minutes_each: a whole number"),
        ('id = "heat"', 'id = "steam"', "steam: is no technique"),
        ('id = "heat"\ncounts = false', 'id = "heat"\ncounts = "no"', "heat: counts: true or false"),
        ('status = "checked"', 'status = "sure"', "eight_minutes: status: one of"),
    ],
)
def test_it_names_the_entry_to_mend(wrong, right, said):
    text = units.FILE.read_text(encoding="utf-8")
    assert wrong in text
    with pytest.raises(UnitsError, match=f"units.toml: .*{said}"):
        units.read(text.replace(wrong, right, 1))


def test_it_wants_every_technique_named():
    head = units.FILE.read_text(encoding="utf-8").split("\n[[technique]]")[0]
    with pytest.raises(UnitsError, match="say whether its minutes count"):
        units.read(head)

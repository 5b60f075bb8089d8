"""A date of birth typed in three boxes; whatever is wrong is named, and only its box is marked."""

from datetime import date

import pytest

from charting.patients.dates import WrongPart, birth_date, dates_meant
from charting.patients.forms import PatientForm

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    "typed",
    [
        ("7", "3", "1975"),
        ("07", "03", "1975"),
        (" 7 ", "Mar", "1975"),
        ("7", "march", "1975"),
        ("7", "MARCH", "1975"),
        ("7", "mar.", "1975"),
    ],
)
def test_it_takes_short_days_and_names_of_months(typed):
    assert birth_date(*typed, today=TODAY) == date(1975, 3, 7)


@pytest.mark.parametrize(
    ("typed", "part", "says"),
    [
        (("", "3", "1975"), "day", "Enter the day"),
        (("7", "", "1975"), "month", "Enter the month"),
        (("7", "3", ""), "year", "Enter the year"),
        (("32", "3", "1975"), "day", "1 to 31"),
        (("x", "3", "1975"), "day", "1 to 31"),
        (("7", "13", "1975"), "month", "1 to 12"),
        (("7", "ma", "1975"), "month", "name"),
        (("7", "3", "75"), "year", "four figures"),
        (("31", "4", "1975"), "day", "April 1975 has no day 31"),
        (("29", "2", "1975"), "day", "February 1975 has no day 29"),
        (("26", "11", "2026"), "year", "future"),
        (("1", "1", "1900"), "year", "1901 or later"),
        (("٧", "3", "1975"), "day", "1 to 31"),
    ],
)
def test_it_names_the_part_that_is_wrong(typed, part, says):
    with pytest.raises(WrongPart, match=says) as caught:
        birth_date(*typed, today=TODAY)
    assert caught.value.part == part


def test_it_takes_the_leap_day_and_the_day_itself():
    assert birth_date("29", "2", "1976", today=TODAY) == date(1976, 2, 29)
    assert birth_date("25", "11", "2026", today=TODAY) == TODAY


def test_it_reads_no_date_into_what_is_none():
    for text in ("", "muller", "12", "12.13", "1.2.3.4", "99.99.1975", "31.2.1975"):
        assert dates_meant(text, today=TODAY) == frozenset()


def test_it_reads_a_short_year_in_both_centuries_but_not_in_the_future():
    assert dates_meant("1.1.05", today=TODAY) == {date(2005, 1, 1), date(1905, 1, 1)}
    assert dates_meant("1.1.75", today=TODAY) == {date(1975, 1, 1)}


def form(**typed):
    boxes = {"birth_date_day": "31", "birth_date_month": "2", "birth_date_year": "1975"}
    return PatientForm({"family_name": "Keller", "given_names": "Anna", **boxes, **typed})


def test_it_marks_only_the_wrong_box_and_leads_there():
    wrong = form()
    assert wrong.errors == {"birth_date": ["February 1975 has no day 31."]}
    boxes = str(wrong["birth_date"])
    assert boxes.count('aria-invalid="true"') == 1
    assert 'name="birth_date_day" value="31"' in boxes.split('aria-invalid="true"')[0]
    assert wrong["birth_date"].id_for_label == "id_birth_date_0"
    other = form(birth_date_day="1", birth_date_year="75")
    assert other.errors and other["birth_date"].id_for_label == "id_birth_date_2"


def test_it_keeps_what_was_typed():
    assert 'value="31"' in str(form()["birth_date"])

"""Time in and out of a treatment: read as it is typed, held against the minutes, said in its sentence."""

from datetime import time

import pytest
from django.http import QueryDict

from bodymaps import atlas
from charting.treatment import forms, techniques
from charting.treatment.clock import length, read, wrong
from charting.treatment.done import WrongEntry
from charting.treatment.told import as_data, in_words

LIMIT = techniques.load().minutes
NINE, QUARTER_PAST = time(9, 0), time(9, 15)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("9:05", time(9, 5)),
        ("09.05", time(9, 5)),
        ("23:59", time(23, 59)),
        ("", None),
        ("24:00", "24:00"),
        ("9:5", "9:5"),
        ("905", "905"),
        ("nine", "nine"),
    ],
)
def test_it_reads_a_time_as_people_type_it(typed, meant):
    assert read(typed) == meant


def test_minutes_go_from_in_to_out():
    assert length(NINE, QUARTER_PAST) == 15
    assert length(QUARTER_PAST, NINE) is length(NINE, NINE) is length(NINE, None) is None


@pytest.mark.parametrize(
    ("began", "ended", "minutes", "field"),
    [
        ("nine", None, None, "began_at"),
        (NINE, "ten", None, "ended_at"),
        (None, NINE, None, "began_at"),
        (QUARTER_PAST, NINE, None, "ended_at"),
        (NINE, NINE, None, "ended_at"),
        (NINE, time(12, 0), None, "ended_at"),
        (NINE, QUARTER_PAST, 20, "minutes"),
    ],
)
def test_it_names_the_field_to_mend(began, ended, minutes, field):
    assert [name for name, _ in wrong(began, ended, minutes, LIMIT)] == [field]


def test_a_clash_of_minutes_and_clock_names_both():
    ((_, words),) = wrong(NINE, QUARTER_PAST, 20, LIMIT)
    assert words == "From 09:00 to 09:15 are 15 minutes, not 20. Mend one of them."


@pytest.mark.parametrize(("began", "ended", "minutes"), [(NINE, QUARTER_PAST, 15), (NINE, None, None)])
def test_what_fits_may_stay(began, ended, minutes):
    assert list(wrong(began, ended, minutes, LIMIT)) == []


def sent(**more):
    form = QueryDict(mutable=True)
    form.update({"technique": "stretch", "place": "infraspinatus.right", **more})
    return forms.read(form)


def test_minutes_left_empty_are_counted_from_the_clock():
    said = sent(began_at="9:00", ended_at="9:15").said
    assert (said.minutes, said.began_at, said.ended_at) == (15, NINE, QUARTER_PAST)


def test_what_was_typed_comes_back_in_its_form():
    again = forms.of_done(sent(began_at="9.00", ended_at="9:15").said)
    assert (again.values["began_at"], again.values["ended_at"]) == (("09:00",), ("09:15",))


def test_an_entry_keeps_its_time_and_says_it(agreed, add):
    row = add("stretch", "infraspinatus.right", began_at=NINE, ended_at=QUARTER_PAST, minutes=15)
    row.refresh_from_db()
    assert in_words(row, atlas.load()).endswith("stretch; 09:00 to 09:15, 15 minutes")
    assert as_data(row, atlas.load())["clock"] == "09:00 to 09:15"


def test_a_changed_time_is_kept_in_the_trail(agreed, add, change):
    row = add("stretch", "infraspinatus.right", began_at=NINE, ended_at=QUARTER_PAST, minutes=15)
    change(row, ended_at=time(9, 20), minutes=20)
    row.refresh_from_db()
    assert row.ended_at == time(9, 20)
    with pytest.raises(WrongEntry, match="are 20 minutes, not 15"):
        change(row, minutes=15)

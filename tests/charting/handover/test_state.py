"""The drawing step tells the clinician where the device is and what it still holds."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from charting.handover.models import HandOver
from charting.handover.pages import states_of

# Summer in Zurich is two hours ahead of UTC.
ZURICH = ZoneInfo("Europe/Zurich")


def at(hour, minute, day=4):
    return datetime(2026, 5, day, hour, minute, tzinfo=ZURICH)


AT_TWO = at(10, 2)


@pytest.fixture
def now(monkeypatch):
    """It is the 4th of May 2026, 10:30 in the practice."""
    monkeypatch.setattr(timezone, "now", lambda: at(10, 30))


@pytest.fixture
def given(blank, mara, now):
    """Makes a hand-over of `blank`, given at 10:02 and good until 10:47."""

    def make(given_at=AT_TWO, **more):
        runs = {"expires_at": given_at + timedelta(minutes=45), "confirmed_at": given_at, **more}
        row = HandOver.objects.create(visit=blank, given_by=mara, token_sha256=str(given_at), **runs)
        HandOver.objects.filter(pk=row.pk).update(given_at=given_at)

    return make


@pytest.fixture
def told(blank, mara, client):
    """What the drawing step says, in one line."""

    def read():
        client.force_login(mara)
        page = client.get(f"/visits/{blank.pk}/drawing-step/").content.decode()
        return " ".join(page.split())

    return read


def test_it_is_with_the_patient_in_the_clock_of_the_practice(given, told):
    given(heard_at=at(10, 5))
    assert "With the patient since 10:02, last heard of 10:05." in told()


def test_it_names_who_helps(given, told):
    given(drawn_by="helper", helper="daughter")
    assert "With who helps the patient (daughter) since 10:02; nothing has arrived from it yet." in told()


def test_it_says_that_nobody_has_confirmed_the_name_yet(given, told):
    given(confirmed_at=None)
    assert "since 10:02; name and birth date are not confirmed yet." in told()


def test_it_says_what_has_not_arrived_and_how_it_does(given, told):
    given(ended_at=at(10, 20), waiting=3)
    page = told()
    assert "Handed over 10:02, given back 10:20." in page
    assert (
        "3 entries drawn on that device have not arrived. They wait on it: sign in there and they are sent."
        in page
    )


def test_one_entry_is_one(given, told):
    given(ended_at=at(10, 20), waiting=1)
    assert "1 entry drawn on that device has not arrived. It waits on it" in told()


def test_it_says_that_it_was_somebody_else(given, told):
    given(confirmed_at=None, denied_at=at(10, 4), ended_at=at(10, 4))
    assert "The person on the device said that this is somebody else</strong> (10:04)" in told()


def test_it_says_that_the_time_ran_out(given, told):
    given(given_at=at(9, 0))
    assert "Handed over 09:00; the time ran out 09:45." in told()


def test_another_day_is_named(given, told):
    given(given_at=at(16, 0, day=3))
    assert "Handed over 3 May 2026, 16:00; the time ran out 3 May 2026, 16:45." in told()


def test_it_says_nothing_when_nothing_was_handed_over_or_all_is_well(blank, given):
    assert states_of(blank) == ()
    given(ended_at=at(10, 20), heard_at=at(10, 19))
    assert states_of(blank) == ()


def test_what_an_earlier_device_still_holds_is_not_hidden_by_a_later_one(blank, given):
    given(ended_at=at(10, 20), waiting=2)
    given(given_at=at(10, 21), ended_at=at(10, 28))
    assert [state.waiting for state in states_of(blank)] == [2]
    given(given_at=at(10, 29))
    assert [state.since for state in states_of(blank)] == ["10:29", "10:02"]

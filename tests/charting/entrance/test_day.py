"""The day list: everybody in the section they belong to, for who may see them."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.entrance.day import sorted_day
from charting.entrance.pages import today_page
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.appointments.booked import booked

# Noon in Zurich on a day in winter.
NOON = datetime(2026, 11, 27, 11, 0, tzinfo=UTC)


@pytest.fixture
def people(practice):
    return [recorded.patient(practice, number=number) for number in range(2, 8)]


def begun(row, at):
    """The visit of an appointment of `at`, begun then."""
    visit = Visit.objects.create(patient=row.patient, clinician=row.clinician)
    Visit.objects.filter(pk=visit.pk).update(started_at=at)
    Appointment.objects.filter(pk=row.pk).update(state="fulfilled", visit=visit, starts_at=at)
    return Visit.objects.select_related("appointment").get(pk=visit.pk)


def day_at(now, practice, visits=()):
    there = now.astimezone(practice.zone)
    return sorted_day(there.date(), there, Appointment.objects.all(), visits)


def names(rows):
    return [row.patient.record_number for row in rows]


def test_everybody_stands_in_one_section(people, mara, practice):
    expected, late, waits, missed, gone, other = people
    booked(expected, mara, at=NOON + timedelta(hours=1))
    booked(late, mara, at=NOON - timedelta(minutes=20))
    booked(waits, mara, at=NOON, state="arrived", arrived_at=NOON - timedelta(minutes=65))
    booked(missed, mara, at=NOON - timedelta(hours=2), state="noshow")
    booked(gone, mara, at=NOON, state="cancelled")
    visit = begun(booked(other, mara), NOON - timedelta(minutes=10))
    day = day_at(NOON, practice, [visit])
    assert names(day.expected) == [3, 2] and [row.minutes for row in day.expected] == [20, 0]
    assert names(day.here) == [4] and day.here[0].so_long == "1 h 5 min"
    assert names(day.in_visit) == [7] and day.in_visit[0].minutes == 10
    assert names(day.ended) == [5, 6] and day.to_finish == ()


@pytest.mark.parametrize(("ago", "to_finish"), [(29, False), (31, True)])
def test_a_visit_is_to_be_finished_when_its_time_is_over(anna, mara, practice, ago, to_finish):
    visit = begun(booked(anna, mara), NOON - timedelta(minutes=ago))
    day = day_at(NOON, practice, [visit])
    assert (bool(day.to_finish), bool(day.in_visit)) == (to_finish, not to_finish)


def test_a_visit_that_began_late_has_its_whole_time(anna, mara, practice):
    visit = begun(booked(anna, mara), NOON - timedelta(minutes=10))
    Appointment.objects.update(starts_at=NOON - timedelta(minutes=50))
    visit = Visit.objects.select_related("appointment").get(pk=visit.pk)
    assert day_at(NOON, practice, [visit]).in_visit


def test_who_came_without_an_appointment_is_in_the_room_all_day(anna, mara, practice):
    visit = Visit.objects.create(patient=anna, clinician=mara)
    visit.started_at = NOON - timedelta(hours=4)
    assert day_at(NOON, practice, [visit]).in_visit and not day_at(NOON, practice, [visit]).to_finish
    assert day_at(NOON + timedelta(hours=12), practice, [visit]).to_finish


def test_a_day_ends_by_the_clock_of_the_practice(anna, mara, practice):
    """23:30 in Zurich is 22:30 in UTC; an hour later it is another day there and not yet in UTC."""
    visit = Visit.objects.create(patient=anna, clinician=mara)
    visit.started_at = datetime(2026, 11, 27, 22, 30, tzinfo=UTC)
    assert day_at(visit.started_at + timedelta(minutes=29), practice, [visit]).in_visit
    assert day_at(visit.started_at + timedelta(minutes=30), practice, [visit]).to_finish


def test_another_day_shows_its_appointments_and_no_open_visits(blank, mara, as_mara):
    day = date(2027, 5, 4)
    there = booked(blank.patient, mara, at=datetime(2027, 5, 4, 7, 0, tzinfo=UTC), reason="Neck, second")
    page = as_mara.get(f"/?day={day}").content.decode()
    assert "Tuesday, 4 May 2027" in page and "09:00" in page and "Neck, second" in page
    assert f"/visits/{blank.pk}/" not in page and f"/appointments/{there.pk}/here/" not in page
    assert "?day=2027-05-03" in page and "?day=2027-05-05" in page


@pytest.mark.parametrize("typed", ["x", "2027-02-30", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_is_today(as_mara, typed):
    assert "Expected" in as_mara.get("/", {"day": typed}).content.decode()


def test_it_is_ones_own_list_or_the_whole_practice_and_stays_so(people, mara, tom, as_mara):
    booked(people[0], tom, reason="With Tom")
    assert "With Tom" not in as_mara.get("/").content.decode()
    assert "With Tom" in as_mara.get("/?of=practice").content.decode()
    assert "With Tom" in as_mara.get("/").content.decode()


def test_the_assistant_sees_the_whole_practice_and_no_chart(blank, people, tom, as_poll):
    row = booked(people[0], tom, reason="With Tom")
    page = as_poll.get("/").content.decode()
    assert "With Tom" in page and f"/appointments/{row.pk}/here/" in page
    assert f'href="/visits/{blank.pk}/"' not in page and "My list" not in page
    give = as_poll.get(f"/visits/{blank.pk}/hand-over/").content.decode()
    assert "Questions before the drawing" in give and "Draw what the patient shows" not in give


def test_it_shows_no_appointment_of_another_practice(anna, mara, as_ines, ines):
    booked(anna, mara)
    assert "Keller" not in as_ines.get("/?of=practice").content.decode()


def test_what_is_to_be_followed_up_is_the_whole_practices_also_on_ones_own_list(
    blank, tom, mara, as_mara, as_vera
):
    said = {"what": "soreness", "severity": "mild", "words": "Sore.", "happened_at": timezone.now()}
    event = blank.patient.adverse_events.create(recorded_by=tom, follow_up_on=date(2026, 5, 4), **said)
    (due,) = today_page(mara, own=True).reactions
    assert due.is_overdue and due.event == event
    leads_to = f"/patients/{blank.patient_id}/reactions/"
    assert f'href="{leads_to}{event.pk}/follow-up/"' in as_mara.get("/").content.decode()
    assert f'href="{leads_to}"' in as_vera.get("/").content.decode()


def test_days_on_which_somebody_is_still_expected_are_named(anna, mara, as_mara):
    booked(anna, mara, at=timezone.now() - timedelta(days=3))
    booked(anna, mara, at=timezone.now() - timedelta(days=5), state="noshow")
    left = (timezone.now() - timedelta(days=3)).astimezone(anna.practice.zone).date()
    assert today_page(mara, own=True).left_open == (left,)
    page = as_mara.get(f"/?day={left}").content.decode()
    assert "Still open" in page and "Missed" in page


def test_a_tap_says_that_somebody_is_here_and_leads_back(anna, mara, as_poll):
    row = booked(anna, mara)
    answer = as_poll.post(f"/appointments/{row.pk}/here/", {"version": 1})
    assert answer.headers["Location"] == "/"
    page = as_poll.get("/").content.decode()
    assert "waiting 0 min" in page


def test_an_old_page_does_not_overwrite(anna, mara, as_poll):
    row = booked(anna, mara, version=2)
    answer = as_poll.post(f"/appointments/{row.pk}/here/", {"version": 1}, follow=True)
    assert "Somebody changed this appointment meanwhile" in answer.content.decode()


def test_the_visit_begins_from_the_list(anna, mara, as_mara, as_poll, new_id):
    row = booked(anna, mara)
    answer = as_mara.post(f"/appointments/{row.pk}/begin/", {"id": new_id})
    assert answer.headers["Location"] == f"/visits/{new_id}/"
    again = as_poll.post(f"/appointments/{row.pk}/begin/", {"id": new_id})
    assert again.headers["Location"] == "/"


def test_an_unreadable_tap_says_so(anna, mara, as_mara):
    row = booked(anna, mara)
    assert as_mara.post(f"/appointments/{row.pk}/here/", {}).status_code == 422
    assert as_mara.post(f"/appointments/{row.pk}/begin/", {"id": "x"}).status_code == 422

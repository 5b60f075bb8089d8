"""A time is set aside once, with somebody who treats, and a clash is asked about and never refused."""

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import close_old_connections
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.appointments.queries import coming, day_of
from charting.appointments.services import NotKept, Taken, make
from tests.charting import recorded
from tests.charting.appointments.booked import booked, said

NINE = datetime(2027, 5, 4, 7, 0, tzinfo=UTC)  # in Zurich, in summer


def minutes_after(minutes):
    return NINE + timedelta(minutes=minutes)


def test_it_sets_a_time_aside(anna, mara, poll):
    row = make(who=poll, patient=anna, **said(mara, starts_at=NINE, minutes=45, reason=" Neck "))
    assert (row.state, row.reason, row.made_by, row.ends_at) == ("booked", "Neck", poll, minutes_after(45))


def test_it_makes_one_of_a_double_tap(anna, mara):
    twice = said(mara)
    assert make(who=mara, patient=anna, **twice) == make(who=mara, patient=anna, **twice)
    assert Appointment.objects.count() == 1


def test_it_does_not_take_the_id_of_somebody_elses(anna, mara):
    first = said(mara)
    make(who=mara, patient=anna, **first)
    with pytest.raises(NotKept, match="once more"):
        make(who=mara, patient=recorded.patient(anna.practice, number=2), **first)


@pytest.mark.parametrize(
    ("begins", "lasts", "clashes"),
    [(0, 30, True), (-15, 30, True), (15, 5, True), (-30, 90, True), (-30, 30, False), (30, 30, False)],
)
def test_it_asks_about_a_clinician_who_is_taken_then(anna, mara, begins, lasts, clashes):
    other = recorded.patient(anna.practice, number=2)
    there = booked(other, mara, at=NINE, minutes=30)
    wanted = said(mara, starts_at=minutes_after(begins), minutes=lasts)
    if not clashes:
        make(who=mara, patient=anna, **wanted)
        return
    with pytest.raises(Taken) as problem:
        make(who=mara, patient=anna, **wanted)
    assert problem.value.appointments == (there,)
    assert make(who=mara, patient=anna, **wanted, all_the_same=True).starts_at == wanted["starts_at"]


def test_it_asks_about_a_person_who_is_somewhere_else_then(anna, mara, tom):
    booked(anna, tom, at=NINE)
    with pytest.raises(Taken):
        make(who=mara, patient=anna, **said(mara, starts_at=NINE))


@pytest.mark.parametrize("state", ["cancelled", "noshow"])
def test_a_time_given_up_is_free_again(anna, mara, state):
    booked(recorded.patient(anna.practice, number=2), mara, at=NINE, state=state)
    make(who=mara, patient=anna, **said(mara, starts_at=NINE))


@pytest.mark.parametrize("minutes", [0, 481])
def test_it_refuses_a_slip_in_the_minutes(anna, mara, minutes):
    with pytest.raises(NotKept, match="from 1 to 480"):
        make(who=mara, patient=anna, **said(mara, minutes=minutes))


def test_it_is_with_somebody_who_treats_here(anna, mara, poll, vera, ines):
    for nobody in (poll, vera, ines):
        with pytest.raises(PermissionDenied):
            make(who=mara, patient=anna, **said(nobody))
    with pytest.raises(PermissionDenied):
        make(who=ines, patient=anna, **said(ines))
    assert not Appointment.objects.exists()


def test_a_day_is_that_of_the_practice(anna, mara):
    """Zurich is two hours ahead of UTC in May: 22:30 is half past midnight of the next day there."""
    late = booked(anna, mara, at=datetime(2027, 5, 3, 22, 30, tzinfo=UTC))
    early = booked(anna, mara, at=datetime(2027, 5, 3, 21, 59, tzinfo=UTC))
    assert day_of(mara, NINE.date()) == (late,) and day_of(mara, early.starts_at.date()) == (early,)


@pytest.mark.parametrize(
    ("day", "hours"),
    # Central European time is set forward on the last Sunday of March, back on that of October, at 01:00 UTC:
    # Directive 2000/84/EC, articles 2 and 3 (from memory).
    [(datetime(2027, 3, 28, tzinfo=UTC), 23), (datetime(2027, 10, 31, tzinfo=UTC), 25)],
)
def test_a_day_with_a_change_of_the_clock_is_whole(anna, mara, day, hours):
    zone = anna.practice.zone
    start = datetime(day.year, day.month, day.day, tzinfo=zone)
    inside = booked(anna, mara, at=start.astimezone(UTC) + timedelta(hours=hours, minutes=-1))
    booked(anna, mara, at=start.astimezone(UTC) + timedelta(hours=hours))
    assert day_of(mara, day.date()) == (inside,)


def test_it_shows_what_is_coming_and_nothing_of_another_practice(anna, mara, ines):
    now = timezone.now()
    later, sooner = (booked(anna, mara, at=now + timedelta(days=days)) for days in (9, 2))
    booked(anna, mara, at=now - timedelta(days=2))
    booked(anna, mara, at=now + timedelta(days=3), state="cancelled")
    assert coming(mara, anna, now) == (sooner, later)
    assert coming(ines, anna, now) == () and day_of(ines, sooner.starts_at.date()) == ()


@pytest.mark.django_db(transaction=True)
def test_two_desks_that_fill_the_same_time_are_asked(anna, mara, poll):
    gate, told = threading.Barrier(2), []
    people = (anna, recorded.patient(anna.practice, number=2))

    def run(patient):
        try:
            gate.wait(timeout=20)
            make(who=poll, patient=patient, **said(mara, starts_at=NINE))
        except Taken as problem:
            told.append(problem)
        finally:
            close_old_connections()

    threads = [threading.Thread(target=run, args=(each,)) for each in people]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(told) == 1 and Appointment.objects.count() == 1

"""The pages of an appointment: what was typed is never lost, what is wrong is named."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from charting.appointments.models import Appointment
from tests.charting.appointments.booked import booked, typed
from tests.charting.episodes.cared import a_discharged_one

NEXT_YEAR = timezone.now().year + 1


def new(patient):
    return f"/patients/{patient.pk}/appointments/new/"


def soon():
    return timezone.localdate() + timedelta(days=7)


def last_sunday_of_march(year):
    day = date(year, 3, 31)
    return day - timedelta(days=(day.weekday() + 1) % 7)


def test_it_is_made_by_the_clock_of_the_practice(anna, mara, as_poll):
    answer = as_poll.post(new(anna), typed(mara, soon(), reason="Neck"))
    row = Appointment.objects.get()
    there = row.starts_at.astimezone(anna.practice.zone)
    assert (there.date(), f"{there:%H:%M}", row.reason) == (soon(), "14:05", "Neck")
    assert answer.headers["Location"] == f"/patients/{anna.pk}/"
    assert "Neck" in as_poll.get(f"/patients/{anna.pk}/").content.decode()


def test_from_the_day_list_it_leads_back_to_that_day(anna, mara, as_poll):
    found = as_poll.post(f"/appointments/new/?day={soon()}", {"q": "keller"}).content.decode()
    assert f"{new(anna)}?back=1&amp;day={soon()}" in found
    assert f'value="{soon().year}"' in as_poll.get(f"{new(anna)}?back=1&day={soon()}").content.decode()
    answer = as_poll.post(new(anna), typed(mara, soon(), back="day"))
    assert answer.headers["Location"] == f"/?day={soon()}"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"at": "25:00"}, "Enter the time as hours and minutes"),
        ({"minutes": "0"}, "greater than or equal to 1"),
        ({"minutes": "long"}, "Enter a number of minutes"),
        ({"day_day": "31", "day_month": "2"}, "February"),
        ({"day_year": "1999"}, "must not be past"),
        ({"day_year": "2199"}, "within the next two years"),
        ({"clinician": ""}, "Choose with whom"),
        ({"reason": "x" * 161}, "at most 160"),
    ],
)
def test_it_names_what_is_wrong_and_keeps_what_was_typed(anna, mara, as_mara, wrong, told):
    sent = typed(mara, soon(), **{"reason": "Half a sent", **wrong})
    answer = as_mara.post(new(anna), sent)
    page = answer.content.decode()
    assert answer.status_code == 422 and told in page and sent["reason"] in page
    assert not Appointment.objects.exists()


def test_it_names_a_time_that_the_clock_skips(anna, mara, as_mara):
    """02:30 does not exist on the last Sunday of March in Zurich (Directive 2000/84/EC, from memory)."""
    answer = as_mara.post(new(anna), typed(mara, last_sunday_of_march(NEXT_YEAR), at="02:30"))
    assert "there is no such time" in answer.content.decode() and not Appointment.objects.exists()


def test_it_warns_of_a_taken_time_and_never_refuses_it(anna, mara, as_mara):
    as_mara.post(new(anna), typed(mara, soon()))
    second = typed(mara, soon(), at="14:15", reason="Second")
    answer = as_mara.post(new(anna), second)
    page = answer.content.decode()
    assert answer.status_code == 422 and "Somebody is expected then already" in page and "Second" in page
    as_mara.post(new(anna), {**second, "all_the_same": "1"})
    assert Appointment.objects.count() == 2


def test_two_who_change_one_see_both(anna, mara, tom, as_mara):
    row = booked(anna, mara, reason="Theirs", version=2)
    day = row.starts_at.astimezone(anna.practice.zone).date()
    sent = typed(tom, day, at="23:55", reason="Mine", version=1)
    answer = as_mara.post(f"/appointments/{row.pk}/", sent)
    page = answer.content.decode()
    assert answer.status_code == 409 and "Somebody else saved this meanwhile" in page
    assert "Theirs" in page and page.count("Mine") == 2 and "Mara Steiner" in page
    as_mara.post(f"/appointments/{row.pk}/", {**sent, "version": 2})
    assert Appointment.objects.get().reason == "Mine"


def test_what_was_typed_about_one_that_ended_meanwhile_is_shown(anna, mara, as_mara):
    row = booked(anna, mara, state="cancelled", version=2, ended_why="Called.")
    day = row.starts_at.astimezone(anna.practice.zone).date()
    sent = typed(mara, day, at="23:55", reason="Mine", version=1)
    page = as_mara.post(f"/appointments/{row.pk}/", sent).content.decode()
    assert "Cancelled" in page and "Mine" in page and "Save the change" not in page


def test_a_time_of_today_that_is_past_may_stay(anna, mara, as_mara):
    row = booked(anna, mara, at=timezone.now() - timedelta(days=2))
    day = row.starts_at.astimezone(anna.practice.zone).date()
    at = f"{row.starts_at.astimezone(anna.practice.zone):%H:%M}"
    as_mara.post(f"/appointments/{row.pk}/", typed(mara, day, at=at, reason="Why", version=1))
    assert Appointment.objects.get().reason == "Why"


def test_ending_one_needs_its_words_and_keeps_them(anna, mara, as_poll):
    row = booked(anna, mara)
    answer = as_poll.post(f"/appointments/{row.pk}/cancel/", {"cancel-version": 1})
    assert answer.status_code == 422 and "Write why it is cancelled." in answer.content.decode()
    as_poll.post(f"/appointments/{row.pk}/cancel/", {"cancel-version": 1, "cancel-why": "Has a cold."})
    assert "Has a cold." in as_poll.get("/").content.decode()
    assert "Has a cold." in as_poll.get(f"/patients/{anna.pk}/contacts/").content.decode()


def test_a_miss_before_its_time_says_so_beside_what_was_typed(anna, mara, as_poll):
    row = booked(anna, mara, at=timezone.now() + timedelta(hours=1))
    sent = {"missed-version": 1, "missed-why": "Nobody at the door"}
    answer = as_poll.post(f"/appointments/{row.pk}/missed/", sent)
    page = answer.content.decode()
    assert answer.status_code == 422 and "not come yet" in page and "Nobody at the door" in page


def test_after_a_discharge_the_list_asks_what_the_visit_is_about(anna, mara, as_mara, new_id):
    episode, row = a_discharged_one(anna, mara), booked(anna, mara)
    url = f"/appointments/{row.pk}/begin/"
    assert as_mara.post(url, {"id": new_id}).headers["Location"] == url
    assert "Right shoulder again, discharged on" in as_mara.get(url).content.decode()
    half = {"id": new_id, "asked": "1", "which": str(episode.pk)}
    assert "Write why the same complaint" in as_mara.post(url, half).content.decode()
    answer = as_mara.post(url, {**half, "words": "Back after a fall."})
    assert answer.headers["Location"] == f"/visits/{new_id}/"


def test_it_is_closed_to_another_practice(anna, mara, as_ines):
    row = booked(anna, mara)
    for url in (f"/appointments/{row.pk}/", new(anna)):
        assert as_ines.get(url).status_code == 404
    assert "Keller" not in as_ines.post("/appointments/new/", {"q": "keller"}).content.decode()

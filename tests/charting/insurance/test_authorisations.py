"""Visits authorised and used: counted by the days of the practice, both ends included."""

from datetime import UTC, date, datetime

import pytest

from charting.insurance import services
from charting.insurance.queries import cover_of
from charting.insurance.services import NotKept
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting.insured import an_authorisation


def held(episode, who, *moments):
    Visit.objects.filter(episode=episode).delete()
    for at in moments:
        visit = Visit.objects.create(patient=episode.patient, clinician=who, episode=episode)
        Visit.objects.filter(pk=visit.pk).update(started_at=at)


def used(episode):
    return {one.authorisation.number: one.used for one in cover_of(episode).authorisations}


def test_it_counts_visits_from_the_first_to_the_last_day(episode, mara):
    days = [datetime(2026, 5, day, 10, tzinfo=UTC) for day in (3, 4, 10, 20, 21)]
    held(episode, mara, *days)
    an_authorisation(mara, episode, begins=date(2026, 5, 4), ends=date(2026, 5, 20))
    assert used(episode) == {"A-7": 3}


def test_it_takes_the_day_from_the_clock_of_the_practice(episode, mara):
    """23:30 UTC on 3 May is half past one on 4 May in Zurich (UTC+2 in summer: IANA zone data)."""
    held(episode, mara, datetime(2026, 5, 3, 23, 30, tzinfo=UTC))
    an_authorisation(mara, episode, begins=date(2026, 5, 4))
    assert used(episode) == {"A-7": 1}


def test_it_counts_open_visits_and_none_of_another_complaint(episode, mara, anna):
    Visit.objects.create(patient=anna, clinician=mara, episode=episode)
    Visit.objects.create(patient=anna, clinician=mara)
    an_authorisation(mara, episode)
    assert used(episode) == {"A-7": 2}


def test_it_counts_up_to_the_visit_that_is_asked_about(episode, mara):
    moments = [datetime(2026, 5, day, 10, tzinfo=UTC) for day in (4, 5, 6)]
    held(episode, mara, *moments)
    an_authorisation(mara, episode, visits=3)
    second = episode.visits.get(started_at=moments[1])
    (counted,) = cover_of(episode, until=second).authorisations
    assert (counted.used, counted.left) == (2, 1)


def test_it_goes_below_nothing_when_more_were_held_than_agreed(episode, mara):
    held(episode, mara, *(datetime(2026, 5, day, 10, tzinfo=UTC) for day in (4, 5)))
    an_authorisation(mara, episode, visits=1)
    (counted,) = cover_of(episode).authorisations
    assert counted.left == -1


def test_it_leaves_out_what_was_withdrawn(episode, mara):
    row = an_authorisation(mara, episode)
    said = {"number": "A-7", "visits": 6, "valid_from": None, "valid_until": None, "remark": ""}
    services.change_authorisation(who=mara, authorisation=row, version=1, is_withdrawn=True, **said)
    assert used(episode) == {}


def test_it_adds_the_same_one_once(episode, mara):
    row = an_authorisation(mara, episode)
    said = {"number": "A-7", "visits": 6, "valid_from": None, "valid_until": None, "remark": ""}
    assert services.add_authorisation(who=mara, episode=episode, id=row.pk, **said) == row
    assert len(cover_of(episode).authorisations) == 1


def test_it_refuses_a_last_day_before_the_first(episode, mara):
    with pytest.raises(NotKept, match="must not be before the first"):
        an_authorisation(mara, episode, begins=date(2026, 5, 4), ends=date(2026, 5, 3))


def test_a_later_save_does_not_overwrite_an_earlier_one(episode, mara, tom):
    row = an_authorisation(mara, episode)
    said = {"number": "A-8", "visits": 6, "valid_from": None, "valid_until": None, "remark": ""}
    services.change_authorisation(who=mara, authorisation=row, version=1, is_withdrawn=False, **said)
    with pytest.raises(Stale):
        services.change_authorisation(who=tom, authorisation=row, version=1, is_withdrawn=False, **said)

"""Scores over many visits, as measures to be plotted."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

from charting.outcomes.series import series_of
from charting.visits.models import Visit
from tests.charting.outcomes.conftest import activities


def test_each_rating_of_pain_is_a_measure_of_its_own(course, score):
    score(course[0], "nprs", {"now": 8, "worst": 9})
    score(course[1], "nprs", {"worst": 7})
    score(course[2], "nprs", {"now": 3, "worst": 6})
    now, worst = series_of(reversed(course))
    assert (now.id, now.label) == ("nprs.now", "Pain rating, 0 to 10, now")
    assert [(point.visit_id, point.value) for point in now.points] == [(course[0].pk, 8), (course[2].pk, 3)]
    assert [point.value for point in worst.points] == [9, 7, 6]
    assert (now.change.points, worst.change.points) == (-5, -3)
    assert (now.low, now.high, now.better) == (0, 10, "lower")
    assert [band.words for band in now.bands][:2] == ["none", "mild"]


def test_a_score_that_could_not_be_made_is_no_point(course, score):
    score(course[0], "quickdash", {"sum": 27, "answered": 11})
    score(course[1], "quickdash", {"sum": 20, "answered": 9})
    (series,) = series_of(course)
    assert [point.words for point in series.points] == ["36.4 of 100"]
    assert series.change is None


def test_activities_rise_and_the_two_numberings_stay_apart(course, score):
    score(course[0], "psfs", activities(3, 5, 4))
    score(course[2], "psfs", activities(6, 7, 5))
    score(course[1], "pgic", {"value": 2}, "impact")
    score(course[2], "pgic", {"value": 6}, "hurst")
    psfs, impact, hurst = series_of(course)
    assert (psfs.better, psfs.change.points) == ("higher", 2)
    assert (impact.id, impact.better, len(impact.points)) == ("pgic.impact", "lower", 1)
    assert (hurst.id, hurst.better) == ("pgic.hurst", "higher")


def test_it_takes_one_query_for_a_hundred_visits(anna, mara, score):
    visits = [Visit.objects.create(patient=anna, clinician=mara) for _ in range(100)]
    for number, visit in enumerate(visits):
        score(visit, "nprs", {"now": number % 11})
    with CaptureQueriesContext(connection) as seen:
        (series,) = series_of(visits)
    assert len(seen) == 1
    assert len(series.points) == 100


def test_no_visit_and_no_score_are_no_measure(course):
    assert series_of([]) == ()
    assert series_of(course) == ()

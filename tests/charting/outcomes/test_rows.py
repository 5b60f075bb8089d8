"""Scores as plain data: for the note, and since when what changed."""

import json

from django.db import connection
from django.test.utils import CaptureQueriesContext

from charting.episodes.models import Episode
from charting.outcomes.rows import outcome_rows
from tests.charting.outcomes.conftest import activities


def test_it_tells_the_change_since_the_first_and_since_the_last_visit(course, score):
    first, second, now = course
    for visit, said in zip(course, (40, 30, 28), strict=True):
        score(visit, "odi", {"sum": said, "answered": 10})
    (row,) = outcome_rows(now, parts=["low_back"])
    assert (row["name"], row["score"], row["band"]) == ("Oswestry Disability Index", "56 %", "severe")
    assert [(each["since"], each["points"]) for each in row["changes"]] == [("first", -24), ("last", -4)]
    assert [each["when"] for each in row["changes"]] == [
        visit.started_at.isoformat() for visit in (first, second)
    ]
    assert [each["within_error"] for each in row["changes"]] == [False, True]
    assert "Within measurement error (detectable change 10 points, 90 %)" in row["changes"][1]["words"]
    rule = next(each for each in row["changes"][0]["rules"] if each["kind"] == "detectable")
    assert (rule["met"], rule["confidence"], rule["status"]) == (True, "90 %", "checked")
    assert rule["source"] and rule["population"]


def test_it_is_plain_data_and_knows_its_version(course, score):
    score(course[0], "psfs", activities(3, 5, 4))
    score(course[2], "psfs", activities(6, 7))
    score(course[2], "pgic", {"value": 2}, "impact")
    score(course[2], "peg", {"pain": 4, "activity": 3})
    rows = outcome_rows(course[2])
    assert json.loads(json.dumps(rows)) == rows
    psfs, peg, pgic = rows
    assert psfs["version"].startswith("outcomes-")
    assert psfs["changes"][0]["left_out"] == ["Sleep"]
    assert (peg["value"], peg["changes"]) == (None, [])
    assert "enjoyment" in peg["why_not"]
    assert (pgic["form"], pgic["changes"]) == ("impact", [])
    assert pgic["form_title"].startswith("1 very much better")


def test_another_complaint_is_no_beginning(course, score, anna, mara):
    other = Episode.objects.create(patient=anna, opened_at=course[0].started_at, opened_by=mara)
    course[0].episode = other
    course[0].save()
    score(course[0], "nprs", {"now": 9})
    score(course[2], "nprs", {"now": 4})
    (row,) = outcome_rows(course[2])
    assert row["changes"] == []


def test_it_takes_the_same_queries_for_one_score_as_for_many(course, score):
    score(course[2], "nprs", {"now": 4})
    outcome_rows(course[2])
    with CaptureQueriesContext(connection) as one:
        outcome_rows(course[2])
    for visit in course[:2]:
        score(visit, "nprs", {"now": 8})
        score(visit, "ndi", {"sum": 20, "answered": 10})
    score(course[2], "ndi", {"sum": 12, "answered": 10})
    with CaptureQueriesContext(connection) as many:
        assert len(outcome_rows(course[2])) == 2
    assert len(many) == len(one)

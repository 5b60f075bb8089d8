"""What the paper shows, as plain data."""

import json

import pytest

from bodymaps import atlas, figure, marks
from charting.history.models import DangerAnswer
from charting.report.content import assemble, canonical, fingerprint
from charting.report.ranked import MOST_CANDIDATES
from charting.screening.models import NeuroFinding
from charting.visits.models import Visit


@pytest.fixture
def content(visit):
    return assemble(visit, assessment=" Infraspinatus tender. ", plan="Look again.")


def test_it_is_plain_data_that_survives_json(content):
    assert json.loads(json.dumps(content)) == content


def test_it_is_the_same_at_every_reading(content, visit):
    again = Visit.objects.get(pk=visit.pk)
    assert assemble(again, assessment="Infraspinatus tender.", plan="Look again.") == content


def test_it_holds_every_step_of_the_visit(content):
    assert content["patient"]["name"] == "Anna Keller"
    assert content["patient"]["record_number"] == 1042
    assert content["story"]["complaint"] == "Pain in the front of the right shoulder."
    assert [row["answer"] for row in content["danger"]["answers"]] == ["No"] * len(
        content["danger"]["answers"]
    )
    assert content["drawing"]["drawn_by"] == ["patient"]
    assert content["screening"]["differences"] == ["Strength, wrist extensors (C6): right 4, left 5"]
    assert [consent["title"] for consent in content["consents"]] == ["Hands-on treatment"]
    assert content["assessment"] == "Infraspinatus tender."


def test_it_names_the_versions_it_was_made_with(content):
    assert content["versions"]["atlas"] == atlas.load().version
    assert content["versions"]["figure"] == figure.load().version
    assert content["versions"]["painting"] == marks.RULE
    assert content["versions"]["ranking"].startswith("ranking-")


def test_it_keeps_the_whole_ranking_beside_the_lines_that_are_printed(content):
    ranking = content["candidates"]["ranking"]
    assert len(content["candidates"]["lines"]) == MOST_CANDIDATES
    assert len(ranking["muscles"]) == MOST_CANDIDATES + content["candidates"]["not_shown"]


def test_it_describes_the_drawing_in_words(content):
    front, back = content["drawing"]["views"]
    assert "Front view of the body. Ache: " in front["words"]
    assert "Pressure or tightness" in back["words"]
    assert [kind["intensity"] for kind in content["drawing"]["key"] if kind["kind"] == "ache"] == [6]


def test_it_has_no_ranking_before_the_danger_screen_is_complete(visit):
    DangerAnswer.objects.filter(visit=visit).first().delete()
    found = assemble(visit)["candidates"]
    assert (found["is_ranked"], found["lines"], found["ranking"]) == (False, [], None)


def test_it_makes_a_path_of_each_stroke_of_a_signature(content):
    """A dot is a line to itself, or nothing of it would be printed."""
    path = content["consents"][0]["signature"]
    assert path == "M50.0 120.0L120.0 60.0L180.0 140.0M300.2 130.0L300.2 130.0"


def test_it_tells_age_and_day_by_the_clock_of_the_practice(visit):
    """23:30 UTC on 2 May is 3 May in Zurich: the birthday."""
    Visit.objects.filter(pk=visit.pk).update(started_at="2026-05-02T23:30:00Z")
    content = assemble(Visit.objects.get(pk=visit.pk))
    assert content["visit"]["when"] == "3 May 2026, 01:30 CEST (UTC+02:00, Europe/Zurich)"
    assert content["patient"]["age"] == 48


def test_it_has_another_fingerprint_when_one_grade_changes(content, visit):
    NeuroFinding.objects.filter(visit=visit, grade="4").update(grade="3")
    assert fingerprint(assemble(visit)) != fingerprint(content)


def test_it_has_the_fingerprint_that_anybody_can_recompute(content):
    import hashlib

    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert canonical(content) == text.encode()
    assert fingerprint(content) == hashlib.sha256(text.encode("utf-8")).hexdigest()

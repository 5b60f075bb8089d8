"""What was treated and what was found after it: before, after, the pattern in the drawing, and no cause."""

import re

import pytest

from bodymaps import atlas
from charting.progress.course import course_of
from charting.progress.pattern_share import drawn_of
from tests.charting.progress import courses


@pytest.fixture
def five(anna, mara):
    return courses.five(anna, mara)


@pytest.fixture
def places(five, mara):
    return course_of(mara, five[0]).places


def test_each_treatment_stands_with_pain_before_and_after_it(places):
    infra, supra = places
    assert (infra.name, infra.count) == ("Infraspinatus, right", "at 3 visits")
    assert [time.pain for time in infra.times] == ["6 to 3", "5 to 2", "4 to 2"]
    assert [time.on for time in infra.times] == ["4 May 2026", "6 May 2026", "20 May 2026"]
    assert (supra.name, supra.times[0].done, supra.times[0].pain) == ("Supraspinatus, right", "stretch", "")


def test_the_next_score_and_a_score_nobody_asked_for_are_said(places):
    assert [time.score for time in places[0].times] == ["7, then 6", "6, then 5", "5, then not asked"]


def test_the_pattern_that_is_drawn_is_told_for_this_visit_and_the_next(five, mara, places):
    """The share of the core zone that is drawn, as the ranking counts it."""
    visits = five[1]
    wide, narrow = (
        drawn_of(course_of(mara, five[0]).painted[visit.pk].marks, atlas.load())["infraspinatus", "right"]
        for visit in (visits[1], visits[2])
    )
    assert wide > narrow > 0
    assert places[0].times[1].pattern == (
        f"{round(100 * wide)} % drawn, {round(100 * narrow)} % at the next visit"
    )


def test_several_things_at_once_are_said(places):
    assert [time.beside for time in places[0].times] == [
        "nothing else treated that day",
        "one other place treated that day",
        "nothing else treated that day",
    ]


def test_no_word_claims_a_cause(five, as_mara):
    page = as_mara.get(f"/patients/{five[0].patient_id}/progress/").content.decode()
    text = re.sub(r"<[^>]*>", " ", page)
    assert "After does not mean because" in text
    without = text.replace("After does not mean because", "")
    assert not re.search(r"\b(because|due to|thanks to|caused|helped|worked|effect)\b", without)


def test_the_last_treatment_has_nothing_after_it_yet(anna, mara):
    episode = courses.an_episode(anna, mara)
    (visit,) = courses.visits(episode, mara, (0,))
    courses.pain(visit, 6)
    courses.treat(visit)
    (place,) = course_of(mara, episode).places
    assert place.times[0].score == "6; no visit since"
    assert place.times[0].pattern.endswith(" drawn; no visit since")


def test_a_muscle_the_atlas_holds_no_more_and_an_area_are_told_without_a_pattern(anna, mara):
    episode = courses.an_episode(anna, mara)
    (visit,) = courses.visits(episode, mara, (0,))
    courses.treat(visit, "own_gone")
    courses.treat(visit, "", "heat", area="low_back", side="")
    gone, area = course_of(mara, episode).places
    assert (gone.name, gone.is_muscle, gone.times[0].pattern) == ("Own gone, right", True, "")
    assert (area.is_muscle, area.times[0].pattern) == (False, "")


def test_a_visit_without_a_drawing_is_not_drawn_and_not_nothing(anna, mara):
    episode = courses.an_episode(anna, mara)
    first, last = courses.visits(episode, mara, (0, 7))
    silent = type(first).objects.create(patient=anna, clinician=mara, episode=episode)
    courses.treat(last)
    type(first).objects.filter(pk=silent.pk).update(started_at=courses.FIRST.replace(month=6))
    (place,) = course_of(mara, episode).places
    assert place.times[0].pattern.endswith("drawn, not drawn at the next visit")


def test_nothing_drawn_shares_nothing():
    assert set(drawn_of((), atlas.load()).values()) == {0.0}

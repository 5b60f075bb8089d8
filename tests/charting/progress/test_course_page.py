"""The page of the course: one axis, every measure with its values in a table, and what happened besides."""

import re

import pytest

from charting.episodes import services as episodes
from charting.episodes.models import Episode
from tests.charting.progress import courses


def address(patient) -> str:
    return f"/patients/{patient.pk}/progress/"


@pytest.fixture
def five(anna, mara):
    return courses.five(anna, mara)


@pytest.fixture
def page(five, as_mara) -> str:
    return as_mara.get(address(five[0].patient)).content.decode()


def words(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


def test_it_says_in_sentences_what_became_of_each_measure(page):
    text = words(page)
    assert "5 visits in 12 weeks, from 4 May 2026 to 29 July 2026." in text
    assert "7 to 3: 4 points less (57.1 %), better. More than measurement error" in text
    assert (
        "of the body surface: less (67 %). That is more than drawings of the same pain differ by themselves."
        in text
    )
    assert "55° more, more than error of measurement (least change 8°, 90 %)" in text


def test_a_change_within_the_error_is_called_so(anna, mara, as_mara):
    episode = courses.an_episode(anna, mara)
    for visit, average in zip(courses.visits(episode, mara, (0, 7)), (6, 5), strict=True):
        courses.pain(visit, average)
    assert "6 to 5: 1 point less (16.7 %), better. Within measurement error" in words(
        as_mara.get(address(anna)).content.decode()
    )


def test_every_drawing_stands_above_its_date_and_close_ones_are_lifted(page):
    strip = page.split("strip-title")[2].split("Reactions and missed")[0].split("Measures")[0]
    assert strip.count("<use ") == 5
    assert "pictures stand above each other" in strip
    tops = re.findall(r'<rect x="[^"]*" y="([^"]*)"', strip)
    assert len(set(tops)) == 2


def test_every_plot_has_its_words_and_its_values_in_a_table(page):
    assert page.count("<desc") == 5
    assert len(re.findall(r"<caption[^>]*>[^<]*: values</caption>", page)) == 4
    for value in ("7 of 10", "3 of 10", "185 kPa", "265 kPa", "110°", "165°"):
        assert f"<td>{value}</td>" in page
    # Two runs: three visits that follow each other, and the last alone, which no line reaches.
    assert page.split('id="plot-1-title"')[1].split("</svg>")[0].count('fill="none"') == 1


def test_reactions_and_missed_visits_stand_on_the_axis_and_in_words(page):
    text = words(page)
    assert "7 May 2026 Reaction. Bruise (mild): The size of a coin, gone after four days." in text
    assert "21 May 2026 Reaction. Reported: Sore for a day after the visit." in text
    assert "3 Jun 2026 Missed. Forgot it." in text


def test_a_day_that_was_logged_and_booked_as_missed_is_one(five, mara, as_mara):
    courses.log(five[0].patient, mara, "missed", 30, "Did not come.")
    page = as_mara.get(address(five[0].patient)).content.decode()
    assert page.count("Missed. ") == 1


def test_the_open_episode_is_shown_and_another_can_be_chosen(five, anna, mara, as_mara):
    old = Episode.objects.create(
        patient=anna, opened_at=courses.FIRST.replace(year=2024), opened_by=mara, title="Low back"
    )
    episodes.discharge(who=mara, episode=old, reason="goals", words="", summary={})
    page = as_mara.get(address(anna)).content.decode()
    assert "<h1>Progress: Right shoulder</h1>" in page
    other = as_mara.get(f"{address(anna)}?episode={old.pk}").content.decode()
    assert "<h1>Progress: Low back</h1>" in other
    assert "No visit yet in this episode" in other
    assert "Right shoulder</h1>" in as_mara.get(f"{address(anna)}?episode=nonsense").content.decode()


def test_somebody_who_was_never_here_has_no_course(anna, as_mara):
    assert "there is no course to show" in as_mara.get(address(anna)).content.decode()


def test_a_visit_of_another_episode_is_no_part_of_it(five, anna, mara, as_mara):
    other = courses.an_episode(anna, mara, title="Low back")
    (visit,) = courses.visits(other, mara, (40,))
    courses.pain(visit, 9)
    page = as_mara.get(f"{address(anna)}?episode={five[0].pk}").content.decode()
    assert "9 of 10" not in page and "5 visits" in page


def test_somebody_of_another_practice_sees_nothing(five, as_ines):
    assert as_ines.get(address(five[0].patient)).status_code == 404


def test_who_only_reads_is_offered_no_discharge(five, as_mara, as_vera):
    assert "/discharge/" in as_mara.get(address(five[0].patient)).content.decode()
    assert "/discharge/" not in as_vera.get(address(five[0].patient)).content.decode()

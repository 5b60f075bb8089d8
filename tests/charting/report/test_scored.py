"""Scores, the comparison with the last drawing and the episode in the note."""

from datetime import timedelta

import pytest

from charting.episodes.models import Episode
from charting.outcomes.models import OutcomeScore
from charting.report import pdf
from charting.report.content import assemble
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.report import cared_for, printed
from tests.charting.report.test_treated import page_of


@pytest.fixture
def followed(visit):
    """The visit as the second of an episode, with a drawing and scores in both."""
    began = visit.started_at - timedelta(days=14)
    episode = Episode.objects.create(
        patient=visit.patient, title="Right shoulder", opened_at=began, opened_by=visit.clinician
    )
    visit.episode = episode
    visit.save()
    last = cared_for.before(visit)
    Visit.objects.filter(pk=last.pk).update(signed_at=None)
    recorded.draw(Visit.objects.get(pk=last.pk), recorded.SHOULDER_ACHE, recorded.NECK_PRESSURE)
    for at, average, disability in ((last, 6, 20), (visit, 5, 8)):
        OutcomeScore.objects.create(visit=at, instrument="nprs", answers={"average": average})
        total = {"sum": disability, "answered": 10}
        OutcomeScore.objects.create(visit=at, instrument="ndi", answers=total)
    return visit


def test_a_score_stands_with_its_change_both_rules_their_sources_and_the_error_of_measurement(followed):
    """Farrar et al. 2001 (Pain 94:149, read in the abstract): 2 points and 30 % on a scale of 0 to 10."""
    content = assemble(followed)
    whole = " ".join(printed.pages(pdf.render(content, paper="a4")))
    nprs, ndi = content["scores"]
    day = content["scores"][0]["changes"][0]["day"]
    for words in (
        "Scores",
        f"Since {day} (first): {nprs['changes'][0]['said']}.",
        "1 point less (16.7 %)",
        "Important change not reached: 2 points [",
        ", 30 % [",
        ndi["score"],
        f"{ndi['band']}",
    ):
        assert words in whole, words
    assert any("Farrar" in source for source in content["sources"])
    assert nprs["changes"][0]["elsewhere"]
    assert not any(told in whole for told in nprs["changes"][0]["elsewhere"])
    assert nprs["changes"][0]["elsewhere"][0] in page_of(content)


def test_it_says_of_which_episode_it_is_and_which_visit_of_it(followed):
    content = assemble(followed)
    assert content["episode"]["number"] == 2
    words = f"About: Right shoulder, visit 2 since {content['episode']['since']}"
    assert words in printed.pages(pdf.render(content, paper="a4"))[0]


def test_the_drawing_is_compared_with_the_last_one(followed):
    compared = assemble(followed)["compared"]
    shown = page_of(assemble(followed))
    assert f"Since the drawing of {compared['before']}: " in shown
    for words in (*compared["sentences"], compared["likeness"]):
        assert words in shown, words


def test_without_any_of_it_nothing_is_said_of_it(visit):
    content = assemble(visit)
    assert (content["scores"], content["compared"]) == ([], None)
    shown = page_of(content)
    assert "Scores" not in shown and "Since the drawing" not in shown

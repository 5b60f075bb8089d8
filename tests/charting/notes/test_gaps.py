"""What the hand left open is warned about before signing; a conclusion is an assessment."""

import pytest

from charting.notes import services
from charting.notes.models import NoteText
from charting.notes.queries import gaps_in, recorded_in
from charting.notes.services import NotSigned
from tests.charting import recorded
from tests.charting.recorded import PASSWORD, as_read

EMPTY = "The assessment is empty: neither a conclusion about an area nor words of your own."


@pytest.fixture
def wordless(visit):
    NoteText.objects.filter(visit=visit).update(assessment="")
    return visit


def test_a_conclusion_without_further_words_is_enough_to_sign(wordless, mara, quick_paper):
    assert gaps_in(recorded_in(wordless)).stops == (EMPTY,)
    recorded.conclude(wordless)
    assert gaps_in(recorded_in(wordless)).stops == ()
    assert services.sign(who=mara, visit=wordless, password=PASSWORD, read=as_read(wordless)).pk


def test_a_conclusion_that_says_nothing_is_none(wordless, mara):
    conclusion = recorded.conclude(wordless)
    conclusion.sources, conclusion.sentences = [], []
    conclusion.save()
    with pytest.raises(NotSigned, match="assessment is empty"):
        services.sign(who=mara, visit=wordless, password=PASSWORD, read=as_read(wordless))


def test_it_warns_of_muscles_not_examined_and_of_those_examined_in_part(visit):
    before = gaps_in(recorded_in(visit)).warnings
    recorded.feel(visit)
    after = gaps_in(recorded_in(visit)).warnings
    assert set(after) - set(before) == {
        "On the list of muscles and not examined: 10 Teres minor, right.",
        "Muscles are examined in part only: 5 Trapezius, descending part, right.",
    }


def test_it_warns_of_a_conclusion_about_an_area_that_is_gone(visit):
    conclusion = recorded.conclude(visit)
    assert not any("conclusion" in warning for warning in gaps_in(recorded_in(visit)).warnings)
    conclusion.strokes = ["11111111-1111-4111-8111-111111111111"]
    conclusion.save()
    said = f"A conclusion is about an area that is not in the drawing any more: {conclusion.where}."
    assert said in gaps_in(recorded_in(visit)).warnings

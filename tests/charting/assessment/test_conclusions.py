"""What was concluded, as the note reads it: by area, whatever became of the areas since."""

import uuid

import pytest

from charting.assessment.models import Conclusion
from charting.assessment.queries import conclusions
from charting.candidates.queries import ranked
from charting.drawing.services import save_events


def written(visit, area=None, text="Active trigger point.", **more):
    strokes = list(area.strokes) if area else []
    where = f"Area {area.number}, {area.where}" if area else ""
    sentences = [{"key": "own:1", "about": "own", "text": text}]
    said = {"strokes": strokes, "where": where, "sentences": sentences, **more}
    return Conclusion.objects.create(visit=visit, **said)


def take_back(visit, strokes):
    first = ranked(visit).kept.last_seq + 1
    sent = [
        {"type": "withdraw", "id": str(uuid.uuid4()), "seq": seq, "strokes": [stroke]}
        for seq, stroke in enumerate(strokes, first)
    ]
    outcome = save_events(who=visit.clinician, visit=visit, drawn_by="clinician", sent=sent)
    assert not outcome.refused, outcome.refused


@pytest.fixture
def areas(visit):
    found = ranked(visit).areas
    assert len(found) > 1
    return found


def test_it_tells_each_area_by_its_number_and_the_whole_after_them(visit, areas):
    written(visit, text="Of the whole.")
    written(visit, areas[1], text="Of the second.")
    told = conclusions(visit, ranked(visit))
    assert [(each.number, each.sentences[0].text) for each in told] == [
        (2, "Of the second."),
        (0, "Of the whole."),
    ]
    assert told[0].where.startswith("Area 2, ")


def test_it_says_sources_with_side_and_certainty_in_words(visit, areas):
    infra = {
        "layer": "muscle",
        "id": "infraspinatus",
        "side": "left",
        "certainty": "likely",
        "name": "Infraspinatus",
    }
    root = {"layer": "root", "id": "C6", "side": "left", "certainty": "ruled_out", "name": "Nerve root C6"}
    written(visit, areas[0], sources=[infra, root])
    (told,) = conclusions(visit, ranked(visit))
    assert [source.words for source in told.sources] == [
        "Infraspinatus, left: likely",
        "Nerve root C6, left: ruled out by examination",
    ]
    assert [source.excludes for source in told.sources] == [False, True]


def test_it_leaves_out_what_was_taken_out_and_what_is_empty(visit, areas):
    out = {"key": "felt:x", "about": "source", "text": "Was here.", "made_from": "Was here.", "out": True}
    written(visit, areas[0], sentences=[out])
    assert conclusions(visit, ranked(visit)) == ()


def test_it_loses_nothing_when_the_area_is_taken_back(visit, areas):
    row = written(visit, areas[1])
    take_back(visit, areas[1].strokes)
    (told,) = conclusions(visit, ranked(visit))
    assert (told.number, told.is_gone, told.where) == (0, True, row.where)
    assert told.about("own") == ("Active trigger point.",)
    Conclusion.objects.update(left_out=True)
    assert conclusions(visit, ranked(visit)) == ()

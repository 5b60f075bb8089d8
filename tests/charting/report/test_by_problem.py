"""The note by problem: what its sentences say, and what nobody can edit away.

That subjective is what is told, objective what is measured and found, then assessment and plan: common
practice (problem-oriented record, Weed LL, N Engl J Med 1968;278:593-600 and 652-657, from memory).
"""

import json

import pytest

from charting.history.models import Story
from charting.report import pdf, soap
from charting.report.content import assemble
from charting.report.sentences import Edit
from charting.report.soap import Written, assembled
from charting.screening.models import NeuroFinding
from tests.charting import recorded
from tests.charting.report import full, heavy, printed


def sentences(visit):
    return {one.key: one for one in assembled(assemble(visit))}


def keys_of(content):
    return [
        one["key"]
        for section in content["soap"]["sections"]
        for part in section["parts"]
        for one in part["sentences"]
    ]


def test_a_visit_with_nothing_recorded_has_no_sentence(blank):
    assert assembled(assemble(blank)) == ()


def test_what_was_not_recorded_has_no_sentence(visit):
    before = sentences(visit)
    assert "neuro.reflex" in before
    NeuroFinding.objects.filter(visit=visit, item__startswith="reflex").delete()
    Story.objects.filter(visit=visit).update(history="")
    assert set(before) - set(sentences(visit)) == {"neuro.reflex", "story.history"}


def test_a_side_that_was_not_tested_is_said_to_be_so(visit):
    NeuroFinding.objects.filter(visit=visit, item="strength:C6", side="left").update(grade="NT")
    assert "Wrist extensors (C6) right 4, left not tested" in sentences(visit)["neuro.strength"].words
    NeuroFinding.objects.filter(visit=visit, item="strength:C6", side="left").delete()
    assert "Wrist extensors (C6) right 4, left not recorded" in sentences(visit)["neuro.strength"].words


def test_no_two_sentences_have_the_same_key(visit):
    made = heavy.heavy_visit(visit)
    recorded.treat(made, "pressure", "teres_minor.right", minutes=3)
    keys = keys_of(assemble(made))
    assert len(keys) == len(set(keys)) > 30


def test_the_same_record_gives_the_same_sentences_whatever_the_order_of_its_data(visit):
    recorded.hands_on(visit)
    content = assemble(visit)
    assert assembled(json.loads(json.dumps(content, sort_keys=True))) == assembled(content)


def test_a_changed_sentence_is_printed_and_below_what_was_recorded(visit):
    edits = {"story.history": Edit("Six weeks.", "For six weeks, after painting.")}
    written = Written(edits=edits, sections={"story.history": "subjective"})
    whole = " ".join(printed.pages(pdf.render(assemble(visit, written=written), paper="a4")))
    told, below = whole.split("What was recorded")
    assert "For six weeks, after painting." in told
    assert "Six weeks." not in told
    assert "put 1 in other words and left 0 out" in below
    assert "Six weeks." in below


def test_what_stands_above_word_for_word_is_not_printed_again(visit):
    whole = " ".join(printed.pages(pdf.render(assemble(visit), paper="a4")))
    assert whole.count("Six weeks.") == 1


@pytest.fixture
def grave(visit):
    """A sign of danger that was decided, a stop gone past, a consent taken back, a reaction."""
    made = heavy.heavy_visit(visit)
    full.say(made, chest="yes")
    (flag, *_) = assemble(made)["danger"]["flags"]
    full.decide(made, flag["id"])
    return made


def test_leaving_every_sentence_out_leaves_what_nobody_edits(grave):
    """Danger signs with their decisions, overrides, needles, consents taken back, reactions."""
    every = assembled(assemble(grave))
    written = Written(
        edits={one.key: Edit(one.words, "", taken_out=True) for one in every},
        sections={one.key: one.section for one in every},
    )
    content = assemble(grave, written=written)
    assert content["soap"]["taken_out"] == len(every)
    told = " ".join(printed.pages(pdf.render(content, paper="a4"))).split("What was recorded")[0]
    for words in (
        f"{content['danger']['flags'][0]['title']}. {content['danger']['flags'][0]['level_words']}.",
        "Pain with effort for two weeks, none now.",
        "Heart: yes.",
        "A stop before needling was gone past: Takes a blood thinner",
        "Needles in and out differed",
        "Needles: 3 in, 2 out",
        "Consent taken back on",
        "Bruise",
        "Told what to watch for after needling.",
    ):
        assert words in told, words
    assert not any(
        one.words in told for one in every if one.key.startswith(("story", "ranges", "treatment."))
    )


@pytest.mark.parametrize(("paper", "most"), [("a4", 4), ("letter", 5)])
def test_the_longest_note_takes_few_pages_and_the_problem_the_first_two(visit, signature, paper, most):
    """Five pages in the order of recording, on both papers (visit-note-5, measured)."""
    content = assemble(heavy.heavy_visit(visit))
    pages = printed.pages(pdf.render(content, paper=paper, signed=signature, sha256="5c" * 32))
    assert len(pages) <= most
    assert "What was recorded" in pages[1]


def test_a_plain_visit_takes_two_pages(visit, signature):
    content = assemble(visit, assessment="Infraspinatus tender.", plan="Look again.")
    assert len(printed.pages(pdf.render(content, paper="a4", signed=signature, sha256="5c" * 32))) == 2


def test_every_part_has_a_name_for_its_sentences(visit):
    parts = {soap.part_of(key) for key in keys_of(assemble(heavy.heavy_visit(visit)))}
    assert parts <= set(soap.PARTS)

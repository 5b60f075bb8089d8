"""Signs of danger in the note: as they stood, with what was decided, or plainly undecided."""

import pytest

from bodymaps.reasoning import flag_rules
from charting.flags.queries import state_of
from charting.notes import services
from charting.notes.queries import gaps_in
from charting.report import pdf
from charting.report.content import assemble
from tests.charting.recorded import PASSWORD, as_read
from tests.charting.report import full, printed

HEART = "heart"


def on_paper(content, paper="a4"):
    return " ".join(printed.pages(pdf.render(content, paper=paper)))


@pytest.fixture
def raised(visit):
    full.say(visit, chest="yes")
    return visit


@pytest.fixture
def flag(raised):
    return next(flag for flag in state_of(raised).flags if flag.id == HEART)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_an_undecided_sign_is_said_to_be_so_with_its_level_and_what_to_do(raised, flag, paper):
    content = assemble(raised)
    whole = on_paper(content, paper)
    for words in (f"{flag.title}. {flag.level_words}.", flag.action, "Not decided when this was written."):
        assert words in whole, words
    assert (
        f"{flag.title} ({flag.level_words}): not decided"
        in printed.pages(pdf.render(content, paper=paper))[0]
    )


def test_while_it_is_undecided_no_muscle_stands_in_the_note(raised):
    found = assemble(raised)["candidates"]
    assert (found["is_held"], found["lines"], found["ranking"], found["weighed"]) == (True, [], None, None)
    assert "Muscles are held back" in on_paper(assemble(raised))


def test_a_decision_is_printed_with_everything_that_belongs_to_it(raised, flag):
    full.decide(raised, HEART)
    whole = on_paper(assemble(raised))
    for words in (
        "Spoken with a physician; to be seen as agreed. Pain with effort for two weeks, none now.",
        "Called: Dr. Lang, on call, ",
        "Advised: To call the emergency number with pain at rest. The patient says: understood.",
        "Follow up on ",
        "Decided by Mara Steiner, ",
    ):
        assert words in whole, words
    assert "Not decided when this was written" not in whole
    assert assemble(raised)["candidates"]["lines"]


def test_a_sign_may_be_open_at_signing_but_never_without_a_word(raised, mara, flag):
    """It is warned about before, printed in the note, and named with its level in the frozen record."""
    assert any(flag.title in warning for warning in gaps_in(assemble(raised)).warnings)
    note = services.sign(who=mara, visit=raised, password=PASSWORD, read=as_read(raised))
    assert note.content["danger"]["flags"][0]["is_open"]
    stored = bytes(note.papers.get(paper="a4").pdf)
    assert "Not decided when this was written." in " ".join(printed.pages(stored))


def test_what_was_asked_on_and_what_was_not_is_printed_in_lines(visit):
    full.say(visit, chest_now="no", chest_effort="no", heart_known="unsure")
    content = assemble(visit)
    whole = on_paper(content)
    assert "Asked on. Not sure: Known heart or artery disease." in whole
    left = {one["title"]: len(one["labels"]) for one in content["danger"]["to_ask"]}
    assert left["Heart"] == 2
    assert "Called for by drawing or answers, and not answered: " in whole
    assert "Heart (2)" in whole
    assert any("Heart (2)" in warning for warning in gaps_in(content).warnings)


def test_a_sign_to_watch_is_short(visit):
    """Wrist extensors of grade 4: it asks for attention, not for a decision."""
    watch = assemble(visit)["danger"]["watch"]
    assert [flag["id"] for flag in watch] == ["progressive_deficit"]
    assert f"{watch[0]['title']}. {watch[0]['because']}" in on_paper(assemble(visit))
    assert assemble(visit)["danger"]["flags"] == []


def test_a_plain_no_takes_a_line_and_everything_else_its_question(raised):
    danger = assemble(raised)["danger"]
    assert [row["topic"] for row in danger["spoken"]] == ["Heart"]
    assert len(danger["noes"]) == len(danger["answers"]) - 1
    assert danger["spoken"][0]["question"] in on_paper(assemble(raised))


def test_it_keeps_the_versions_of_the_rules(raised):
    versions = assemble(raised)["versions"]
    assert versions["flags"] == flag_rules.flags().version
    assert all(
        versions[name] for name in ("questions", "tests", "asked", "evidence", "clusters", "nerve_signs")
    )

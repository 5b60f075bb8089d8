"""What a letter says is on record and no more: no unsigned visit, no cause, nothing left out of a note."""

import pytest

from charting.letters import content
from charting.letters.gathered import gather
from charting.letters.needs import needs_of, text_of
from charting.notes.models import NoteText, SignedNote
from charting.visits.models import Visit
from tests.charting.letters import told

CAUSAL = (
    "because",
    "due to",
    "caused",
    "thanks to",
    "as a result",
    "worked",
    "helped",
    "led to",
    "therefore",
)


@pytest.fixture
def assembled(write, mara):
    def make(kind):
        letter = write(kind)
        return content.assemble(gather(mara, letter.episode), letter)

    return make


def test_it_tells_what_each_reader_asks_for(assembled):
    report, letter, summary = (assembled(kind) for kind in ("progress", "referrer", "summary"))
    assert [one["id"] for one in report["sections"]] == [
        "reason",
        "course",
        "goals",
        "found",
        "treatment",
        "plan",
    ]
    for said in ("Alpenrose Insurance", "12-345-6", "C-2026-881", "5 of 9 visits used", "50 %"):
        assert said in str(report["insurer"]), said
    assert [one["code"] for one in report["codes"]] == ["M79.18", "M25.511"]
    assert "Lift my child again." in text_of(report) and "Two more visits, then on her own." in text_of(
        report
    )
    days = {one["technique"]: one["days"] for one in report["treatments"]}
    assert days == {"Manual pressure": ["4 May 2026", "6 May 2026", "20 May 2026"], "Stretch": ["6 May 2026"]}
    assert "Thank you for your referral of 28 April 2026 about right shoulder." in text_of(letter)
    assert letter["to"] == {"name": "Dr. Ida Brunner", "address": "Lake Street 9\n8400 Winterthal"}
    assert "You gave your pain on most days 7 out of 10 at first. The last time it was 3." in text_of(summary)
    assert summary["codes"] == summary["insurer"] == []


def test_it_holds_a_change_against_what_is_published(assembled):
    """Detectable change of the mean of activities: 2 points, 90 % (Stratford 1995, checked); 3 to 7 does."""
    report = assembled("progress")
    row = next(one for one in report["measures"] if one["key"] == "psfs")
    assert (row["first"]["words"], row["last"]["words"]) == ("3 of 10", "7 of 10")
    said = {group["said"]: group["rules"] for group in row["judged"]}
    (rule,) = said["Detectable change reached"]
    assert rule["size"] == "2 points (90 %)"
    assert "Stratford" in report["sources"][rule["number"] - 1]
    assert "checked" in report["sources"][rule["number"] - 1]


def test_it_says_where_a_figure_comes_from_when_it_is_not_this_part_of_the_body(assembled):
    """No detectable change of the pain rating is known for the shoulder; that of activities is for any."""
    words, plain = text_of(assembled("referrer")), text_of(assembled("summary"))
    assert "More than measurement error by figures found for other parts of the body." in words
    assert "In other parts of the body, that is more than such a number goes up and down by itself." in plain
    assert "Taken together: that is more than such a number goes up and down by itself." in plain


def test_it_says_nothing_of_a_cause(assembled):
    for kind in ("progress", "referrer", "summary"):
        words = text_of(assembled(kind)).lower()
        assert [word for word in CAUSAL if word in words] == [], kind


def test_it_holds_nothing_of_a_visit_that_is_not_signed(write, episode, mara, assembled):
    letter = write("progress")
    visit = Visit.objects.create(patient=episode.patient, clinician=mara, episode=episode)
    NoteText.objects.create(visit=visit, assessment="Not to be seen.", plan="Nor this.")
    told.courses.treat(visit, "biceps_brachii")
    made = content.assemble(gather(mara, letter.episode), letter)
    assert "Not to be seen." not in str(made) and "Nor this." not in str(made)
    assert "Biceps" not in str(made["treatments"])
    words = [one.words for one in needs_of(gather(mara, letter.episode), made).asked]
    assert any("is not signed: nothing of it stands here." in each for each in words)


def test_it_tells_a_reaction_to_treatment_of_an_unsigned_visit_all_the_same(write, episode, mara):
    letter = write("progress")
    visit = Visit.objects.create(patient=episode.patient, clinician=mara, episode=episode)
    told.courses.react(visit)
    made = content.assemble(gather(mara, letter.episode), letter)
    assert text_of(made).count("Bruise (mild)") == 2


def test_it_keeps_to_what_was_changed_or_taken_out_of_the_note(write, mara, episode):
    """A sentence that the clinician took out of the signed note does not come back in a letter."""
    note = SignedNote.objects.get(visit__episode=episode, visit__story=None, content__plan__gt="")
    section = next(one for one in note.content["soap"]["sections"] if one["id"] == "assessment")
    (part,) = (one for one in section["parts"] if one["id"] == "conclusions")
    out, changed = part["sentences"][1], part["sentences"][2]
    out["taken_out"], changed["words"] = True, "C6 was normal in strength."
    letter = write("referrer")
    found = gather(mara, letter.episode)
    found.notes[note.visit_id].content = note.content
    words = text_of(content.assemble(found, letter))
    assert "Pressing brings on the known pain." not in words
    assert "C6 was normal in strength." in words and "Spurling" not in words


def test_it_names_places_and_sources_in_plain_words(assembled):
    """No muscle of the atlas, no root and no technique by its name of the trade (common practice)."""
    words = text_of(assembled("summary")).lower()
    assert "a muscle near your right shoulder plays a part in your pain" in words
    for name in ("infraspinatus", "supraspinatus", "c6", "manual pressure", "nprs", "measurement error"):
        assert name not in words, name

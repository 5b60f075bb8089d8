"""A note signed before there were areas and layers keeps its bytes, its fingerprint and its page."""

import json
from pathlib import Path

import pytest
from django.template.loader import render_to_string

from charting.notes.pages import figures_of
from charting.report import content, pdf
from charting.report.code import code_of
from tests.charting.report import printed

FILE = Path(__file__).parent / "visit-note-1.json"
# As it was computed when the note was made.
SHA256 = "aa5ea9208a4b1028631faa86492ee3b8654a158f94f8007a2ab96dcb685a39d0"


@pytest.fixture
def old():
    return json.loads(FILE.read_text(encoding="utf-8"))


def test_it_still_has_the_fingerprint_it_was_signed_with(old):
    assert old["format"] == "visit-note-1" != content.FORMAT
    assert content.fingerprint(old) == SHA256


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_is_printed_as_it_was(old, signature, paper):
    whole = " ".join(printed.pages(pdf.render(old, paper=paper, signed=signature, sha256=SHA256)))
    for words in (
        *old["drawing"]["sentences"],
        "Ache 6 of 10",
        f"{old['drawing']['surface_percent']} % of the body surface.",
        "Drawn by: patient.",
        old["candidates"]["lines"][0]["words"],
        "right 4, left 5",
    ):
        assert words in whole, words
    assert "Area" not in whole
    assert "The whole" not in whole


def test_its_page_shows_the_same(old):
    context = {"note": old, "figures": figures_of(old), "with_words": True}
    shown = render_to_string("notes/_recorded.html", context)
    assert old["drawing"]["sentences"][0] in shown
    assert "Drawn by: patient." in shown
    assert "data-badge" not in shown
    assert 'class="told"' not in shown


# Signed when areas and layers were there, but no graded signs of danger, story in answers, or evidence.
SECOND = Path(__file__).parent / "visit-note-2.json"
SECOND_SHA256 = "c30bdb646804ee72d37ac2ef6fc485d25ee58869b91220094873173a2a92e7c2"


@pytest.fixture
def second():
    return json.loads(SECOND.read_text(encoding="utf-8"))


def test_the_second_format_still_has_the_fingerprint_it_was_signed_with(second):
    assert second["format"] == "visit-note-2" != content.FORMAT
    assert content.fingerprint(second) == SECOND_SHA256


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_second_format_is_printed_with_all_it_has(second, signature, paper):
    whole = " ".join(printed.pages(pdf.render(second, paper=paper, signed=signature, sha256=SECOND_SHA256)))
    for words in (
        "Danger screen: Cancer: not sure",
        f"Not decided about when this was written: {second['danger']['undecided'][0]}.",
        second["danger"]["answers"][0]["question"],
        second["candidates"]["lines"][0]["words"],
        "Area 2 alone",
        second["candidates"]["areas"][1]["lines"][0]["words"],
        "starts after area 1",
        "First neuro screen",
        "right 4, left 5",
    ):
        assert words in whole, words
    for words in ("Stays with the person", "evidence", "Sources", "Danger signs"):
        assert words not in whole, words


def test_the_page_of_the_second_format_shows_the_same(second):
    context = {"note": second, "figures": figures_of(second), "with_words": True}
    shown = render_to_string("notes/_recorded.html", context)
    assert second["danger"]["alarms"][0]["what_to_do"] in shown
    assert "The order with evidence" not in shown


# Signed when there was no examination by hand in it, and no conclusion.
THIRD = Path(__file__).parent / "visit-note-3.json"
THIRD_SHA256 = "dacc2f0a9f03c7827a454177d4eb80c60815741d019eb6d4d1473f1de43ff5db"


@pytest.fixture
def third():
    return json.loads(THIRD.read_text(encoding="utf-8"))


def test_the_third_format_still_has_the_fingerprint_it_was_signed_with(third):
    assert third["format"] == "visit-note-3" != content.FORMAT
    assert content.fingerprint(third) == THIRD_SHA256


def test_the_third_format_is_printed_with_all_it_has_and_nothing_that_came_later(third, signature):
    whole = " ".join(printed.pages(pdf.render(third, paper="a4", signed=signature, sha256=THIRD_SHA256)))
    for words in (
        third["danger"]["flags"][0]["action"],
        third["danger"]["flags"][0]["differs"][0],
        third["candidates"]["lines"][0]["words"],
        "The order with evidence",
        *(" ".join(group["examine"]) for group in third["candidates"]["weighed"]["same_areas"]),
        "Area 3 alone",
        "Sides differ:",
        third["sources"][-1],
    ):
        assert words in whole, words
    for words in ("Muscles, examined by hand", "Conclusions", "Joint tests", "Range of joints"):
        assert words not in whole, words


# Signed when each consent was printed whole, and there was no treatment and no score in it.
FOURTH = Path(__file__).parent / "visit-note-4.json"
FOURTH_SHA256 = "58dc0340f8c4196c343be6274e755217e70c16a5159cdb064bd714cf836f9bec"


@pytest.fixture
def fourth():
    return json.loads(FOURTH.read_text(encoding="utf-8"))


def test_the_fourth_format_still_has_the_fingerprint_it_was_signed_with(fourth):
    assert fourth["format"] == "visit-note-4" != content.FORMAT
    assert content.fingerprint(fourth) == FOURTH_SHA256


def test_the_fourth_format_is_printed_with_the_words_of_its_consents_and_nothing_that_came_later(
    fourth, signature
):
    whole = " ".join(printed.pages(pdf.render(fourth, paper="a4", signed=signature, sha256=FOURTH_SHA256)))
    for words in (fourth["consents"][0]["body"].split("\n\n")[0], "Muscles, examined by hand", "Conclusions"):
        assert " ".join(words.split()) in whole, words
    for words in ("Treatment Where", "No treatment is recorded", "Text SHA-256", "Scores", "Episode"):
        assert words not in whole, words


# Signed when a note was printed in the order in which it was recorded, with no sentences before it.
FIFTH = Path(__file__).parent / "visit-note-5.json"
FIFTH_SHA256 = "6ad143a0ac2fd6dca3d3c09beb191fa872a233fb13b2200eef7297aaf60c0a8c"


def test_the_fifth_format_still_has_the_fingerprint_it_was_signed_with():
    fifth = json.loads(FIFTH.read_text(encoding="utf-8"))
    assert fifth["format"] == "visit-note-5"
    assert content.fingerprint(fifth) == FIFTH_SHA256


# Signed when the foot of a page told the beginning of the hash alone, and no code.
SIXTH = Path(__file__).parent / "visit-note-6.json"
SIXTH_SHA256 = "9c40b0374bf47d8ffef088c0206e5cc6b0f6a3f33ca27da7f335f4d1db74de40"


def test_the_sixth_format_still_has_the_fingerprint_it_was_signed_with():
    sixth = json.loads(SIXTH.read_text(encoding="utf-8"))
    assert sixth["format"] == "visit-note-6" != content.FORMAT
    assert content.fingerprint(sixth) == SIXTH_SHA256


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_since_the_seventh_every_page_tells_hash_and_code_at_its_foot(signature, paper):
    sixth = json.loads(SIXTH.read_text(encoding="utf-8"))
    for name, has_code in (("visit-note-6", False), ("visit-note-7", True)):
        note = {**sixth, "format": name}
        made = pdf.render(note, paper=paper, signed=signature, sha256=SIXTH_SHA256)
        feet = [f"Code {code_of(SIXTH_SHA256)}, note SHA-256 {SIXTH_SHA256}" in " ".join(page.split())
                for page in printed.pages(made)]  # fmt: skip
        assert len(feet) >= 2 and feet == [has_code] * len(feet)

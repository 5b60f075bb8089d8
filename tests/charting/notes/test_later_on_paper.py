"""What was written afterwards, on paper: each kind by its name, its days apart, and named on the first page.

The items: Medicare Program Integrity Manual, chapter 3, section 3.3.2.5 (marked, dated, with author; the
original whole), checked. An addendum of the time of one kind stands below as that release printed it.
"""

import json
import re
from datetime import UTC, datetime
from html import unescape

import pytest
from django.template.loader import render_to_string

from charting.report import pdf
from charting.report.papers import Added, Signature
from tests.charting.notes.kept import STORED
from tests.charting.report import printed

WHEN = "28 November 2026, 14:05 CET (UTC+01:00, Europe/Zurich)"
DAY = "14 November 2026"
OLD = Added(1, "Tom Berg", "Physiotherapist", WHEN, "Better now.")
NEW = (
    Added(1, "Tom Berg", "", WHEN, "Left out.", "late", "Late entry", DAY),
    Added(2, "Tom Berg", "", WHEN, "No tear.", "addendum", "Addendum", DAY, "20 November 2026"),
    Added(3, "Tom Berg", "", WHEN, "Right.", "correction", "Correction", DAY, "", "It was wrong."),
    Added(
        4,
        "Tom Berg",
        "",
        WHEN,
        "Stands.",
        "amendment",
        "Amendment",
        DAY,
        "",
        "",
        "Anna Keller on 1 March 2026",
    ),
)
THEN = (
    "Addenda Written after the note was signed. The note before this page stands as it was signed. "
    "Addendum 1 Better now. "
    f"Tom Berg, Physiotherapist, {WHEN}. Meaning: author of the addendum."
)


def words_of(piece, addenda):
    only = all(each.kind == "addendum" for each in addenda)
    html = render_to_string(f"report/{piece}.html", {"addenda": addenda, "only_addenda": only})
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_an_addendum_of_before_is_printed_as_it_was():
    assert words_of("_addenda", [OLD]) == THEN
    assert words_of("_afterwards", [OLD]) == ""


def test_each_kind_is_printed_with_its_name_and_both_days():
    words = words_of("_addenda", NEW)
    days = f"Day of the visit: {DAY}. Entered: {WHEN}."
    for name, said in (
        ("Late entry 1", f"{days} Left out. Tom Berg. Meaning: author of the late entry."),
        ("Addendum 2", f"{days} New information of 20 November 2026. No tear. Tom Berg."),
        ("Correction 3", f"{days} Wrong in the note: It was wrong. Right is: Right. Tom Berg."),
        ("Amendment 4", f"{days} Asked for by Anna Keller on 1 March 2026. Stands. Tom Berg."),
    ):
        assert f"{name} {said}" in words


def test_the_first_page_says_that_there_is_more():
    named = "Late entry 1 (28 November 2026); Addendum 2 (28 November 2026); Correction 3 (28 November 2026)"
    assert named in words_of("_afterwards", NEW)


@pytest.fixture(scope="module")
def paper():
    at = datetime(2026, 11, 14, 9, tzinfo=UTC)
    signed = Signature("Lea Brun", "Physiotherapist", "", "author (trainee)", at, "Europe/Zurich")
    cosigned = Signature("Mara Steiner", "Physiotherapist", "PT 4711", "co-signer", at, "Europe/Zurich")
    content = json.loads(STORED.read_text(encoding="utf-8"))
    return pdf.render(content, paper="a4", signed=signed, sha256="a" * 64, addenda=NEW, cosigned=cosigned)


def test_it_is_tagged_and_keeps_to_our_typeface(paper):
    assert printed.catalog(paper).is_tagged and printed.catalog(paper).claims_ua
    assert all(name.startswith("Atkinson-Hyperlegible-Next") for name in printed.fonts(paper))
    assert [kind for kind, _ in printed.tags(paper)].count("/H2") > len(NEW)


def test_person_and_both_signatures_stand_on_every_page(paper):
    pages = printed.pages(paper)
    for number, page in enumerate(pages, 1):
        assert "Anna Keller" in page and f"Page {number} of {len(pages)}" in page
        assert "Signed by Lea Brun" in page and "Co-signed by Mara Steiner" in page
    assert "Correction 3" in pages[0] and "Correction 3" in pages[-1]

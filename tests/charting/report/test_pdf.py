"""The visit on paper, read back from the PDF itself."""

import re

import pytest

from charting.report import pdf
from charting.report.code import code_of
from charting.report.content import CAUTION
from charting.report.papers import Added
from tests.charting.report import printed
from tests.charting.report.conftest import SHA256


def test_it_prints_every_step_of_the_visit(signed):
    whole = " ".join(printed.pages(signed))
    for words in (
        "Lindenhof Practice",
        "Alder Lane 4",
        "Pain in the front of the right shoulder.",
        "Front view",
        "Back view",
        "Ache 6 of 10",
        "Infraspinatus",
        "explains area 1",
        "Consider a nerve root (right C6)",
        "right 4, left 5",
        "Hands-on treatment",
        "Infraspinatus tender.",
        "Look again in ten days.",
        "Patient's right",
        "Patient's left",
    ):
        assert words in whole, words


def test_it_prints_patient_and_page_on_every_page(signed, draft):
    for made in (signed, draft):
        pages = printed.pages(made)
        assert len(pages) >= 2
        for number, page in enumerate(pages, 1):
            assert "Anna Keller" in page
            assert "born 3 May 1978" in page
            assert "record 1042" in page
            assert f"Page {number} of {len(pages)}" in page
            assert CAUTION in page


def test_it_says_draft_on_every_page_until_it_is_signed(draft, signed):
    assert all("Draft - not signed" in page for page in printed.pages(draft))
    assert not any("Draft" in page for page in printed.pages(signed))


def test_it_prints_who_signed_as_what_and_when(signed):
    """Name, date and time, and meaning of the signature: 21 CFR 11.50."""
    pages = printed.pages(signed)
    assert "Mara Steiner, Physiotherapist, registration PT 4711" in pages[-1]
    assert "Meaning of the signature: author" in pages[-1]
    assert "25 November 2026, 14:05 CET (UTC+01:00, Europe/Zurich)" in pages[-1]
    assert f"Note SHA-256 {SHA256}" in pages[-1]
    assert all(f"Code {code_of(SHA256)}, note SHA-256 {SHA256}" in page for page in pages)


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (216, 279))])
def test_it_fits_both_papers(content, paper, size):
    assert printed.size_mm(pdf.render(content, paper=paper)) == size


def test_it_refuses_a_paper_it_does_not_know(content):
    with pytest.raises(KeyError):
        pdf.render(content, paper="a5")


def test_it_is_a_tagged_pdf_with_title_and_language(signed, content):
    assert printed.catalog(signed) == printed.Catalog("en", is_tagged=True, shows_title=True, claims_ua=True)
    assert printed.title(signed) == f"Visit note: Anna Keller, {content['visit']['day']}"


def test_it_says_draft_in_the_title_of_a_draft(draft):
    assert printed.title(draft).endswith("(draft, not signed)")


def test_it_says_what_each_figure_shows(signed):
    alts = [alt for kind, alt in printed.tags(signed) if kind == "/Figure"]
    assert all(alts)
    assert any(re.match("Front view of the body. Ache: .*shoulder", alt) for alt in alts)
    assert any(re.match("Back view of the body. Pressure or tightness: .*neck", alt) for alt in alts)
    assert "Signature of Anna Keller" in alts


def test_it_tags_headings_tables_and_their_heads(whole):
    kinds = [kind for kind, _ in printed.tags(pdf.render(whole, paper="a4"))]
    # The note, and the record it was written from.
    assert kinds.count("/H1") == 2
    assert kinds.count("/H2") >= 12
    # Muscles, ranges, tests of joints; one that runs over a page counts twice.
    assert kinds.count("/Table") >= 3
    assert kinds.count("/TH") >= 9 + 4 + 4


def test_it_embeds_our_typeface_and_no_other(signed):
    found = printed.fonts(signed)
    assert found
    assert all(name.startswith("Atkinson-Hyperlegible-Next") for name in found), found
    assert all(found.values())


def test_it_stays_small_enough_to_send(signed):
    assert len(signed) < 600_000


def test_it_prints_addenda_after_the_original_on_a_further_page(content, signature, signed):
    added = Added(1, "Tom Berg", "", "26 November 2026, 09:00 CET (UTC+01:00, Europe/Zurich)", "Better now.")
    more = pdf.render(content, paper="a4", signed=signature, sha256=SHA256, addenda=(added,))
    before, after = printed.pages(signed), printed.pages(more)
    assert len(after) == len(before) + 1
    assert "Better now." in after[-1]
    assert "Tom Berg, 26 November 2026, 09:00 CET" in after[-1]
    assert not any("Better now." in page for page in after[:-1])


def test_it_prints_a_visit_with_nothing_in_it(content):
    empty = {
        **content,
        "story": {"complaint": "", "history": ""},
        "drawing": {**content["drawing"], "is_empty": True},
        "candidates": {"is_ranked": False},
        "screening": {"is_empty": True},
        "muscles": {"rows": []},
        "joint_tests": {"is_empty": True},
        "consents": [],
        "assessment": "",
        "plan": "",
    }
    whole = " ".join(printed.pages(pdf.render(empty, paper="letter")))
    assert "Nothing is drawn." in whole
    assert "No consent is recorded." in whole


def test_it_repeats_the_table_head_and_never_splits_a_row(content):
    """Forty long rows run over several pages; each row's first and last word stand on the same page."""
    row = {"side": "right", "is_plain": False, "cells": [], "verdict": "first " + "and so on " * 30 + "last"}
    rows = [{"number": number, "name": f"Muscle {number:02}", **row} for number in range(40)]
    muscles = {**content["muscles"], "rows": rows, "has_table": True, "criteria": {"words": "", "source": 1}}
    long = {**content, "muscles": muscles}
    pages = [page for page in printed.pages(pdf.render(long, paper="a4")) if "and so on" in page]
    assert len(pages) > 2
    for page in pages:
        assert "No. Muscle, side, site Result" in page
        assert page.count("First and so on") == page.count("so on last")

"""What every kind of PDF keeps to: PDF/UA-1 (ISO 14289-1), our fonts, patient and page, both sizes, grey."""

import pytest
from PIL import ImageStat

from tests.charting.report import printed
from tests.charting.report.every_paper import OF_NOBODY, Made, every_paper

KINDS = {
    *("visit note", "drawing sheet", "blank sheet", "muscle", "consent", "home programme"),
    *("Progress report", "Letter to the referrer", "Summary for the patient"),
}
SIZES = {"a4": (210, 297), "letter": (216, 279)}
# Least contrast of text to white (WCAG 2.2, 1.4.3): it does not depend on colour, so it holds in grey.
LEAST = 4.5


@pytest.fixture(scope="module")
def made_once() -> Made:
    return {}


@pytest.fixture
def papers(made_once, request, visit, signature) -> Made:
    if not made_once:
        made_once.update(every_paper(visit, signature))
    return made_once


def wrong(papers: Made, is_wrong) -> list[object]:
    """(kind, paper, what) of every paper that breaks a promise."""
    return [(*which, found) for which, made in papers.items() if (found := is_wrong(which, made))]


def test_there_is_one_of_every_kind_in_both_sizes(papers):
    assert set(papers) == {(kind, paper) for kind in KINDS for paper in SIZES}
    assert wrong(papers, lambda which, made: printed.size_mm(made) != SIZES[which[1]]) == []


def test_each_is_tagged_with_title_and_language(papers):
    expected = printed.Catalog("en", is_tagged=True, shows_title=True, claims_ua=True)
    assert wrong(papers, lambda which, made: printed.catalog(made) != expected) == []
    assert wrong(papers, lambda which, made: len(printed.title(made)) < 10) == []


def test_every_figure_is_told_in_words(papers):
    silent = wrong(papers, lambda which, made: [one for one in printed.tags(made) if one == ("/Figure", "")])
    assert silent == []
    pictured = {
        which[0] for which, made in papers.items() if any(kind == "/Figure" for kind, _ in printed.tags(made))
    }
    assert {"visit note", "drawing sheet", "blank sheet", "muscle", "consent"} <= pictured


def test_every_table_has_header_cells_and_every_heading_its_level(papers):
    assert (
        wrong(papers, lambda which, made: [table for table in printed.tables(made) if "/TH" not in table])
        == []
    )
    assert wrong(papers, lambda which, made: headings(made)[:1] != ["/H1"]) == []


def headings(made: bytes) -> list[str]:
    return [kind for kind, _ in printed.tags(made) if kind in ("/H1", "/H2", "/H3")]


def test_each_embeds_our_typeface_and_no_other(papers):
    def foreign(which, made):
        fonts = printed.fonts(made)
        return [
            name
            for name, held in fonts.items()
            if not held or not name.startswith("Atkinson-Hyperlegible-Next")
        ]

    assert all(printed.fonts(made) for made in papers.values())
    assert wrong(papers, foreign) == []


def test_patient_and_page_stand_on_every_page(papers):
    def missing(which, made):
        pages = printed.pages(made)
        if which[0] in OF_NOBODY:
            return []
        said = [
            ("Anna Keller", "3 May 1978", f"Page {number} of {len(pages)}")
            for number in range(1, len(pages) + 1)
        ]
        return [
            words for page, all_of in zip(pages, said, strict=True) for words in all_of if words not in page
        ]

    assert wrong(papers, missing) == []


def test_each_is_legible_in_grey(papers):
    assert all(len(list(printed.inks(made))) > 10 for made in papers.values())
    assert wrong(papers, lambda which, made: sorted({ink for ink in printed.inks(made) if ink < LEAST})) == []

    def pale(which, made):
        grey = printed.picture(made, 0, dpi=70).convert("L")
        darkest, lightest = grey.getextrema()
        return (
            (darkest, lightest)
            if darkest > 80 or lightest < 250 or ImageStat.Stat(grey).stddev[0] < 8
            else ()
        )

    assert wrong(papers, pale) == []


def test_what_an_insurer_needs_takes_two_pages_at_most_and_the_others_one(papers):
    pages = {which: len(printed.pages(made)) for which, made in papers.items()}
    for paper in SIZES:
        assert pages["Progress report", paper] <= 2
        assert pages["Letter to the referrer", paper] == pages["Summary for the patient", paper] == 1

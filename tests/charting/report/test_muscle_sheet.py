"""The sheet about one muscle for a patient: one page, plain words, a picture, and no word of needles."""

import re
from dataclasses import replace

import pytest
from PIL import ImageStat

from bodymaps import atlas
from charting.report import pdf
from charting.report.muscle import muscle_sheet
from charting.staff.models import Practice
from tests.charting.report import printed

PRACTICE = Practice(
    name="Practice for Hands and Shoulders at the Weir",
    street="Alder Lane 4, rear building, second floor",
    town="8400 Winterthal",
    phone="000 000 00",
)


def sheet(name="infraspinatus", side="right"):
    known = atlas.load()
    return muscle_sheet(PRACTICE, known, known.muscles[name], side)


@pytest.fixture(scope="module")
def made():
    return pdf.render_muscle(sheet("iliopsoas"), paper="a4")


def test_it_says_what_it_is_and_that_it_is_no_diagnosis(made):
    (words,) = printed.pages(made)
    assert "Where this muscle can be felt" in words
    assert "This sheet is a picture, no diagnosis" in words
    assert "Get medical help at once" in words
    assert "Practice for Hands and Shoulders at the Weir" in words


def test_it_prints_what_brings_it_on_and_what_eases_it(made):
    muscle = atlas.load().muscles["iliopsoas"]
    assert muscle.brings_on and muscle.eases
    words = printed.pages(made)[0].casefold()
    for each in (*muscle.brings_on, *muscle.eases):
        assert each.casefold() in words


def test_it_leaves_out_needles_nerves_and_what_is_at_risk(made):
    muscle = atlas.load().muscles["iliopsoas"]
    words = printed.pages(made)[0].casefold()
    for each in (muscle.innervation.nerve, *(risk.words for risk in muscle.at_risk), *muscle.attachments):
        assert each.casefold() not in words
    assert not re.search(r"needl|puncture|innervation|dermatome|spillover|referr", words)


def test_a_muscle_of_which_less_is_known_leaves_the_headings_out():
    bare = replace(sheet("masseter"), brings_on=(), eases=())
    (words,) = printed.pages(pdf.render_muscle(bare, paper="a4"))
    assert "bring it on" not in words and "ease it" not in words


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (216, 279))])
def test_the_one_with_most_to_say_fits_one_page(paper, size):
    def room(muscle) -> int:
        return max(sum(1 + len(each) // 45 for each in said) for said in (muscle.brings_on, muscle.eases))

    fullest = max(atlas.load().muscles.values(), key=room)
    made = pdf.render_muscle(sheet(fullest.id, "left"), paper=paper)
    assert len(printed.pages(made)) == 1
    assert printed.size_mm(made) == size


def test_it_is_a_tagged_pdf_whose_pictures_say_what_they_are(made):
    assert printed.catalog(made) == printed.Catalog("en", is_tagged=True, shows_title=True, claims_ua=True)
    assert printed.title(made) == "Where this muscle can be felt: Psoas major and iliacus, right"
    figures = [words for kind, words in printed.tags(made) if kind == "/Figure"]
    assert len(figures) >= 2 and all(figures)
    assert all(printed.fonts(made).values())


def test_it_gives_the_same_bytes_again(made):
    assert pdf.render_muscle(sheet("iliopsoas"), paper="a4") == made


def test_the_picture_shows_core_and_spillover_apart_in_grey():
    """Somewhere in the picture it is as dark as the core's edge, and it is no blank sheet."""
    grey = printed.picture(pdf.render_muscle(sheet(), paper="a4"), 0).convert("L")
    upper = grey.crop((0, grey.height // 6, grey.width, grey.height // 2))
    assert ImageStat.Stat(upper).extrema[0][0] < 90
    assert ImageStat.Stat(upper).stddev[0] > 8


def test_it_is_given_in_the_paper_of_the_practice(as_mara, practice):
    answer = as_mara.get("/atlas/muscle/infraspinatus/sheet.pdf?side=left")
    assert answer["Content-Type"] == "application/pdf"
    assert 'filename="infraspinatus-left.pdf"' in answer["Content-Disposition"]
    assert printed.size_mm(answer.content) == (210, 297)
    assert printed.size_mm(as_mara.get("/atlas/muscle/infraspinatus/sheet.pdf?paper=letter").content) == (
        216,
        279,
    )


@pytest.mark.parametrize("path", ["nobody/sheet.pdf", "infraspinatus/sheet.pdf?paper=a5"])
def test_there_is_none_for_what_there_is_not(as_mara, path):
    assert as_mara.get(f"/atlas/muscle/{path}").status_code == 404

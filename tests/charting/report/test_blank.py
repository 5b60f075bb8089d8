"""The sheet to draw on: everything a person needs with a pen, on two pages, in grey as well as in colour."""

import re
from dataclasses import replace

import pytest
from PIL import ImageStat

from bodymaps import kinds, parts
from charting.drawing import symptoms
from charting.report import pdf
from charting.report.blank import blank_sheet
from charting.staff.models import Practice
from tests.charting.report import printed

LONG = "Maximiliane-Alexandrina Hohenlohe-Oettingen van der Meulen-Castellanos"


@pytest.fixture(scope="module")
def made():
    """The sheet of a practice, without a person, on A4."""
    return pdf.render_blank(blank_sheet(Practice(name="Lindenhof Practice")), paper="a4")


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (216, 279))])
@pytest.mark.parametrize("is_long", [False, True])
def test_it_has_two_pages_on_both_papers(practice, visit, paper, size, is_long):
    sheet = blank_sheet(practice, visit)
    if is_long:
        crowded = {"street": "Alder Lane 4, rear building, second floor", "town": "8400 Winterthal"}
        for name, value in {**crowded, "name": "Practice for Hands and Shoulders at the Weir"}.items():
            setattr(practice, name, value)
        sheet = replace(sheet, name=LONG, practice=practice)
    made = pdf.render_blank(sheet, paper=paper)
    assert printed.size_mm(made) == size
    pages = printed.pages(made)
    assert len(pages) == 2
    assert all(f"Page {number} of 2" in page for number, page in enumerate(pages, 1))


def test_it_names_each_kind_with_two_letters_of_its_own(made):
    first = printed.pages(made)[0]
    sheet = blank_sheet(None)
    assert [each.picture.kind for each in sheet.kinds] == list(kinds.IDS)
    assert len({each.letters.lower() for each in sheet.kinds}) == 7
    for each in sheet.kinds:
        assert f"{each.letters} {each.picture.label}" in first and each.words in first


def test_it_writes_the_sides_as_the_person_has_them(made):
    assert [
        re.sub(r"\s+", " ", word) for word in re.findall(r"Your (?:right|left)", printed.pages(made)[0])
    ] == [
        "Your right",
        "Your left",
        "Your left",
        "Your right",
    ]


def test_it_asks_about_four_areas_in_the_words_of_the_board(made):
    second = printed.pages(made)[1]
    asked = symptoms.load()
    for question in asked.questions.values():
        assert second.count(question.question) == 4
        assert all(second.count(choice.words) >= 4 for choice in question.choices)
    assert second.count("0 1 2 3 4 5 6 7 8 9 10") == 12
    assert [f"Area {number}" in second for number in range(1, 6)] == [True] * 4 + [False]


def test_it_has_a_tick_for_every_part_of_the_body(made):
    second = printed.pages(made)[1]
    sides = [part for part in parts.load().parts if part.side == "right"]
    for line in blank_sheet(None).parts:
        assert line.label in second
    ticks = second[second.index("Where is nothing") :]
    assert ticks.count("right") == ticks.count("left") == len(sides)


def test_that_of_a_visit_has_the_person_on_both_pages(practice, visit):
    for page in printed.pages(pdf.render_blank(blank_sheet(practice, visit), paper="a4")):
        assert "Anna Keller, born 3 May 1978, record 1042" in page


def test_that_without_a_person_has_room_to_write_on_both_pages(made):
    for page in printed.pages(made):
        assert "Keller" not in page and "Name" in page and "Date of birth" in page


def test_it_is_a_tagged_pdf_that_says_what_its_pictures_are(made):
    assert printed.catalog(made) == printed.Catalog("en", is_tagged=True, shows_title=True, claims_ua=True)
    alts = [alt for kind, alt in printed.tags(made) if kind == "/Figure"]
    assert "Front view of the body, to draw on" in alts and "Back view of the body, to draw on" in alts
    assert sum(alt.startswith("Pattern for ") for alt in alts) == 7 and all(alts)
    assert all(name.startswith("Atkinson-Hyperlegible-Next") for name in printed.fonts(made))


def test_the_body_is_light_enough_for_a_pencil_and_still_there_in_grey(made):
    """A soft pencil prints at about a third of full white; the skin stays far lighter than that."""
    page = printed.picture(made, 0, dpi=110).convert("L")
    # Chest to knees of the front view: well inside of the outline.
    width, height = page.size
    skin = page.crop((int(width * 0.22), int(height * 0.45), int(width * 0.32), int(height * 0.55)))
    assert ImageStat.Stat(skin).mean[0] > 215
    assert skin.getextrema()[0] > 150
    assert ImageStat.Stat(page).extrema[0][0] < 90


def test_its_addresses_give_a_pdf_to_print(visit, as_mara, as_poll):
    for client in (as_mara, as_poll):
        for url in ("/drawing-sheet.pdf", f"/visits/{visit.pk}/drawing-sheet.pdf?paper=letter"):
            response = client.get(url)
            assert response.headers["Content-Type"] == "application/pdf"
            assert response.content.startswith(b"%PDF")
            assert "keller" not in response.headers["Content-Disposition"].lower()
    assert as_mara.get("/drawing-sheet.pdf?paper=a5").status_code == 404


def test_it_comes_in_the_paper_of_the_practice(practice, as_mara):
    practice.paper = "letter"
    practice.save()
    assert printed.size_mm(as_mara.get("/drawing-sheet.pdf").content) == (216, 279)


def test_the_day_page_leads_to_it(as_mara, as_poll):
    for client in (as_mara, as_poll):
        assert 'href="/drawing-sheet.pdf"' in client.get("/").content.decode()


def test_a_signed_visit_has_no_sheet_to_draw_on(visit, as_mara):
    type(visit).objects.filter(pk=visit.pk).update(signed_at=visit.started_at)
    assert as_mara.get(f"/visits/{visit.pk}/drawing-sheet.pdf").status_code == 404

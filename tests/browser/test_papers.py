"""Paper and mistakes in a real browser: a sheet is printed, one is entered, a drawing changes charts."""

import io
import re

import pypdf
import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import Hand
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL, sign_in

# The back of the left calf, in figure millimetres of the back view.
CALF = [(395, 1290), (400, 1370), (392, 1440)]
SHOULDER = [(312, 322), (338, 352), (312, 368)]
PICKED = ", label.pick, .trace a, .wrong-chart a"


@pytest.fixture
def page(device) -> Page:
    made: Page = device("desk", has_touch=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED + PICKED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def start_visit(page: Page, family: str, given: str) -> str:
    """Register somebody and begin a visit; the address of the visit."""
    page.goto("/patients/new/")
    page.get_by_label("Family name").fill(family)
    page.get_by_label("Given names").fill(given)
    for part, value in (("Day", "9"), ("Month", "May"), ("Year", "1979")):
        page.get_by_label(part, exact=True).fill(value)
    page.get_by_role("button", name="Create").click()
    page.get_by_role("button", name="Start a visit").click()
    page.wait_for_url("**/visits/**")
    found = re.search(r"/visits/[0-9a-f-]+/", page.url)
    assert found
    return found.group(0)


def draw(page: Page, kind: str, view: str, line: list[tuple[int, int]]) -> None:
    page.locator("[data-stage][data-front]").wait_for()
    page.locator("label.kind", has_text=kind).click()
    Hand(page).shade(view, line)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")


def printed(page: Page, link: str) -> list[str]:
    """The text of the pages behind a link, fetched with the page's own session."""
    address = page.get_by_role("link", name=link).first.get_attribute("href")
    answer = page.request.get(str(address))
    assert answer.headers["content-type"] == "application/pdf"
    return [sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(answer.body())).pages]


def test_a_sheet_is_printed_for_the_drawer_and_for_a_visit(page, check):
    page.goto("/")
    blank = printed(page, "Print a blank drawing sheet")
    assert len(blank) == 2 and "Demo practice" in blank[0]
    visit = start_visit(page, "Quellbach", "Jorun")
    page.goto(visit + "drawing-step/")
    check(page, "papers-empty-step")
    own = printed(page, "Print a sheet to draw on")
    assert len(own) == 2 and all("Jorun Quellbach, born 9 May 1979" in each for each in own)


def test_a_filled_in_sheet_is_entered_and_says_so(page, check, complaints):
    visit = start_visit(page, "Sternfeld", "Alva")
    page.goto(visit + "drawing-step/")
    page.get_by_role("link", name="Enter a drawing from paper").click()
    expect(page.get_by_role("button", name="Open the board")).to_be_visible()
    expect(page.get_by_label("Who helped?")).to_be_hidden()
    check(page, "papers-enter")
    page.get_by_text("Somebody who helped the patient").click()
    page.get_by_label("Year", exact=True).fill("2999")
    page.get_by_role("button", name="Open the board").click()
    expect(page.get_by_role("alert")).to_contain_text("Say who helped")
    expect(page.get_by_role("alert")).to_contain_text("must not be in the future")
    complaints.expect("422")
    check(page, "papers-enter-wrong")
    page.get_by_label("Who helped?").fill("daughter")
    for part, value in (("Day", "4"), ("Month", "May"), ("Year", "2026")):
        page.get_by_label(part, exact=True).fill(value)
    page.get_by_role("button", name="Open the board").click()
    draw(page, "Burning", "back", CALF)
    page.goto(visit + "drawing-step/")
    expect(page.locator(".layered")).to_contain_text("Daughter, on paper, 4 May 2026, entered by Nora Feldt.")
    expect(page.locator(".layered")).to_contain_text("calf")
    check(page, "papers-entered")
    # Gone on with where it stood.
    page.get_by_role("link", name="Go on copying").click()
    draw(page, "Ache", "front", SHOULDER)
    page.goto(visit + "drawing-step/")
    expect(page.locator(".layered")).to_contain_text("shoulder")


def test_layers_are_shown_and_hidden(page, check):
    visit = start_visit(page, "Tannhof", "Mika")
    page.goto(visit + "drawing/?layer=helper")
    draw(page, "Ache", "front", SHOULDER)
    page.goto(visit + "drawing-step/")
    page.get_by_role("link", name="Map findings").click()
    draw(page, "Less feeling", "back", CALF)
    page.goto(visit + "drawing-step/")
    check(page, "papers-layers")
    patient, findings = (page.locator(f'[data-drawn="{layer}"]').first for layer in ("helper", "clinician"))
    number = page.locator('[data-badge="1"]')
    expect(patient).to_be_visible()
    expect(number).to_be_visible()
    page.get_by_label("Drawn for the patient").uncheck()
    expect(patient).to_be_hidden()
    expect(number).to_be_hidden()
    expect(findings).to_be_visible()


def test_a_drawing_goes_to_the_right_chart_and_back(page, check, complaints):
    right = start_visit(page, "Eschenmoser", "Lio")
    wrong = start_visit(page, "Birnstiel", "Noa")
    page.goto(wrong + "drawing/?layer=helper")
    draw(page, "Ache", "front", SHOULDER)
    page.goto(wrong + "drawing-step/")
    page.get_by_role("link", name="This drawing belongs to somebody else").click()
    page.get_by_role("searchbox", name="Find an open visit").fill("eschen")
    page.get_by_label("Why is it wrong here?").fill("The tablet went to the next person.")
    with page.expect_navigation():
        page.get_by_role("button", name="Find").click()
    expect(page.locator("label.pick", has_text="Lio Eschenmoser")).to_be_visible()
    check(page, "papers-move")
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose whose drawing it is.")
    complaints.expect("422")
    page.locator("label.pick", has_text="Lio Eschenmoser").click()
    page.get_by_role("button", name="Go on").click()
    expect(page.locator("dl.facts")).to_contain_text("Lio Eschenmoser")
    check(page, "papers-move-sure")
    page.get_by_role("button", name="Move it").click()
    expect(page.locator(".trace")).to_contain_text("entered in error; struck on")
    expect(page.locator(".trace")).not_to_contain_text("Eschenmoser")
    expect(page.locator(".layered")).to_contain_text("Nothing is drawn yet.")
    check(page, "papers-moved-away")
    page.goto(right + "drawing-step/")
    expect(page.locator(".trace")).to_contain_text("moved here from another chart")
    expect(page.locator(".layered")).to_contain_text("shoulder")
    check(page, "papers-moved-here")
    page.get_by_role("link", name="Move it back").click()
    expect(page.locator("label.pick", has_text="Noa Birnstiel").locator("input")).to_be_checked()
    page.get_by_label("Why is it wrong here?").fill("It was theirs after all.")
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Move it").click()
    page.wait_for_url("**/drawing-step/")
    page.goto(wrong + "drawing-step/")
    expect(page.locator(".layered")).to_contain_text("shoulder")
    assert page.locator(".trace").count() == 2


def test_a_drawing_struck_by_mistake_is_looked_at_and_brought_back(page, check):
    visit = start_visit(page, "Ahornweg", "Rune")
    page.goto(visit + "drawing/?layer=helper")
    draw(page, "Ache", "front", SHOULDER)
    page.goto(visit + "drawing/move/")
    page.get_by_text("Nobody in this list").click()
    page.get_by_label("Why is it wrong here?").fill("Somebody tried the pen.")
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Strike it").click()
    page.get_by_role("link", name="Look at it, or bring it back").click()
    expect(page.get_by_role("button", name="Bring it back")).to_be_visible()
    check(page, "papers-struck")
    page.get_by_label("Why does it belong here after all?").fill("It was the patient.")
    page.get_by_role("button", name="Bring it back").click()
    expect(page.locator(".trace").last).to_contain_text("brought back")
    expect(page.locator(".layered")).to_contain_text("shoulder")

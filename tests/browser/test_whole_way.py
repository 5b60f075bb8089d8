"""The whole way in a real browser with a real hand: from a stranger at the desk to a signed note on paper."""

import io
import re
from collections.abc import Callable
from datetime import date

import pypdf
import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.hand import Hand
from tests.browser.people import hand_over, save_danger_answers
from tests.browser.people import sign_in_here as sign_in

PASSWORD = "try-the-demo-practice"  # noqa: S105 - of the invented practice, printed at its first start
# The front of the right shoulder, then down the outer arm, in figure millimetres of the front view:
# the ache of infraspinatus (Simons, Travell & Simons 1999, chapter 22, from memory).
SHOULDER = [(312, 322), (338, 352), (312, 368), (336, 392), (306, 402)]
ARM = [(290, 425), (262, 470), (278, 500), (254, 540)]
# The outer arm once more, seen from behind: the patient's right is on the right there.
ARM_BEHIND = [(735, 470), (752, 545)]


def register(page: Page, family: str) -> None:
    page.get_by_role("link", name="New patient").first.click()
    page.get_by_label("Family name").fill(family)
    page.get_by_label("Given names").fill("Odile")
    for part, value in (("Day", "9"), ("Month", "May"), ("Year", "1979")):
        page.get_by_label(part, exact=True).fill(value)
    page.get_by_role("button", name="Create").click()
    page.wait_for_url(re.compile("/patients/[0-9a-f-]{36}/"))


def draw(page: Page) -> None:
    page.locator("[data-stage][data-front]").wait_for()
    page.locator("label.kind", has_text="Ache").click()
    hand = Hand(page)
    hand.shade("front", SHOULDER)
    hand.shade("front", ARM)
    hand.shade("back", ARM_BEHIND)
    page.wait_for_timeout(400)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")


def answer_no_to_all(page: Page) -> None:
    page.get_by_role("link", name="Danger screen").first.click()
    page.wait_for_url("**/danger-screen/")
    for answer in page.get_by_role("radio", name="No", exact=True).all():
        answer.check()
    save_danger_answers(page)


@pytest.fixture
def tablet(device: Callable[..., BrowserContext]) -> BrowserContext:
    return device("desk", has_touch=True, accept_downloads=True)


def test_a_pain_is_drawn_ranked_signed_and_printed(tablet, complaints, axe, look):
    page = tablet.new_page()
    page.goto("/")
    sign_in(page)
    register(page, "Wintermantel")
    page.get_by_role("button", name="Start a visit").click()
    page.wait_for_url("**/visits/**")
    expect(page.get_by_role("region", name="Patient", exact=True)).to_contain_text("Wintermantel")
    visit = re.search(r"/visits/[0-9a-f-]+/", page.url)
    assert visit is not None

    page.get_by_role("link", name="Drawing").first.click()
    hand_over(page)
    axe(page)
    page.get_by_role("button", name="Yes").click()
    page.locator("[data-stage][data-front]").wait_for()
    axe(page)
    draw(page)
    look(page, "whole-way-board")

    # The patient holds the device: no chart opens on it, by address or by Back.
    page.goto(visit.group(0))
    expect(page.get_by_role("heading")).to_contain_text("with the patient")
    complaints.expect("403")
    page.go_back()
    expect(page.locator("body")).not_to_contain_text("record")

    page.goto("/board/")
    page.get_by_role("button", name="Done").click()
    finish(page)
    page.get_by_role("link", name="sign in").click()
    sign_in(page)
    page.goto(visit.group(0))

    answer_no_to_all(page)
    page.get_by_role("link", name="What to examine").first.click()
    expect(page.locator("ol.candidates .name").first).to_be_visible()
    names = page.locator("ol.candidates .name").all_inner_texts()
    assert any("infraspinatus" in name.lower() for name in names[:3]), names[:3]
    axe(page)
    page.locator(".candidates a.line", has_text="infraspinatus").first.click()
    expect(page.locator(".candidates .slot").filter(has_text="suprascapular")).to_be_visible()
    look(page, "whole-way-picked")

    page.get_by_role("link", name="Note").first.click()
    page.locator("#section-assessment").get_by_label("In your own words").fill(
        "Points in infraspinatus reproduce the arm ache; shoulder tests calm."
    )
    page.locator("#section-plan").get_by_label("In your own words").fill(
        "Manual pressure and stretch, look again in a week."
    )
    page.get_by_role("button", name="Save and read before signing").click()
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign the note").click()
    expect(page.get_by_role("heading", name="Signed note")).to_be_visible(timeout=30_000)
    axe(page)

    text, pages = printed(page)
    for words in ("Wintermantel", "infraspinatus", "Manual pressure and stretch", "Nora Feldt", "Ache"):
        assert words.lower() in text.lower()
    assert f"1 of {pages}" in text
    assert "Draft" not in text
    assert str(date.today().year) in text


def test_the_clinician_signs_in_again_elsewhere_and_the_board_goes_on(tablet, complaints):
    page = tablet.new_page()
    page.goto("/")
    sign_in(page)
    page.locator("a[href^='/visits/']").filter(has_text="not signed").first.click()
    page.get_by_role("link", name="Drawing").first.click()
    page.get_by_role("link", name="Draw what the patient shows").click()
    draw(page)
    other = tablet.new_page()
    other.goto("/")
    other.get_by_role("button", name="Sign out").click()
    other.wait_for_url("**/sign-in/**")
    Hand(page).shade("back", [(560, 300), (580, 340)])
    expect(page.locator("[data-why]")).to_contain_text("Sign in again in another window")
    other.bring_to_front()
    sign_in(other)
    page.bring_to_front()
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved", timeout=30_000)
    complaints.expect("403")


def finish(page: Page) -> None:
    """Past the questions about the areas, with nothing answered, to the thanks."""
    page.wait_for_url("**/board/areas/")
    expect(page.get_by_role("heading", name="Area 1")).to_be_visible()
    page.get_by_role("button", name="Finish").first.click()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()


def printed(page: Page) -> tuple[str, int]:
    """The text of the paper behind the button, fetched with the page's own session, and its page count."""
    link = page.get_by_role("link", name="PDF, A4").first.get_attribute("href")
    answer = page.request.get(str(link))
    assert answer.headers["content-type"] == "application/pdf"
    reader = pypdf.PdfReader(io.BytesIO(answer.body()))
    return " ".join(sheet.extract_text() for sheet in reader.pages), len(reader.pages)

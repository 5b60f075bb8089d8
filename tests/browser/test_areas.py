"""Two shaded places become two areas: answered by the patient, put together, split, and seen everywhere."""

import io
import re
import uuid
from datetime import date

import pypdf
import pytest
from playwright.sync_api import Locator, Page, expect

from charting.patients import services as patients
from charting.staff.models import User
from charting.visits import services as visits
from tests.browser import people
from tests.browser.conftest import SIZES
from tests.browser.hand import Hand

# The right side of the neck from behind, and the inner side of the left knee, in figure millimetres.
NECK = [(545, 215), (560, 250), (590, 275)]
KNEE = [(560, 1165), (575, 1200), (562, 1235)]


@pytest.fixture
def visit(records) -> str:
    """The address of a visit that was just started, of somebody new."""
    nora = User.objects.get(username="clinician")
    about = {"family_name": "Halloran", "given_names": "Bridie", "birth_date": date(1961, 3, 2)}
    person = patients.register(who=nora, all_the_same=True, **about)
    started = visits.start(who=nora, patient=person, clinician=nora, id=uuid.uuid4())
    return f"/visits/{started.pk}/"


@pytest.fixture
def tablet(device) -> Page:
    """The staff's tablet, signed in."""
    page = device("desk", has_touch=True).new_page()
    people.sign_in(page)
    return page


@pytest.fixture
def asked(tablet, visit) -> Page:
    """The page after two places were shaded by the patient."""
    tablet.goto(visit + "drawing-step/")
    people.hand_over(tablet)
    tablet.get_by_role("button", name="Yes").click()
    tablet.locator("[data-stage][data-front]").wait_for()
    shade(tablet, "Ache", "back", NECK)
    shade(tablet, "Burning", "front", KNEE)
    tablet.get_by_role("button", name="Done").click()
    tablet.wait_for_url("**/board/areas/")
    return tablet


def shade(page: Page, kind: str, view: str, points: list[tuple[int, int]]) -> None:
    page.locator("label.kind", has_text=kind).click()
    Hand(page).shade(view, points)
    page.wait_for_timeout(300)


def area(page: Page, number: int) -> Locator:
    return page.locator(f'[data-area="{number}"]')


def strength(page: Page, number: int, question: str, value: int) -> None:
    group = area(page, number).get_by_role("group", name=question)
    group.locator("label", has_text=re.compile(f"^{value}$")).tap()


def pick(page: Page, number: int, words: str) -> None:
    area(page, number).locator("label.pick", has_text=words).tap()


def saved(page: Page) -> None:
    expect(page.locator("[data-saving]")).to_have_attribute("data-saving", "saved")


def answer_all(page: Page) -> None:
    strength(page, 1, "Ache", 6)
    strength(page, 1, "How strong is it at its least?", 2)
    strength(page, 1, "How strong is it at its most?", 9)
    pick(page, 1, "No, it comes and goes")
    pick(page, 1, "Deep inside")
    area(page, 1).get_by_role("button", name="One more").tap()
    area(page, 1).get_by_role("button", name="weeks").tap()
    strength(page, 2, "Burning", 4)
    pick(page, 2, "It starts after the other one")
    page.locator("label.pick", has=page.locator('[data-part="shoulder left"]')).tap()
    saved(page)


def test_it_is_answered_by_touch_and_seen_by_the_clinician(asked, visit, axe, look, complaints):
    answer_all(asked)
    axe(asked)
    look(asked, "areas")
    asked.get_by_role("button", name="Finish").first.click()
    expect(asked.get_by_role("heading", name="Thank you")).to_be_visible()
    asked.get_by_role("link", name="sign in").click()
    people.sign_in_here(asked)

    asked.goto(visit + "drawing-step/")
    first, second = asked.locator(".told-area").all()
    for words in (
        "Ache 6 of 10",
        "At its least 2 of 10, at its most 9 of 10",
        "Comes and goes",
        "Deep",
        "2 weeks",
    ):
        expect(first).to_contain_text(words)
    expect(second).to_contain_text("Burning 4 of 10")
    expect(second).to_contain_text("Starts after area 1")
    expect(asked.locator(".cleared")).to_have_text(re.compile("^\\s*Left shoulder\\s*$"))
    assert asked.locator("[data-badge]").count() == 2
    axe(asked)
    look(asked, "areas-step")

    answer_danger_screen(asked, visit)
    asked.goto(visit + "what-to-examine/")
    expect(asked.get_by_role("navigation", name="What is ranked").get_by_role("link")).to_have_text(
        ["The whole", "Area 1", "Area 2"]
    )
    axe(asked)
    look(asked, "areas-whole")
    asked.get_by_role("link", name="Area 1", exact=True).click()
    expect(asked.locator(".ranked-about")).to_contain_text("Area 1, ")
    asked.locator("ol .line").first.click()
    expect(asked.locator("#pattern-words")).to_contain_text("lies over the drawing")
    assert "area=1" in asked.url
    axe(asked)

    paper = asked.request.get(visit + "note.pdf?paper=a4")
    text = " ".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(paper.body())).pages)
    for words in (
        "ache 6 of 10",
        "Starts after area 1",
        "Nothing here: left shoulder.",
        "each of 2 areas alone",
    ):
        assert words.lower() in " ".join(text.split()).lower(), words


def answer_danger_screen(page: Page, visit: str) -> None:
    page.goto(visit + "danger-screen/")
    for answer in page.get_by_role("radio", name="No", exact=True).all():
        answer.check()
    page.get_by_role("button", name=re.compile("Save")).first.click()
    page.wait_for_url(lambda url: "danger-screen" not in url)


def test_areas_are_put_together_and_split_and_nothing_is_lost(asked, axe):
    answer_all(asked)
    for number in ("Area 1", "Area 2"):
        asked.locator("[data-together] label", has_text=number).tap()
    asked.get_by_role("button", name="These belong together").tap()
    expect(asked.locator("[data-area]")).to_have_count(1)
    expect(asked.locator("[data-told]")).to_have_text("Put together. The areas have new numbers.")
    expect(asked.locator("#area-1")).to_be_focused()
    expect(chosen(asked, 1, "Ache")).to_have_value("6")
    expect(chosen(asked, 1, "Burning")).to_have_value("4")

    area(asked, 1).locator("summary").click()
    expect(area(asked, 1).locator(".piece-letter").first).to_be_visible()
    axe(asked)
    make = area(asked, 1).get_by_role("button", name="Make this an area of its own")
    expect(make).to_be_disabled()
    area(asked, 1).locator("label.with-tick", has_text="Burning").tap()
    make.tap()
    expect(asked.locator("[data-area]")).to_have_count(2)
    expect(chosen(asked, 1, "Ache")).to_have_value("6")
    expect(chosen(asked, 1, "How strong is it at its most?")).to_have_value("9")
    expect(chosen(asked, 2, "Burning")).to_have_value("4")


def chosen(page: Page, number: int, question: str) -> Locator:
    return area(page, number).get_by_role("group", name=question).locator("input:checked")


def test_a_remark_comes_and_goes_with_numbers_that_contradict_each_other(asked):
    remark = area(asked, 1).locator("[data-contradicts]")
    expect(remark).to_be_hidden()
    strength(asked, 1, "Ache", 3)
    strength(asked, 1, "How strong is it at its least?", 7)
    expect(remark).to_be_visible()
    area(asked, 1).get_by_role("button", name=re.compile("Take back How strong is it at its least")).tap()
    expect(remark).to_be_hidden()
    saved(asked)
    asked.reload()
    assert chosen(asked, 1, "How strong is it at its least?").count() == 0
    expect(chosen(asked, 1, "Ache")).to_have_value("3")


def test_it_is_answered_by_keyboard_alone(asked):
    first = area(asked, 1).get_by_role("group", name="Ache").get_by_role("radio", name="0", exact=True)
    first.focus()
    asked.keyboard.press("Space")
    for _ in range(5):
        asked.keyboard.press("ArrowRight")
    expect(chosen(asked, 1, "Ache")).to_have_value("5")
    area(asked, 1).get_by_label("Or in your own words").fill("since the winter")
    asked.keyboard.press("Tab")
    left = asked.get_by_role("checkbox", name="Left shoulder: nothing here")
    left.focus()
    asked.keyboard.press("Space")
    saved(asked)
    asked.reload()
    expect(chosen(asked, 1, "Ache")).to_have_value("5")
    expect(area(asked, 1).get_by_label("Or in your own words")).to_have_value("since the winter")
    expect(left).to_be_checked()


def test_finish_waits_until_all_is_stored(asked, complaints):
    asked.route("**/board/save/", lambda route: route.abort())
    strength(asked, 1, "Ache", 8)
    expect(asked.locator("[data-saving]")).to_have_attribute("data-saving", re.compile("kept|unsaved"))
    asked.get_by_role("button", name="Finish").first.click()
    expect(asked.get_by_role("dialog")).to_contain_text("Not everything is saved yet")
    asked.unroute("**/board/save/")
    asked.get_by_role("dialog").get_by_role("button", name="Try again now").click()
    expect(asked.get_by_role("heading", name="Thank you")).to_be_visible()
    complaints.expect("ERR_FAILED")
    asked.get_by_role("link", name="Change my drawing").click()
    asked.wait_for_url("**/board/")
    asked.goto("/board/areas/")
    expect(chosen(asked, 1, "Ache")).to_have_value("8")


@pytest.mark.parametrize("size", [*SIZES.values(), (320, 700)])
def test_it_has_room_for_large_targets_at_every_size(asked, size):
    """Nothing runs off the page; what is touched is at least 44 by 44 px (WCAG 2.2, 2.5.5)."""
    asked.set_viewport_size({"width": size[0], "height": size[1]})
    assert asked.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = asked.evaluate(
        """[...document.querySelectorAll('button, .number, .pick, summary, input[type=text]')]
           .filter((one) => one.offsetParent && !one.closest('details:not([open]) > :not(summary)'))
           .map((one) => [one.textContent.trim(), one.getBoundingClientRect()])
           .filter(([, box]) => box.width < 44 || box.height < 44).map(([words]) => words)"""
    )
    assert small == []

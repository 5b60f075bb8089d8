"""Every page of the chart in a real browser, at three sizes: no violation, nothing small, nothing cut off."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import SIZES
from tests.browser.people import demo_visit as open_visit
from tests.browser.people import sign_in

# Everything one can press. A radio button or a tick is pressed by its label.
PRESSED = (
    "a.button, button, select, summary, input:not([type=hidden], [type=radio], [type=checkbox]), "
    ".choices label, .grades label, label.tick, .rows a.row, .steps a, .bar a"
)
TOO_SMALL = """pressed => [...document.querySelectorAll(pressed)]
  .filter((each) => each.offsetParent && !each.closest(".visually-hidden"))
  .map((each) => [each.textContent.trim().slice(0, 30), each.getBoundingClientRect()])
  .filter(([, box]) => box.width < 43.5 || box.height < 43.5)
  .map(([words, box]) => `${words} ${Math.round(box.width)}x${Math.round(box.height)}`)"""
CUT_OFF = "document.documentElement.scrollWidth - document.documentElement.clientWidth"

STEPS = (
    *("", "story/", "danger-screen/", "drawing-step/", "neuro-screen/", "consents/"),
    "consents/manual-treatment/sign/",
)


@pytest.fixture
def check(axe, look) -> Callable[[Page, str], None]:
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


@pytest.fixture
def check_all_sizes(check) -> Callable[[Page, str], None]:
    """The page is loaded once and the window drawn to each of the three sizes: styles alone follow it."""

    def at_each(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            check(page, name)

    return at_each


# What does not hang on the width of the screen is tried on one; the pages themselves on all three.
@pytest.fixture
def page(device) -> Page:
    """Signed in as the clinician."""
    made: Page = device("wide").new_page()
    sign_in(made)
    return made


@pytest.mark.parametrize("path", ["/", "/patients/", "/patients/new/", "/pieces/"])
def test_a_page_outside_of_a_visit(page, check_all_sizes, path):
    page.goto(path)
    check_all_sizes(page, f"page-{path.strip('/').replace('/', '-') or 'today'}")


@pytest.mark.parametrize("step", STEPS)
def test_a_page_of_a_visit(page, check_all_sizes, step):
    page.goto(open_visit(page) + step)
    check_all_sizes(page, f"step-{step.strip('/').replace('/', '-') or 'overview'}")


def test_the_page_of_a_person_and_its_form(page, check_all_sizes):
    page.goto(open_visit(page))
    page.locator(".patient strong a").click()
    page.wait_for_url("**/patients/*/")
    check_all_sizes(page, "patient")
    page.get_by_role("link", name="Change what is on record").click()
    expect(page.get_by_label("Family name")).to_be_visible()
    check_all_sizes(page, "patient-edit")


@pytest.mark.parametrize("username", ["desk", "owner"])
def test_the_day_of_the_others(device, check, username):
    page = device("wide").new_page()
    sign_in(page, username)
    page.goto("/")
    check(page, f"today-{username}")


def test_a_form_that_is_wrong_moves_the_focus_to_what_is_wrong(page, check, complaints):
    page.goto("/patients/new/")
    page.get_by_label("Day", exact=True).fill("31")
    page.get_by_label("Month", exact=True).fill("feb")
    page.get_by_label("Year", exact=True).fill("1980")
    page.get_by_role("button", name="Create").click()
    expect(page.locator("[data-focus]")).to_be_focused()
    check(page, "patient-new-wrong")
    page.get_by_role("link", name="Date of birth").click()
    expect(page.get_by_label("Day", exact=True)).to_be_focused()
    complaints.expect("422")


def test_the_search_lists_people_as_one_types(page, check):
    page.goto("/patients/")
    page.get_by_role("searchbox").press_sequentially("mueller", delay=20)
    expect(page.locator("#found")).to_have_text("1 found")
    expect(page.locator("#results a.row")).to_contain_text("Müller, Zoë")
    assert "mueller" not in page.url
    check(page, "patients-found")


def test_a_yes_unfolds_what_to_do(page, check):
    page.goto(open_visit(page) + "danger-screen/")
    heart = page.locator("#id_chest")
    expect(heart.locator(".todo")).to_be_hidden()
    heart.get_by_label("Yes", exact=True).check()
    expect(heart.locator(".todo")).to_contain_text("Emergency")
    expect(heart.locator(".unsure")).to_be_hidden()
    check(page, "danger-yes")
    page.get_by_text("Draft kept at").wait_for()
    page.reload()
    page.get_by_role("button", name="Discard it").click()
    expect(heart.get_by_label("No", exact=True)).to_be_checked()


def test_a_consent_is_signed_by_hand_and_shown(device, check):
    page = device("desk").new_page()
    sign_in(page)
    visit = open_visit(page)
    page.goto(visit + "consents/examination/sign/")
    box = page.locator("canvas[data-box]")
    box.scroll_into_view_if_needed()
    at = box.bounding_box()
    assert at
    for turn in range(2):
        page.mouse.move(at["x"] + 60, at["y"] + 60 + turn * 40)
        page.mouse.down()
        page.mouse.move(at["x"] + 300, at["y"] + 140 - turn * 40, steps=8)
        page.mouse.up()
        if turn == 0:
            page.get_by_role("button", name="Clear the signature").click()
    check(page, "consent-drawn")
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_url("**/consents/")
    path = page.locator("svg.signature path").first.get_attribute("d")
    assert path and path.count("M") == 1, "the cleared line is gone, the second one is kept"
    check(page, "consents-signed")

"""Every page of the chart in a real browser, at three sizes: no violation, nothing small, nothing cut off."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from charting.management import demo

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


# What does not hang on the width of the screen is tried on one; the pages themselves on all three.
one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


@pytest.fixture
def check(axe, look) -> Callable[[Page, str], None]:
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def sign_in(page: Page, username: str = "clinician") -> None:
    page.goto("/sign-in/")
    page.fill("input[name=username]", username)
    page.fill("input[name=password]", demo.load()["password"])
    page.click("main button")
    page.wait_for_url("**/")


@pytest.fixture
def page(device, size) -> Page:
    """Signed in as the clinician, at each of the three sizes."""
    made: Page = device(size).new_page()
    sign_in(made)
    return made


def open_visit(page: Page) -> str:
    """The address of the demo visit, `/visits/<id>/`."""
    page.goto("/")
    page.locator("a.row", has_text=demo.load()["patient"][0]["family_name"]).first.click()
    found = re.search(r"/visits/[0-9a-f-]+/", page.url)
    assert found
    return found.group(0)


@pytest.mark.parametrize("path", ["/", "/patients/", "/patients/new/", "/pieces/"])
def test_a_page_outside_of_a_visit(page, check, path):
    page.goto(path)
    check(page, f"page-{path.strip('/').replace('/', '-') or 'today'}")


@pytest.mark.parametrize("step", STEPS)
def test_a_page_of_a_visit(page, check, step):
    page.goto(open_visit(page) + step)
    check(page, f"step-{step.strip('/').replace('/', '-') or 'overview'}")


def test_the_page_of_a_person_and_its_form(page, check):
    open_visit(page)
    page.locator(".patient strong a").click()
    check(page, "patient")
    page.get_by_role("link", name="Change what is on record").click()
    check(page, "patient-edit")


@one_size
@pytest.mark.parametrize("username", ["assistant", "manager"])
def test_the_day_of_the_others(device, check, size, username):
    page = device(size).new_page()
    sign_in(page, username)
    check(page, f"today-{username}")


@one_size
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


@one_size
def test_the_search_lists_people_as_one_types(page, check):
    page.goto("/patients/")
    page.get_by_role("searchbox").press_sequentially("mueller", delay=20)
    expect(page.locator("#found")).to_have_text("1 found")
    expect(page.locator("#results a.row")).to_contain_text("Müller, Zoë")
    assert "mueller" not in page.url
    check(page, "patients-found")


@one_size
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

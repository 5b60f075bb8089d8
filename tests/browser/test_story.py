"""The story by tapping: chips, a question that hangs on another, saved and found again, at three sizes."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import SIZES
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL, open_visit, sign_in
from tests.browser.test_papers import start_visit

# A shoulder after unusual work overhead, as somebody might tell it: what is tapped, by question.
TOLD = {
    "beginning": [("Onset", "after unusual load"), ("Lasting", "up to 6 weeks"), ("Course", "the same")],
    "moves": [
        *(("Brings it on", one) for one in ("arm overhead", "hand behind the back", "lying on that side")),
        ("Eases it", "rest"),
    ],
    "load": [("Postures", "standing"), ("Work load", "work overhead"), ("Dominant hand", "right")],
    "before": [
        ("Earlier episodes", "the first time"),
        ("Treatment so far", "nothing"),
        ("Conditions", "none of these"),
        ("Smoking", "never"),
    ],
    "person": [("Expects", "to recover"), ("Low mood", "No"), ("Much worry", "No"), ("Fears", "No")],
    "answering": [("Who answers", "the patient")],
    "standing": [
        *((one, "No") for one in ("Pregnant", "Implant", "Allergy", "Reaction to needles")),
        ("Blood thinner", "Yes"),
    ],
}


@pytest.fixture
def page(device) -> Page:
    made: Page = device("wide", has_touch=True).new_page()
    sign_in(made)
    return made


def question(page: Page, words: str) -> Locator:
    return page.locator(".told", has_text=re.compile(rf"^\s*{words}"))


def tap(page: Page, words: str, answer: str) -> None:
    question(page, words).locator("label", has_text=re.compile(rf"^\s*{answer}\s*$")).tap()


def sound(page: Page, axe: Callable[[Page], None]) -> None:
    """At all three sizes."""
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == []
        assert page.evaluate(CUT_OFF) <= 0


def test_the_story_is_filled_by_tapping_and_found_again(page, axe, look):
    # Somebody of whom nothing is on record yet.
    page.goto(start_visit(page, "Ferrer", "Imogen") + "story/")
    which = page.get_by_label("Blood thinner or bleeding disorder: which")
    expect(which).to_be_hidden()
    for told in TOLD.values():
        for words, answer in told:
            tap(page, words, answer)
    which.fill("warfarin")
    expect(page.locator("[data-count-of=moves]")).to_have_text("2 of 3")
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.locator(".said")).to_contain_text("Onset: after unusual load.")
    expect(page.locator(".said")).to_contain_text("Brings it on: arm overhead, hand behind the back, lying")
    expect(page.locator(".patient")).to_contain_text("Blood thinner or bleeding disorder: warfarin")
    expect(question(page, "Onset").get_by_label("after unusual load")).to_be_checked()
    sound(page, axe)
    look(page, "story")


def test_a_choice_is_taken_back_also_by_keyboard_and_in_the_draft(page):
    page.goto(open_visit(page) + "story/")
    hand = question(page, "Dominant hand")
    clear = hand.locator(".clear")
    tap(page, "Dominant hand", "left")
    expect(clear).to_be_visible()
    hand.get_by_label("both").focus()
    page.keyboard.press("ArrowRight")
    expect(hand.get_by_label("Clear")).to_be_checked()
    expect(clear).to_be_visible()
    page.get_by_text("Draft kept at").wait_for()
    page.reload()
    expect(hand.locator(":checked:not([value=''])")).to_have_count(0)
    page.get_by_role("button", name="Discard it").click()

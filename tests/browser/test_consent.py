"""Consent in a real browser: signed for areas, confirmed at the next visit, withdrawn; a text worded anew."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_between_visits import register
from tests.browser.test_pages import CUT_OFF, PRESSED, SIZES, TOO_SMALL, sign_in


@pytest.fixture
def page(device) -> Page:
    made: Page = device("desk").new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def at_each_size(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, PRESSED + ", summary") == [], name
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
            look(page, name)
        page.set_viewport_size({"width": 1280, "height": 800})

    return at_each_size


def start(page: Page, person: str, words: str = "Start a visit") -> str:
    """A visit of this person, begun from their page; its address."""
    page.goto(person)
    page.get_by_role("button", name=words, exact=True).click()
    page.wait_for_url(re.compile(r"/visits/[0-9a-f-]{36}/$"))
    return page.url


def sign_by_hand(page: Page) -> None:
    box = page.locator("canvas[data-box]")
    box.scroll_into_view_if_needed()
    at = box.bounding_box()
    assert at
    page.mouse.move(at["x"] + 60, at["y"] + 60)
    page.mouse.down()
    page.mouse.move(at["x"] + 300, at["y"] + 140, steps=8)
    page.mouse.up()


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_needling_is_agreed_to_confirmed_at_the_next_visit_and_withdrawn(page, check, complaints):
    person = register(page, "Quellmatz", "Rosa")
    visit = start(page, person)
    page.goto(visit + "consents/dry-needling/sign/")
    page.get_by_label("Questions asked").fill("Does it hurt? A prick.")
    sign_by_hand(page)
    press(page, "Sign")
    expect(page.get_by_role("alert")).to_contain_text("Tick every area that is agreed to.")
    complaints.expect("422")
    expect(page.get_by_label("Questions asked")).to_have_value("Does it hurt? A prick.")
    check(page, "consent-needling-no-area")
    page.get_by_label("Neck", exact=True).check()
    page.get_by_label("Right shoulder", exact=True).check()
    press(page, "Sign")
    page.wait_for_url("**/consents/")
    expect(page.locator("#messages")).to_contain_text("Consent to dry needling: signed.")
    expect(page.locator(".signed")).to_contain_text("neck, right shoulder")
    check(page, "consent-needling-signed")

    second = start(page, person, "Start another visit")
    page.goto(second + "consents/")
    expect(page.locator(".earlier .chip")).to_have_text("to be confirmed")
    check(page, "consent-to-confirm")
    page.get_by_role("button", name=re.compile("Confirmed today by word of mouth")).click()
    expect(page.locator(".earlier .chip")).to_have_text("confirmed in this visit")

    page.goto(person + "consents/")
    check(page, "consent-of-person")
    link = page.get_by_role("link", name=re.compile("Copy for the patient")).get_attribute("href")
    assert page.request.get(str(link)).headers["content-type"] == "application/pdf"
    page.get_by_role("link", name=re.compile("^Withdraw")).click()
    page.get_by_label("By telephone").check()
    page.get_by_label("In which words (optional)").fill("No needles any more.")
    check(page, "consent-withdraw")
    press(page, "Record the withdrawal")
    page.wait_for_url("**/consents/")
    expect(page.locator(".signed .chip")).to_have_text("withdrawn")
    check(page, "consent-withdrawn")
    page.goto(second + "consents/")
    expect(page.get_by_text("withdrawn since")).to_be_visible()


def test_a_sensitive_area_is_agreed_to_with_a_chaperone(page, check, complaints):
    visit = start(page, register(page, "Ostermark", "Ida"))
    page.goto(visit + "consents/buttock/sign/")
    page.get_by_label("Left buttock").check()
    page.get_by_label("Treatment by hand").check()
    page.get_by_label("Offered and accepted").check()
    sign_by_hand(page)
    press(page, "Sign")
    expect(page.get_by_role("alert")).to_contain_text("Name the person who is present.")
    complaints.expect("422")
    check(page, "consent-buttock")
    page.get_by_label("Name of the chaperone").fill("Poll Weber")
    press(page, "Sign")
    page.wait_for_url("**/consents/")
    expect(page.locator(".signed")).to_contain_text("Chaperone: offered and accepted, Poll Weber")


def test_a_practice_words_a_text_its_own_way(page, check, complaints):
    page.goto("/consent-texts/")
    check(page, "consent-texts")
    page.get_by_role("link", name=re.compile("Consent for the groin")).click()
    page.get_by_role("link", name="Change the words").click()
    words = page.get_by_label("Words of part 4")
    words.fill("Pressing can hurt. About 22 in 100 people are sore.")
    page.get_by_label("Reason for this change").fill("Shorter.")
    press(page, "Preview")
    expect(page.get_by_role("alert")).to_contain_text("tells a rate. Name the published source")
    complaints.expect("422")
    words.fill("Pressing can hurt for a moment.")
    press(page, "Preview")
    expect(page.get_by_role("heading", name="Preview: not saved yet")).to_be_visible()
    check(page, "consent-text-edit")
    press(page, "Save as the next version")
    expect(page.locator("#messages")).to_contain_text("version 2 is signed from now on")
    check(page, "consent-text-own")
    page.get_by_role("link", name=re.compile("Version 2")).click()
    expect(page.locator(".changes del").first).to_be_visible()
    check(page, "consent-text-version")

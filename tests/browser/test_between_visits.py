"""What happens between the visits, in a real browser: a call is logged and followed up, a paper is added."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL, sign_in
from tests.charting.contacts import files


@pytest.fixture
def page(device) -> Page:
    made: Page = device("wide", has_touch=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED + ", .log a") == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def register(page: Page, family: str, given: str) -> str:
    """Somebody new, with an emergency contact; the address of the page."""
    page.goto("/patients/new/")
    page.get_by_label("Family name").fill(family)
    page.get_by_label("Given names").fill(given)
    for part, value in (("Day", "9"), ("Month", "May"), ("Year", "1979")):
        page.get_by_label(part, exact=True).fill(value)
    page.get_by_label("Sex (optional)").select_option("female")
    page.get_by_label("Emergency contact (optional)").fill("Jon Rebgasser")
    page.get_by_label("Number to call (optional)").fill("000 000 12")
    page.get_by_role("button", name="Create").click()
    page.wait_for_url(re.compile("/patients/[0-9a-f-]{36}/"))
    return page.url


def log(page: Page, way: str, words: str, *, follow_up: bool = False) -> None:
    page.locator(".choices label", has_text=way).click()
    page.get_by_label("What was said or done").fill(words)
    if follow_up:
        page.get_by_label("Somebody is still to follow this up").check()


def test_a_call_is_logged_followed_up_and_corrected(page, check, complaints):
    person = register(page, "Rebgasser", "Isa")
    page.get_by_role("link", name="Change what is on record").click()
    expect(page.get_by_label("Number to call (optional)")).to_have_value("000 000 12")
    check(page, "patient-form")
    page.get_by_role("link", name="Cancel").click()
    page.get_by_role("link", name="Contact log").click()
    page.get_by_role("button", name="Add to the log").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose what it was.")
    complaints.expect("422")
    check(page, "contacts-wrong")
    log(
        page,
        "Call from the patient",
        "The left knee is sore. Asks to be called.",
        follow_up=True,
    )
    page.get_by_role("button", name="Add to the log").click()
    expect(page.locator(".log .chip")).to_have_text("to be followed up")
    page.get_by_role("link", name="Follow up").click()
    expect(page.get_by_role("button", name="Settle the follow-up")).to_be_visible()
    check(page, "contacts-follow-up")
    log(page, "Call to the patient", "Reached. It eases with a walk.")
    page.get_by_role("button", name="Settle the follow-up").click()
    expect(page.locator(".log .chip")).to_have_text("followed up")
    page.get_by_role("link", name="Correct Call from the patient").click()
    expect(page.get_by_label("What was said or done")).to_have_value(re.compile("left knee"))
    page.get_by_label("What was said or done").fill("The right knee is sore since the visit.")
    page.get_by_role("button", name="Correct it").click()
    expect(page.locator(".log s")).to_contain_text("left knee")
    check(page, "contacts")
    page.goto(person)
    expect(page.locator(".log")).to_contain_text("right knee")
    check(page, "contacts-patient")


def test_a_paper_is_added_looked_at_and_taken_out_of_use(page, check, complaints):
    register(page, "Holderbach", "Timo")
    page.get_by_role("link", name="Papers from others").click()
    page.locator(".choices label", has_text="Imaging").click()
    page.get_by_label("Title").fill("MRI of the neck")
    page.get_by_label("File").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"<svg/>"}
    )
    # The words are kept as a draft; the file is sent with the form only.
    with page.expect_request("**/drafts/keep/") as kept:
        page.get_by_label("Title").blur()
    assert "MRI of the neck" in str(kept.value.post_data) and "svg" not in str(kept.value.post_data)
    page.get_by_role("button", name="Add it to the chart").click()
    expect(page.get_by_role("alert")).to_contain_text(
        "Only JPEG and PNG pictures and PDF documents are taken."
    )
    complaints.expect("422")
    check(page, "papers-wrong")
    scan = {"name": "scan.pdf", "mimeType": "application/pdf", "buffer": files.pdf(pages=2)}
    page.get_by_label("File").set_input_files(scan)
    page.get_by_role("button", name="Add it to the chart").click()
    expect(page.get_by_role("link", name="MRI of the neck")).to_be_visible()
    check(page, "papers")
    page.get_by_role("link", name="MRI of the neck").click()
    picture = page.get_by_alt_text("MRI of the neck, page 1 of 2")
    expect(picture).to_be_visible()
    assert picture.evaluate("each => each.decode().then(() => each.naturalWidth)") == 625
    check(page, "paper")
    page.get_by_label("Reason").fill("Another person's scan.")
    page.get_by_role("button", name="Take it out of use").click()
    expect(page.locator(".log")).to_contain_text("Another person's scan.")
    check(page, "papers-struck")

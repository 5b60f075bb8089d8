"""The note of a visit in a real browser: what the hand found beside the words, and before signing."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.people import demo_visit, sign_in
from tests.browser.test_pages import CUT_OFF


@pytest.mark.parametrize("size", ["tall", "wide"], indirect=True)
def test_findings_and_conclusions_stand_in_the_note_and_before_the_signature(device, size, axe, look):
    page: Page = device(size).new_page()
    sign_in(page)
    visit = demo_visit(page)
    page.goto(visit + "note/")
    expect(page.get_by_role("heading", name="Examination by hand")).to_be_visible()
    axe(page)
    look(page, "note")
    page.goto(visit + "note/sign/")
    page.get_by_text("Felt in the same area: what tells").click()
    expect(page.get_by_role("heading", name="Muscles, examined by hand")).to_be_visible()
    axe(page)
    assert page.evaluate(CUT_OFF) <= 0
    look(page, "note-sign")

"""The page of rules in a real browser: what the hand feels unfolds with its figures and sources."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL


# A page of one column, and a long one: tried on the narrowest screen only.
@pytest.mark.parametrize("size", ["tall"], indirect=True)
def test_a_sign_of_a_muscle_unfolds_with_how_repeatable_it_is(device, size, axe, look):
    page: Page = device(size).new_page()
    sign_in(page)
    page.goto("/rules/")
    page.get_by_role("link", name="Signs of a muscle").click()
    page.locator("#muscles-band summary").click()
    expect(page.get_by_text("Kappa from -0.08 to 0.75")).to_be_visible()
    for other in (
        "muscles-criteria",
        "palpation-felt_active",
        "palpation-silent-latent",
        "ranges-neck_rotation",
    ):
        page.locator(f"#{other} summary").click()
        expect(page.locator(f"#{other} dl")).to_be_visible()
    axe(page)
    assert page.evaluate(TOO_SMALL, PRESSED) == []
    assert page.evaluate(CUT_OFF) <= 0
    look(page, "rules")

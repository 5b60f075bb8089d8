"""The examining hand in a real browser: few taps, nothing lost, everything within reach of one thumb."""

import os
import re
import uuid
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from charting.examination.queries import felt_of, muscles_of
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded

PHONE = (390, 844)


@pytest.fixture
def visit(records) -> Visit:
    """A visit of its own: story, danger screen and a drawing, no muscle yet."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=900_000 + uuid.uuid4().int % 90_000)
    return recorded.whole_visit(person, mara)


@pytest.fixture
def page(device, visit) -> Page:
    made: Page = device("tall", has_touch=True).new_page()
    sign_in(made)
    made.goto(f"/visits/{visit.pk}/muscles/")
    return made


def photo(page: Page, name: str, *, full: bool = False) -> None:
    """The four sizes as they stand in the hand; nothing without $LOOK."""
    if folder := os.environ.get("LOOK", ""):
        before = page.viewport_size
        for width, height in (*SIZES.values(), PHONE):
            page.set_viewport_size({"width": width, "height": height})
            if page.locator("#hand").count():
                page.evaluate("document.querySelector('#hand').scrollIntoView()")
            page.screenshot(path=Path(folder) / f"{name}-{width}x{height}.png", full_page=full)
        page.set_viewport_size(before)


def from_ranking(page: Page) -> None:
    page.get_by_role("button", name=re.compile("^Take the first")).tap()
    page.wait_for_url(re.compile("muscle="))


def shown(page: Page):
    return page.locator("form.panel:not([hidden])")


def saved(page: Page) -> None:
    expect(shown(page).locator("[data-saving]")).to_contain_text("Saved")


def test_look(page, visit, axe):
    photo(page, "empty", full=True)
    from_ranking(page)
    photo(page, "begun")
    shown(page).get_by_role("button", name="Active").tap()
    saved(page)
    photo(page, "active")
    photo(page, "active-full", full=True)
    axe(page)
    for width, height in (*SIZES.values(), PHONE):
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate(TOO_SMALL, PRESSED) == []
        assert page.evaluate(CUT_OFF) <= 0

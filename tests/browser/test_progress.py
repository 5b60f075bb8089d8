"""The course of five visits in a real browser: on one axis, on paper, ended, and gone on with."""

import io
import os
import uuid
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Page, expect

from charting.episodes.models import Episode
from charting.staff.models import User
from tests.browser.conftest import SIZES
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded
from tests.charting.progress import courses


@pytest.fixture
def five(records) -> Episode:
    """Five signed visits of an invented person over twelve weeks."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=700_000 + uuid.uuid4().int % 90_000)
    return courses.five(person, mara)[0]


@pytest.fixture
def check(axe, look):
    """Nothing to complain of at any of the three sizes."""

    def at_each(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, PRESSED) == [], (name, width)
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window of {width}"
        look(page, name)

    return at_each


def printed(page: Page, name: str) -> str:
    """The text of the page on paper; its pages in grey in the folder $LOOK."""
    document = pypdfium2.PdfDocument(io.BytesIO(page.pdf(format="A4", print_background=False)))
    folder = os.environ.get("LOOK", "")
    for number, sheet in enumerate(document, 1):
        if folder:
            grey = sheet.render(scale=1.4, grayscale=True).to_pil()
            grey.save(Path(folder) / f"{name}-paper-{number}.png")
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in document)
    return " ".join(text.split())


def test_the_course_is_seen_printed_ended_and_gone_on_with(device, five, check, complaints):
    page = device("desk").new_page()
    sign_in(page)
    page.goto(f"/patients/{five.patient_id}/progress/")
    expect(page.get_by_role("heading", name="Progress: Right shoulder")).to_be_visible()
    expect(page.get_by_role("img", name="Drawings by date")).to_be_visible()
    for name in ("Pain rating", "Extent of the drawing", "Pressure pain threshold", "Range: Shoulder"):
        expect(page.get_by_role("figure", name=name)).to_be_visible()
    expect(page.get_by_role("figure", name="Pain rating").get_by_role("row")).to_have_count(5)
    page.locator("summary").first.click()
    check(page, "progress")
    paper = printed(page, "progress")
    assert "Since the first visit" in paper and "7 of 10" in paper and "29 Jul 2026" in paper
    assert "Sign out" not in paper and "Compare two drawings" not in paper

    page.get_by_role("link", name="Discharge").click()
    expect(page.get_by_role("heading", name="The summary that is kept")).to_be_visible()
    page.get_by_label("In words").fill("Lifts the arm again.")
    page.get_by_role("button", name="Discharge").click()
    expect(page.locator("[data-focus]")).to_contain_text("Choose why the episode ends.")
    complaints.expect("422")
    expect(page.get_by_label("In words")).to_have_value("Lifts the arm again.")
    check(page, "discharge-wrong")
    page.get_by_label("Goals reached").check()
    page.get_by_role("button", name="Discharge").click()
    expect(page.locator("#messages")).to_contain_text("The episode is discharged.")
    expect(page.get_by_role("button", name="Discharge")).to_have_count(0)
    check(page, "discharged")
    paper = printed(page, "discharged")
    assert "Goals reached." in paper and "Lifts the arm again." in paper and "7 to 3" in paper

    page.get_by_role("link", name="Reopen").click()
    page.get_by_label("Why it goes on").fill("The pain came back after a fall.")
    page.get_by_role("button", name="Reopen").click()
    page.wait_for_url(lambda address: "/reopen/" not in address)
    page.goto(f"/patients/{five.patient_id}/episodes/{five.pk}/discharge/")
    expect(page.get_by_role("heading", name="An earlier discharge, reopened since")).to_be_visible()
    expect(page.get_by_role("button", name="Discharge")).to_be_visible()


def test_a_hundred_visits_fit_the_window(device, records, check):
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=600_000 + uuid.uuid4().int % 90_000)
    courses.many(person, mara, 100)
    page = device("tall").new_page()
    sign_in(page)
    page.goto(f"/patients/{person.pk}/progress/")
    expect(page.locator("#strip-words")).to_contain_text("100 of 100 visits say where it hurts.")
    assert page.evaluate(CUT_OFF) <= 0

"""The practice as a whole in a real browser: chosen, looked at in three sizes, printed in grey, saved."""

import csv
import io
import os
from datetime import timedelta
from pathlib import Path

import pypdfium2
import pytest
from django.test import override_settings
from playwright.sync_api import Page, expect

from charting.staff.models import User
from charting.treatment.models import AdverseEvent
from clinic import settings
from tests.browser.conftest import SIZES
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded
from tests.charting.review.practices import HAND, LOW_BACK, NECK, PERIOD, people, scored, visit_of

SHOULDER = ("front", "ache", ("humeral_head", "deltoid_insertion", "biceps_mid"), 46)


@pytest.fixture
def rowan(records) -> User:
    """Works in a practice of many invented people, with whom no other test has to do."""
    at = recorded.practice("Reedmoor Practice")
    rowan = recorded.member(at, "rowan", first_name="Rowan", last_name="Achterberg")
    for number, visit in enumerate(people(rowan, 30, NECK, SHOULDER, visits=2)):
        recorded.treat(visit, "pressure", "trapezius_upper.right")
        recorded.treat(visit, "needling", "infraspinatus.right", needles=recorded.NEEDLES)
        if number < 25:
            scored(visit, 7, 4 if number < 18 else 7)
        if number < 4:
            reacts(visit)
    people(rowan, 11, NECK, LOW_BACK, sex="male")
    people(rowan, 3, HAND, sex="male")
    late = people(rowan, 1, NECK)[0]
    visit_of(late.patient, rowan, NECK, at=late.started_at + timedelta(days=3))
    return rowan


def reacts(visit) -> None:
    AdverseEvent.objects.create(
        patient=visit.patient,
        visit=visit,
        technique="needling",
        happened_at=visit.started_at,
        what="bruise",
        severity="mild",
        words="Blue for two days.",
        recorded_by=visit.clinician,
    )


def sign_in_as(page: Page, who: User) -> None:
    # Hashed as the server hashes, not as quick tests do.
    with override_settings(PASSWORD_HASHERS=settings.PASSWORD_HASHERS):
        who.set_password(recorded.PASSWORD)
    who.save(update_fields=["password"])
    page.goto("/sign-in/")
    page.get_by_label("Username").fill(who.username)
    page.get_by_label("Password").fill(recorded.PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda address: "/sign-in/" not in address)


def check(page: Page, name: str, axe, look) -> None:
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == [], (name, width)
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window of {width}"
    look(page, name)


def printed(page: Page) -> str:
    document = pypdfium2.PdfDocument(io.BytesIO(page.pdf(format="A4", print_background=False)))
    if folder := os.environ.get("LOOK", ""):
        for number, sheet in enumerate(document, 1):
            grey = sheet.render(scale=1.4, grayscale=True).to_pil()
            grey.save(Path(folder) / f"review-paper-{number}.png")
    return " ".join(" ".join(sheet.get_textpage().get_text_range() for sheet in document).split())


def test_the_practice_is_looked_at_narrowed_printed_and_saved(device, rowan, axe, look, complaints):
    page = device("desk").new_page()
    sign_in_as(page, rowan)
    page.get_by_role("link", name="Practice", exact=True).click()
    page.wait_for_url("**/practice/")
    page.get_by_role("link", name="Review of the practice").click()
    page.wait_for_url("**/review/")
    page.get_by_label("From").select_option("2026-03")
    page.get_by_label("To", exact=True).select_option("2026-06")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("heading", name="Practice review: March 2026 to June 2026")).to_be_visible()
    expect(page.get_by_text("45 to 49 people")).to_be_visible()
    expect(page.get_by_role("img", name="Figure from the back: at most 40 to 44 people")).to_be_visible()
    expect(page.get_by_role("row", name="Neck 40 to 44")).to_be_visible()
    expect(page.get_by_role("row", name="Right wrist and hand")).to_have_count(0)
    expect(page.get_by_role("row", name="Any reaction 4 30 13.3 %").first).to_be_visible()
    for folded in page.locator("main summary").all():
        folded.click()
    check(page, "review", axe, look)
    paper = printed(page)
    assert "40 to 44" in paper and "Brady 2014" in paper and "Everybody, last twelve months" not in paper

    page.get_by_label("Sex").select_option("male")
    page.get_by_label("Kind of pain").select_option("tingling")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_text("Too few people to show.")).to_be_visible()
    expect(page.get_by_role("heading", name="Where people hurt")).to_have_count(0)
    expect(page.get_by_role("row", name="Any reaction 4 30 13.3 %").first).to_be_visible()
    check(page, "review-few", axe, look)

    page.goto(f"/review/?{PERIOD}&sex=male")
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save as CSV").click()
    rows = list(csv.reader(io.StringIO(Path(saved.value.path()).read_text("utf-8-sig"))))
    assert ["Where it hurts", "Neck", "People", "10 to 14", "", "10", "14"] in rows
    page.goto("/review/?first=2026-06&last=2026-03")
    expect(page.get_by_role("alert")).to_contain_text("The last month lies before the first")
    complaints.expect("422")
    check(page, "review-wrong", axe, look)

"""Scores in a real browser: tapped, typed, corrected, held against the visit before."""

import uuid
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from charting.outcomes.models import OutcomeScore
from charting.outcomes.queries import scores_of
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, TOO_SMALL
from tests.charting import recorded

ACTIVITIES = [{"name": name, "value": value} for name, value in (("Stairs", 3), ("Lifting", 5), ("Sleep", 4))]
BEFORE = {
    "nprs": {"average": 7, "now": 6, "worst": 9},
    "psfs": {"activities": ACTIVITIES},
    "ndi": {"sum": 20, "answered": 10},
}


@pytest.fixture
def visit(records) -> Visit:
    """A visit with a drawing on the neck and nothing else, and one three weeks before it with scores."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=700_000 + uuid.uuid4().int % 90_000)
    before, visit = (Visit.objects.create(patient=person, clinician=mara) for _ in range(2))
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=21))
    recorded.draw(visit, recorded.NECK_PRESSURE)
    for name, answers in BEFORE.items():
        OutcomeScore.objects.create(visit=before, instrument=name, answers=answers)
    return visit


@pytest.fixture
def page(device, size, visit) -> Page:
    made: Page = device(size, has_touch=True).new_page()
    sign_in(made)
    made.goto(f"/visits/{visit.pk}/outcomes/")
    return made


def tap(page: Page, row: str, number: str) -> None:
    page.get_by_role("group", name=row).get_by_text(number, exact=True).tap()


def save(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).tap()


def test_scores_are_tapped_and_typed_and_their_change_is_read(page, visit, axe, look, complaints):
    look(page, "scores-new")
    tap(page, "On average", "5")
    tap(page, "Now", "2")
    tap(page, "Stairs", "6")
    tap(page, "Lifting", "7")
    page.get_by_label("Sum of the items").first.fill("46")
    page.get_by_label("Items answered, of 10").first.fill("9")
    save(page)
    wrong = page.get_by_role("alert")
    expect(wrong).to_contain_text("9 answered items add up to a whole number from 0 to 45.")
    expect(page.get_by_label("Sum of the items").first).to_have_value("46")
    complaints.expect("422")
    axe(page)
    look(page, "scores-wrong")
    page.get_by_label("Sum of the items").first.fill("10")
    save(page)
    expect(page.get_by_text("The scores are saved.")).to_be_visible()
    pain = page.get_by_role("region", name="Pain rating, 0 to 10")
    expect(pain).to_contain_text("2 points less (28.6 %), better. Within measurement error")
    chosen = page.get_by_role("region", name="Activities the patient chose")
    expect(chosen).to_contain_text("left out: Sleep")
    neck = page.get_by_role("region", name="Neck Disability Index")
    expect(neck).to_contain_text("11.1 of 50 (22.2 %), mild")
    expect(neck).to_contain_text("May be measurement error")
    pain.get_by_text("In points and per cent, with sources").tap()
    expect(pain.get_by_text("30 %: not reached").first).to_be_visible()
    pain.get_by_text("How it is scored").tap()
    axe(page)
    assert not page.evaluate(TOO_SMALL)
    assert not page.evaluate(CUT_OFF)
    look(page, "scores-saved")
    kept = {row.instrument: row.answers for row in scores_of(visit)}
    assert kept["nprs"] == {"average": 5, "now": 2}
    assert kept["ndi"] == {"sum": 10, "answered": 9}
    assert [one["value"] for one in kept["psfs"]["activities"]] == [6, 7, None]


@pytest.mark.parametrize("size", ["wide"], indirect=True)
def test_a_rating_is_given_and_taken_back_by_keyboard(page, visit):
    row = page.get_by_role("group", name="At its worst")
    row.get_by_role("radio", name="4", exact=True).focus()
    page.keyboard.press("Space")
    page.keyboard.press("ArrowRight")
    expect(row.get_by_role("radio", name="5", exact=True)).to_be_checked()
    save(page)
    expect(page.get_by_text("The scores are saved.")).to_be_visible()
    row.get_by_role("radio", name="open", exact=True).focus()
    page.keyboard.press("Space")
    save(page)
    expect(page.get_by_text("The scores are saved.")).to_be_visible()
    expect(row.get_by_role("radio", name="open", exact=True)).to_be_checked()
    assert not scores_of(visit)

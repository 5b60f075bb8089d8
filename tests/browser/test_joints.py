"""Joints and range in a real browser: filled by touch and by keyboard, held against the visit before."""

import re
import uuid
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from charting.examination.joints import joint_of
from charting.examination.range_limits import Taken
from charting.examination.services import record_joints
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL, sign_in
from tests.charting import recorded

RIGHT = ("shoulder_flexion", "right")


@pytest.fixture
def visit(records) -> Visit:
    """A visit with a drawing on the shoulder and nothing else, and one a week before it with readings."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=800_000 + uuid.uuid4().int % 90_000)
    before, visit = (Visit.objects.create(patient=person, clinician=mara) for _ in range(2))
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=7))
    read = {RIGHT: Taken(active=120, instrument="inclinometer", hurts="yes", pain=6)}
    state = joint_of(before, "shoulder").state
    said = {"joint": "shoulder", "state": state, "readings": read}
    record_joints(who=mara, visit=before, tests={("shoulder:hawkins", "right"): ("positive", "")}, **said)
    return visit


@pytest.fixture
def page(device, size, visit) -> Page:
    made: Page = device(size, has_touch=True).new_page()
    sign_in(made)
    made.goto(f"/visits/{visit.pk}/joints/?joint=shoulder")
    return made


one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


def save(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text(re.compile("^Saved: "))).to_be_visible()


@one_size
def test_a_shoulder_is_recorded_by_touch_and_held_against_the_visit_before(page, visit, axe, look):
    expect(page.get_by_role("radio", name="Inclinometer", exact=True)).to_be_checked()
    right = page.get_by_role("group", name="Shoulder, Flexion, right")
    right.get_by_label("Shoulder, Flexion, right, active, in °").fill("150")
    right.locator("label", has_text=re.compile("^yes$")).tap()
    right.get_by_label("Pain from 0 to 10").fill("3")
    right.get_by_label("End feel").select_option("firm")
    left = page.get_by_role("group", name="Shoulder, Flexion, left")
    left.get_by_label("active").fill("170")
    page.get_by_role("button", name="All painless here").tap()
    expect(page.locator("[data-section=range] [data-count]")).to_have_text("14 of 14")
    expect(page.locator("[data-section=range] [data-abnormal]")).to_have_text("1 painful")
    page.get_by_role("button", name="All negative here").tap()
    save(page)
    kept = joint_of(visit, "shoulder")
    assert kept.readings[RIGHT] == Taken(150, None, "inclinometer", "firm", "yes", 3)
    assert kept.readings["shoulder_flexion", "left"] == Taken(
        active=170, instrument="inclinometer", hurts="no"
    )
    assert kept.tests["shoulder:neer", "left"] == ("negative", "")
    expect(right).to_contain_text("30° more, more than error of measurement (least change 8°, 90 %)")
    expect(page.locator(".movement", has_text="Flexion").first).to_contain_text("right 20° less than left")
    axe(page)
    look(page, "joints-shoulder")


@one_size
def test_the_keyboard_alone_fills_a_movement_and_another_joint_keeps_what_was_typed(page, visit):
    page.get_by_label("Shoulder, Flexion, right, active, in °").focus()
    for key in ("9", "0", "Tab", "1", "0", "0", "Tab", "ArrowRight"):
        page.keyboard.press(key)
    chosen = page.get_by_role("group", name="Shoulder, Flexion, right").locator("input[type=radio]:checked")
    expect(chosen).to_have_value("yes")
    page.get_by_role("button", name=re.compile("^Knee")).press("Enter")
    expect(page.get_by_role("heading", name="Range", exact=True)).to_be_visible()
    expect(page.get_by_label("Knee, Flexion, right, active, in °")).to_have_value("")
    page.get_by_role("button", name=re.compile("^Shoulder.*not saved")).press("Enter")
    expect(page.get_by_label("Shoulder, Flexion, right, active, in °")).to_have_value("90")
    assert not joint_of(visit, "shoulder").readings


def test_nothing_is_crowded_and_what_is_wrong_is_focused(page, axe, look, complaints):
    page.get_by_role("link", name="Same list as then").tap()
    expect(page.get_by_text("Shown first is what was examined then")).to_be_visible()
    expect(page.get_by_text("6 other movements")).to_be_visible()
    page.get_by_label("Shoulder, Flexion, left, active, in °").fill("300")
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.locator("[data-focus]")).to_be_focused()
    expect(page.locator("[data-focus]")).to_contain_text("Shoulder, Flexion, left: 300° is outside 0 to 200°")
    complaints.expect("422")
    axe(page)
    look(page, "joints-wrong")
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert page.evaluate(CUT_OFF) == 0
    assert page.evaluate(TOO_SMALL, PRESSED) == []
    look(page, "joints-unfolded")


def test_no_joint_is_wider_than_the_screen(page, visit, axe, look):
    for joint in ("neck", "lumbar", "sacroiliac", "ankle", "jaw"):
        page.goto(f"/visits/{visit.pk}/joints/?joint={joint}")
        assert page.evaluate(CUT_OFF) == 0, joint
        assert page.evaluate(TOO_SMALL, PRESSED) == [], joint
        look(page, f"joints-{joint}")
    axe(page)


def test_without_script_the_page_fills_and_saves_too(device, visit):
    page = device("wide", java_script_enabled=False).new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/joints/?joint=knee")
    page.get_by_label("Goniometer", exact=True).check()
    page.get_by_label("Knee, Flexion, right, active, in °").fill("130")
    page.get_by_role("button", name="All painless here").click()
    expect(page.get_by_label("Knee, Flexion, right, active, in °")).to_have_value("130")
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.get_by_text("Saved: knee.")).to_be_visible()
    assert joint_of(visit, "knee").readings["knee_flexion", "right"].hurts == "no"

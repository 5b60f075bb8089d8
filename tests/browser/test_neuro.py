"""The neuro screen in a real browser: few taps, the keyboard alone, nothing crowded."""

import re
import uuid

import pytest
from playwright.sync_api import Locator, Page, expect

from charting.screening.queries import found_in
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL, sign_in
from tests.charting import recorded


@pytest.fixture
def visit(records) -> Visit:
    """A visit of its own, with nothing in it."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=900_000 + uuid.uuid4().int % 90_000)
    return Visit.objects.create(patient=person, clinician=mara)


@pytest.fixture
def page(device, size, visit) -> Page:
    made: Page = device(size).new_page()
    sign_in(made)
    made.goto(f"/visits/{visit.pk}/neuro-screen/")
    return made


one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


def tap(within: Page | Locator, name: str | re.Pattern[str], grade: str) -> None:
    """Choose a grade, or, when it is chosen, open it again."""
    labels = within.get_by_role("group", name=name).locator("label")
    labels.filter(has_text=re.compile(f"^{grade}$")).click()


def unfold(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details.section').forEach((each) => { each.open = true; })")


def save(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text(re.compile("^The .* saved.$"))).to_be_visible()


@one_size
def test_a_normal_arm_with_one_finding_takes_three_taps_and_is_saved(page, visit, axe, look):
    page.get_by_role("button", name="All normal", exact=True).click()
    tap(page, "Strength, Elbow extensors, left", "4")
    row = page.locator(".tested", has_text="Elbow extensors")
    expect(row.locator("[data-differs]")).to_have_text("sides differ: right 5, left 4")
    expect(row.locator("[data-says]").nth(1)).to_contain_text("some resistance")
    expect(page.locator("[data-section=strength] [data-abnormal]")).to_have_text("1 outside normal")
    expect(page.locator("[data-section=strength] [data-count]")).to_have_text("10 of 10")
    save(page)
    found = found_in(visit)
    assert len(found) == 26 and found["strength:C7", "left"] == ("4", "")
    assert not any(key.startswith(("pin", "neck", "tension", "pretest")) for key, _ in found)
    expect(page.get_by_role("heading", name="What fits what is saved")).to_be_visible()
    axe(page)
    look(page, "neuro-arm-saved")


@one_size
def test_the_keyboard_alone_walks_the_grid_and_saves(page, visit):
    group = page.get_by_role("group", name="Light touch, C5, right")
    group.get_by_role("radio").first.focus()
    for key in ("2", "ArrowDown", "1", "ArrowDown", "n", "Tab"):
        page.keyboard.press(key)
    # What is not normal has a remark, and Tab goes through it.
    left = page.get_by_role("group", name="Light touch, C7, left").get_by_role("radio")
    expect(left.first).to_be_focused()
    for key in ("ArrowRight", "ArrowRight", "ArrowUp", "2", "Delete", "x", "Tab"):
        page.keyboard.press(key)
    page.keyboard.type("plaster")
    page.keyboard.press("Enter")
    expect(page.get_by_text(re.compile("^The .* saved.$"))).to_be_visible()
    assert found_in(visit) == {
        ("touch:C5", "right"): ("2", ""),
        ("touch:C6", "right"): ("1", ""),
        ("touch:C7", "right"): ("2", ""),
        ("touch:C7", "left"): ("2", ""),
        ("touch:C6", "left"): ("NT", "plaster"),
    }


@one_size
def test_a_section_and_a_side_have_a_tap_of_their_own_and_a_grade_opens_again(page):
    page.get_by_role("heading", name="Pin prick").click()
    pin = page.locator("[data-section=pin]")
    pin.get_by_role("button", name="Left normal").click()
    expect(pin.locator("[data-count]")).to_have_text("5 of 10")
    assert page.locator(".section :checked").count() == 5
    tap(pin, "C5, left", "2")
    expect(pin.locator("[data-count]")).to_have_text("4 of 10")
    pin.get_by_text("Not tested", exact=True).click()
    pin.get_by_role("textbox", name="Reason").fill("no pin at hand")
    pin.get_by_role("button", name="For all still open here").click()
    expect(pin.locator("[value=NT]:checked")).to_have_count(6)
    expect(pin.locator("[data-count]")).to_have_text("4 of 10")
    page.get_by_text("Draft kept at").wait_for()
    page.reload()
    expect(page.locator("[data-section=pin] [value=NT]:checked")).to_have_count(6)


@one_size
def test_another_part_keeps_what_was_typed_and_the_whole_form_fits_a_draft(page):
    page.get_by_role("button", name="All normal", exact=True).click()
    page.get_by_role("button", name="Everything").click()
    expect(page.get_by_role("button", name="Everything")).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".section :checked")).to_have_count(26)
    unfold(page)
    for button in page.get_by_role("button", name=re.compile("^All .* here$")).all():
        button.click()
    assert page.locator(".section :checked").count() > 230
    page.get_by_text("Draft kept at").wait_for()


@one_size
def test_everything_is_neither_small_nor_cut_off_at_three_sizes(page, visit, axe, look):
    page.goto(f"/visits/{visit.pk}/neuro-screen/?show=all")
    axe(page)
    look(page, "neuro-everything")
    unfold(page)
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate(TOO_SMALL, PRESSED) == []
        assert page.evaluate(CUT_OFF) <= 0
    look(page, "neuro-everything-unfolded")


@one_size
def test_a_cluster_shows_its_arithmetic_and_vitals_are_one_step_away(page, visit, axe, look, complaints):
    page.goto(f"/visits/{visit.pk}/neuro-screen/?show=arm&show=cord")
    page.get_by_role("heading", name="Neurodynamic tests").click()
    for name in ("Neck, Spurling, right", "Neck, Distraction eases, right"):
        tap(page, name, "positive")
    tap(page, re.compile("Median .*, right"), "positive")
    page.get_by_label("Neck, Rotation, right, in °").fill("45")
    save(page)
    expect(page.get_by_text("30.3").first).to_be_visible()
    look(page, "neuro-cluster")
    page.get_by_role("link", name="Vitals, gait, looked at").click()
    page.get_by_label("Temperature, in °C").fill("44")
    tap(page, "Gait", "abnormal")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("[data-focus]")).to_be_focused()
    expect(page.locator("[data-focus]")).to_contain_text("Temperature: Out of range")
    axe(page)
    complaints.expect("422")
    look(page, "vitals-wrong")
    page.get_by_label("Temperature, in °C").fill("38,5")
    save(page)
    assert found_in(visit)["vital:temperature", ""] == ("38.5", "")

"""Codes in a real browser: found by words, refused with better ones, kept with a reason, ordered."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from charting.coding.models import DiagnosisCode
from charting.coding.queries import codes_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.charting import recorded


@pytest.fixture
def visit(records) -> Iterator[Visit]:
    """Right shoulder, neck and thumb are drawn, muscles felt; a visit before it has codes."""
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=4800 + Patient.objects.count())
    before = Visit.objects.create(patient=person, clinician=nora)
    for position, (code, title) in enumerate((("M54.2", "Cervicalgia"), ("R20.2", "Paresthesia of skin"))):
        said = {"title": title, "release": "April 2026", "position": position, "chosen_by": nora}
        DiagnosisCode.objects.create(visit=before, code=code, **said)
    made = recorded.whole_visit(person, nora)
    recorded.feel(made)
    yield made


@pytest.fixture
def page(device) -> Page:
    context: BrowserContext = device("desk", has_touch=True)
    page = context.new_page()
    sign_in(page)
    return page


def test_codes_are_found_refused_kept_and_ordered(page, visit, axe, look, complaints):
    page.goto(f"/visits/{visit.pk}/codes/")
    chosen = page.locator("#chosen")
    expect(chosen).to_contain_text("None is chosen yet.")
    axe(page)
    look(page, "codes-empty")

    page.get_by_role("button", name="Take over these 2 codes").click()
    expect(page.get_by_text("Taken over: M54.2, R20.2.")).to_be_visible()
    expect(chosen.get_by_role("listitem").first).to_contain_text("main code")

    find = page.get_by_label("A code or words in any order")
    find.press_sequentially("shoulder pain left")
    found = page.locator("#found")
    expect(found.get_by_role("button", name="Choose M25.512, Pain in left shoulder")).to_be_visible()
    axe(page)
    look(page, "codes-found")

    found.get_by_role("button", name="Choose M25.512").click()
    refusal = page.get_by_role("alert").filter(has_text="is not chosen yet")
    expect(refusal).to_be_focused()
    complaints.expect("422")
    expect(refusal).to_contain_text("on the right: M25.511")
    axe(page)
    look(page, "codes-caution")
    refusal.get_by_label("Why M25.512 is right all the same").fill("Drawn on the wrong side.")
    refusal.get_by_role("button", name="Keep M25.512 with this reason").click()
    expect(chosen).to_contain_text("Kept because: Drawn on the wrong side.")

    chosen.get_by_role("button", name="Make M25.512 the main code").click()
    expect(chosen.get_by_role("listitem").first).to_contain_text("M25.512")
    assert [row.code for row in codes_of(visit)] == ["M25.512", "M54.2", "R20.2"]
    look(page, "codes-chosen")
    chosen.get_by_text("What the list says of M25.512").click()
    axe(page)


def test_two_that_exclude_each_other_are_named_and_it_works_without_script_and_by_keyboard(
    device, visit, look, complaints
):
    context: BrowserContext = device("desk", java_script_enabled=False)
    page = context.new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/codes/")
    find = page.get_by_label("A code or words in any order")
    find.fill("trigger point")
    find.press("Enter")
    page.wait_for_url("**/codes/?q=trigger*")
    below = page.get_by_role("list", name="Below M79.1").last
    below.get_by_role("button", name="Choose M79.18").press("Enter")
    expect(page.get_by_text("M79.18 is chosen: Myalgia, other site.")).to_be_visible()

    page.get_by_label("A code or words in any order").fill("M79.7")
    page.get_by_label("A code or words in any order").press("Enter")
    page.wait_for_url("**/codes/?q=M79.7")
    page.get_by_role("button", name="Choose M79.7, Fibromyalgia").press("Enter")
    refusal = page.get_by_role("alert").filter(has_text="may not stand together")
    expect(refusal).to_contain_text("M79.7 (Fibromyalgia) and M79.18 (Myalgia, other site)")
    complaints.expect("422")
    look(page, "codes-excluded")
    assert [row.code for row in codes_of(visit)] == ["M79.18"]

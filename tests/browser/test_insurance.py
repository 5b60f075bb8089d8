"""Who pays, in a real browser: from an empty page to a note that says what an insurer asks."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.people import sign_in
from tests.browser.test_between_visits import register
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL


@pytest.fixture
def page(device) -> Page:
    made: Page = device("wide", has_touch=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED + ", .missing a") == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def day(page: Page, label: str, number: str, month: str, year: str) -> None:
    group = page.get_by_role("group", name=label, exact=False)
    for part, value in (("Day", number), ("Month", month), ("Year", year)):
        group.get_by_label(part, exact=True).fill(value)


def saved(page: Page, words: str) -> None:
    expect(page.locator("#messages")).to_contain_text(words)


def begun(page: Page, family: str, given: str) -> str:
    """The address of the person's page, with a visit begun."""
    person = register(page, family, given)
    page.get_by_role("button", name="Start a visit").click()
    page.wait_for_url(re.compile("/visits/"))
    page.goto(person)
    return person


def test_somebody_new_to_it_records_who_pays(page, check, complaints):
    person = begun(page, "Wegmann", "Ruth")
    page.get_by_role("link", name=re.compile("^Insurance")).click()
    page.wait_for_url("**/insurance/")
    check(page, "insurance-empty")
    page.get_by_role("link", name="Add a policy").click()
    page.get_by_role("link", name="Add a payer", exact=True).click()
    page.get_by_role("button", name="Add the payer").click()
    expect(page.get_by_role("alert")).to_contain_text("Enter the name of the payer.")
    complaints.expect("422")
    page.get_by_label("Name", exact=True).fill("Northlake Mutual")
    page.locator(".choices label", has_text="8-minute rule").click()
    for asked in ("Visits authorised beforehand", "Time in and out"):
        page.locator(".choices label", has_text=asked).click()
    check(page, "payers")
    page.get_by_role("button", name="Add the payer").click()
    saved(page, "Northlake Mutual is added.")
    page.goto(person)
    page.get_by_role("link", name=re.compile("^Insurance")).click()
    page.get_by_role("link", name="Add a policy").click()
    page.get_by_label("Payer", exact=True).select_option(label="Northlake Mutual")
    page.get_by_label("Policy number").fill("NM-2204")
    check(page, "policies")
    page.get_by_role("button", name="Add the policy").click()
    page.wait_for_url(re.compile("/insurance/"))
    saved(page, "The policy is added.")
    page.get_by_label("Policy", exact=True).select_option(label="Northlake Mutual NM-2204")
    page.locator(".choices label", has_text="Accident or strain at work").click()
    day(page, "Day of the injury", "5", "March", "2026")
    page.get_by_role("button", name="Save", exact=True).click()
    saved(page, "What the insurer is told is saved.")
    missing = page.get_by_role("region", name="Missing for the insurer")
    expect(missing).to_contain_text("What the patient could do before it began is missing.")
    check(page, "insurance-missing")
    missing.get_by_role("link", name="No authorisation holds").click()
    page.get_by_text("Add an authorisation").click()
    page.get_by_label("Authorisation number").fill("A-7")
    page.get_by_label("Visits authorised").fill("1")
    page.get_by_role("button", name="Add the authorisation").click()
    saved(page, "The authorisation is added.")
    expect(page.locator("#authorisations")).to_contain_text("1 of 1 used: none left")
    page.get_by_text("Record the work status").click()
    page.locator("#work .choices label", has_text="Limited work").click()
    page.get_by_label("Per cent of full work").fill("50")
    page.get_by_role("button", name="Add the work status").click()
    saved(page, "The work status is added.")
    expect(page.locator("#work")).to_contain_text("Limited work, 50 %")
    expect(missing).not_to_contain_text("No authorisation")
    check(page, "insurance")


def test_what_was_typed_is_kept_and_a_clash_shows_both(page, device, check, complaints):
    begun(page, "Brunnhuber", "Emil")
    page.get_by_role("link", name=re.compile("^Insurance")).click()
    other = device().new_page()
    sign_in(other)
    other.goto(page.url)
    page.get_by_label("Claim number").fill("CL-1")
    page.get_by_label("Claim number").blur()
    expect(page.locator(".groups [data-draft-state]")).to_contain_text("Draft kept")
    page.reload()
    expect(page.get_by_label("Claim number")).to_have_value("CL-1")
    expect(page.get_by_text("was brought back")).to_be_visible()
    other.get_by_label("Claim number").fill("CL-2")
    other.get_by_role("button", name="Save", exact=True).click()
    saved(other, "What the insurer is told is saved.")
    page.get_by_role("button", name="Save", exact=True).click()
    told = page.get_by_role("alert")
    expect(told).to_contain_text("CL-2")
    expect(told).to_contain_text("CL-1")
    complaints.expect("409")
    check(page, "insurance-clash")


def test_registration_numbers_are_entered_by_who_answers_for_them(page, check):
    page.goto("/registration-numbers/")
    check(page, "registration-numbers")
    box = page.get_by_label("Registration number of").first
    before = box.input_value()
    box.fill("PR 77")
    page.get_by_role("button", name="Save the number of").first.click()
    saved(page, "is saved.")
    expect(page.get_by_label("Registration number of").first).to_have_value("PR 77")
    page.get_by_label("Registration number of").first.fill(before)
    page.get_by_role("button", name="Save the number of").first.click()
    saved(page, "is saved.")
    expect(page.get_by_label("Registration number of").first).to_have_value(before)

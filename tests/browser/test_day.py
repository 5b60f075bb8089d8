"""A day at the practice, in a real browser: the desk books and says who is here, the clinician begins from
the list, who does not come stands in the contact log; a complaint is discharged and comes back.
"""

import re
from datetime import date

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from charting.appointments.models import Appointment
from charting.episodes import services as episodes
from charting.patients import services as patients
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser import people
from tests.browser.conftest import SIZES
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL

BORN = {"given_names": "Lene", "birth_date": date(1971, 4, 9)}


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        """At each of the three sizes."""
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, PRESSED + ", .day .who") == [], name
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, name)

    return all_of_it


def somebody(family: str) -> Patient:
    people.nobody_expected()
    nora = User.objects.get(username="clinician")
    return patients.register(who=nora, all_the_same=True, family_name=family, **BORN)


def signed_in(device, username: str) -> Page:
    page: Page = device("wide", has_touch=True).new_page()
    people.sign_in(page, username)
    return page


def book(page: Page, family: str, at: str) -> None:
    """From the day list, for today."""
    page.goto("/")
    page.get_by_role("link", name="New appointment").click()
    page.get_by_label("Find a patient").fill(family)
    page.get_by_role("button", name="Find").click()
    page.locator("a.row", has_text=family).click()
    day = timezone.localdate(timezone=Patient.objects.all()[0].practice.zone)
    for part, value in (("Day", day.day), ("Month", day.month), ("Year", day.year)):
        page.get_by_label(part, exact=True).fill(str(value))
    page.get_by_label("Time", exact=True).fill(at)
    page.get_by_label("With", exact=True).select_option(label="Nora Feldt, Physiotherapist")
    page.get_by_label("Reason (optional)").fill("Neck, first visit")
    page.get_by_role("button", name="Make the appointment").click()


def within(page: Page, heading: str, family: str):
    section = page.locator("section", has=page.get_by_role("heading", name=heading, exact=True))
    return section.locator("li", has_text=family)


def test_the_desk_books_and_the_clinician_begins(device, records, check, complaints):
    somebody("Tallgren")
    desk = signed_in(device, "desk")
    book(desk, "Tallgren", "25:99")
    expect(desk.get_by_role("alert")).to_contain_text("Enter the time as hours and minutes")
    complaints.expect("422")
    check(desk, "day-appointment-wrong")
    desk.get_by_label("Time", exact=True).fill("23:40")
    desk.get_by_role("button", name="Make the appointment").click()
    expect(desk.locator("#messages")).to_contain_text("Lene Tallgren is expected on")
    row = within(desk, "Expected", "Tallgren")
    expect(row).to_contain_text("23:40")
    check(desk, "day-expected")
    book(desk, "Tallgren", "23:50")
    expect(desk.get_by_role("alert")).to_contain_text("Somebody is expected then already")
    complaints.expect("422")
    check(desk, "day-taken")
    desk.goto("/")
    row.get_by_role("button", name="Here").click()
    waits = within(desk, "In the room", "Tallgren")
    expect(waits).to_contain_text("waiting 0 min")
    check(desk, "day-here")

    nora = signed_in(device, "clinician")
    nora.goto("/")
    within(nora, "In the room", "Tallgren").get_by_role("button", name="Begin").click()
    nora.wait_for_url("**/visits/**")
    expect(nora.get_by_text("About: Care since")).to_be_visible()
    nora.goto("/")
    begun = within(nora, "In the room", "Tallgren")
    expect(begun).to_contain_text("not signed")
    check(nora, "day-begun")
    begun.get_by_role("link", name="Hand over the device").click()
    expect(nora.get_by_role("button", name="Hand the device to the patient")).to_be_visible()
    desk.goto("/")
    waits.get_by_role("link", name="Hand over the device").click()
    expect(desk.get_by_role("heading", name="Hand over the device")).to_be_visible()
    check(desk, "day-hand-over")
    desk.get_by_role("button", name="Hand the device to the patient").click()
    expect(desk.get_by_role("button", name="Yes")).to_be_visible()


def test_who_does_not_come_stands_in_the_contact_log(device, records, check):
    person = somebody("Norrgard")
    nora = User.objects.get(username="clinician")
    Appointment.objects.create(patient=person, clinician=nora, starts_at=timezone.now(), made_by=nora)
    desk = signed_in(device, "desk")
    desk.goto("/")
    row = within(desk, "Expected", "Norrgard")
    row.get_by_role("link", name="Change").click()
    expect(desk.get_by_role("button", name="Mark as missed")).to_be_visible()
    check(desk, "day-appointment")
    desk.get_by_label("What is known of it (optional)").fill("Did not answer the phone.")
    desk.get_by_role("button", name="Mark as missed").click()
    gone = within(desk, "Missed or cancelled", "Norrgard")
    expect(gone).to_contain_text("Did not answer the phone.")
    check(desk, "day-missed")
    desk.goto(f"/patients/{person.pk}/contacts/")
    expect(desk.locator(".log")).to_contain_text("missed. Did not answer the phone.")
    expect(desk.locator(".log .chip")).to_have_text("to be followed up")
    desk.goto("/")
    gone.get_by_role("button", name="Came after all").click()
    expect(within(desk, "In the room", "Norrgard")).to_contain_text("waiting")
    desk.goto(f"/patients/{person.pk}/contacts/")
    expect(desk.locator(".log s")).to_contain_text("Did not answer the phone.")


def test_a_complaint_is_discharged_and_comes_back(device, records, check, complaints):
    person = somebody("Ekdahl")
    page = signed_in(device, "clinician")
    page.goto(f"/patients/{person.pk}/")
    page.get_by_role("button", name="Start a visit").click()
    page.wait_for_url("**/visits/**")
    page.goto(f"/patients/{person.pk}/")
    page.get_by_role("link", name="Give it a title").click()
    page.get_by_label("Title").fill("Right shoulder")
    check(page, "day-title")
    page.get_by_role("button", name="Save the title").click()
    expect(page.get_by_role("heading", name="Right shoulder")).to_be_visible()
    check(page, "day-patient-open")
    discharged(person)
    page.reload()
    expect(page.get_by_text("goals reached")).to_be_visible()
    check(page, "day-patient-discharged")
    page.get_by_role("link", name="Start a visit").click()
    page.locator(".choices label", has_text="Right shoulder again").click()
    page.get_by_role("button", name="Start the visit").click()
    expect(page.get_by_role("alert")).to_contain_text("Write why the same complaint is seen again.")
    complaints.expect("422")
    check(page, "day-which")
    page.get_by_label("Why the same complaint is seen again").fill("Back after a fall on the ice.")
    page.get_by_role("button", name="Start the visit").click()
    page.wait_for_url(re.compile("/visits/[0-9a-f-]{36}/$"))
    expect(page.get_by_text("About: Right shoulder")).to_be_visible()
    check(page, "day-visit")
    discharged(person)
    page.goto(f"/patients/{person.pk}/")
    page.get_by_role("link", name="Reopen").click()
    page.get_by_label("Why it goes on").fill("One more visit was agreed.")
    check(page, "day-reopen")
    page.get_by_role("button", name="Reopen it").click()
    expect(page.locator("#messages")).to_contain_text("The care for this complaint goes on.")


def discharged(person: Patient) -> None:
    """Signed and discharged, without the walk there."""
    nora = User.objects.get(username="clinician")
    Visit.objects.filter(patient=person, signed_at=None).update(signed_at=timezone.now())
    (episode,) = person.episodes.all()
    said = {"reason": "goals", "words": "Reaches overhead again, sleeps on it.", "summary": {}}
    episodes.discharge(who=nora, episode=episode, **said)

"""One invented patient from the day list through three visits to discharge, in a real browser.

What has a browser test of its own is written through the services where the way is not the point: the
drawings of the second and third visit, and their appointments.
"""

import re
import uuid
from datetime import date, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from charting.appointments import services as appointments
from charting.management import demo
from charting.patients import services as patients
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.people import nobody_expected, sign_in
from tests.browser.test_consent import sign_by_hand
from tests.browser.test_day import book, within
from tests.browser.test_pages import CUT_OFF
from tests.browser.test_whole_way import answer_no_to_all, draw
from tests.charting import recorded

FAMILY = "Vestergaard"
# The second and the third drawing: less of the same arm.
LESS = ("front", "ache", ("humeral_head", "deltoid_mid", "deltoid_insertion"), 30)
LEAST = ("front", "ache", ("humeral_head", "deltoid_mid"), 20)


@pytest.fixture
def person(records) -> Patient:
    nora = User.objects.get(username="clinician")
    about = {"given_names": "Runa", "birth_date": date(1977, 2, 3), "sex": "female"}
    return patients.register(who=nora, all_the_same=True, family_name=FAMILY, **about)


@pytest.fixture
def check(axe, look):
    def at_each_size(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window of {width}"
        look(page, f"three-visits-{name}")

    return at_each_size


def signed_in(device, username: str) -> Page:
    page: Page = device("wide", has_touch=True).new_page()
    sign_in(page, username)
    return page


def booked(person: Patient, reason: str) -> None:
    """By the desk, for now."""
    desk, nora = (User.objects.get(username=name) for name in ("desk", "clinician"))
    appointments.make(
        who=desk,
        patient=person,
        id=uuid.uuid4(),
        clinician=nora,
        starts_at=timezone.now() + timedelta(minutes=1),
        minutes=30,
        reason=reason,
        all_the_same=True,
    )


def begin(desk: Page, nora: Page) -> str:
    """The desk marks who is here, the clinician begins from the list; the address of the visit."""
    desk.goto("/")
    within(desk, "Expected", FAMILY).get_by_role("button", name="Here").click()
    expect(within(desk, "In the room", FAMILY)).to_contain_text("waiting")
    nora.goto("/")
    within(nora, "In the room", FAMILY).get_by_role("button", name="Begin").click()
    nora.wait_for_url(re.compile(r"/visits/[0-9a-f-]{36}/"))
    return re.search(r"/visits/[0-9a-f-]{36}/", nora.url)[0]


def score(page: Page, visit: str, pain: str, activities: dict[str, str]) -> None:
    page.goto(f"{visit}outcomes/")
    for row in ("On average", "Now"):
        page.get_by_role("group", name=row).get_by_text(pain, exact=True).tap()
    for place, (name, value) in enumerate(activities.items(), 1):
        page.locator(f"[name=psfs_name_{place}]").fill(name)
        page.locator(f"label:has(input[name=psfs_value_{place}][value='{value}'])").tap()
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text("The scores are saved.")).to_be_visible()


def sign_consent(page: Page, visit: str) -> None:
    page.goto(f"{visit}consents/manual-treatment/sign/")
    page.get_by_label("Right shoulder", exact=True).check()
    sign_by_hand(page)
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.locator("#messages")).to_contain_text("signed.")


def confirm_consent(page: Page, visit: str) -> None:
    page.goto(f"{visit}consents/")
    page.get_by_role("button", name=re.compile("Confirmed today by word of mouth")).click()
    expect(page.locator(".earlier .chip")).to_have_text("confirmed in this visit")


def treat(page: Page, visit: str, minutes: str) -> None:
    page.goto(f"{visit}treatment/?place=infraspinatus.right&technique=pressure")
    page.get_by_role("textbox", name="Minutes").fill(minutes)
    page.get_by_role("button", name="Record it").tap()
    expect(page.locator("#done")).to_contain_text(f"{minutes} minutes")


def write_and_sign(page: Page, visit: str, assessment: str) -> None:
    page.goto(f"{visit}note/")
    page.locator("#section-assessment").get_by_label("In your own words").fill(assessment)
    page.locator("#section-plan").get_by_label("In your own words").fill(
        "Pressure and stretch, again next week."
    )
    page.get_by_role("button", name="Save and read before signing").click()
    page.get_by_label("Password").fill(demo.load()["password"])
    page.get_by_role("button", name="Sign the note").click()
    expect(page.get_by_role("heading", name="Signed note")).to_be_visible(timeout=60_000)


def test_one_patient_goes_from_the_day_list_through_three_visits_to_discharge(device, person, check):
    desk, nora = signed_in(device, "desk"), signed_in(device, "clinician")
    nobody_expected()
    book(desk, FAMILY, "23:55")
    expect(desk.locator("#messages")).to_contain_text("is expected on")

    # The first visit: everything from the list to the signature.
    first = begin(desk, nora)
    nora.get_by_role("link", name="Drawing").first.click()
    nora.get_by_role("link", name="Draw what the patient shows").click()
    draw(nora)
    nora.goto(first)
    answer_no_to_all(nora)
    score(nora, first, "7", {"Reaching the shelf": "2", "Sleeping on the right": "3", "Swimming": "1"})
    nora.goto(f"{first}muscles/")
    nora.get_by_role("button", name=re.compile("^Take the first")).tap()
    nora.wait_for_url(re.compile("muscle="))
    form = nora.locator("form.panel:not([hidden])")
    form.get_by_role("button", name="Active", exact=True).tap()
    expect(form.locator("[data-saving]")).to_contain_text("Saved")
    sign_consent(nora, first)
    treat(nora, first, "10")
    write_and_sign(nora, first, "Infraspinatus brings on the arm ache she knows.")

    # The second and the third: agreed to by word of mouth, scored, treated, signed.
    for drawing, pain, better, words in (
        (LESS, "5", ("5", "5", "4"), "Half of it gone."),
        (LEAST, "2", ("8", "9", "7"), "Reaches the shelf."),
    ):
        booked(person, "Shoulder")
        visit = begin(desk, nora)
        recorded.draw(Visit.objects.get(pk=visit.split("/")[2]), drawing)
        answer_no_to_all(nora)
        names = ("Reaching the shelf", "Sleeping on the right", "Swimming")
        score(nora, visit, pain, dict(zip(names, better, strict=True)))
        confirm_consent(nora, visit)
        treat(nora, visit, "8")
        write_and_sign(nora, visit, words)

    # The course says what changed, beyond the error of measurement or not, and how much.
    nora.goto(f"/patients/{person.pk}/progress/")
    said = nora.get_by_role("main")
    expect(said).to_contain_text("3 visits on")
    expect(said).to_contain_text(
        "On average: 7 to 2: 5 points less (71.4 %), better. More than measurement error"
    )
    expect(nora.get_by_role("figure", name="Extent of the drawing")).to_be_visible()
    check(nora, "progress")

    # Discharged with the summary; the page of the patient shows it, and nobody is in the room any more.
    nora.get_by_role("link", name="Discharge").click()
    expect(nora.get_by_role("heading", name="The summary that is kept")).to_be_visible()
    nora.get_by_label("Goals reached").check()
    nora.get_by_label("In words").fill("Reaches the shelf and swims again.")
    nora.get_by_role("button", name="Discharge").click()
    expect(nora.locator("#messages")).to_contain_text("The episode is discharged.")
    check(nora, "discharged")
    nora.goto(f"/patients/{person.pk}/")
    expect(nora.get_by_text("goals reached")).to_be_visible()
    check(nora, "patient")
    (episode,) = person.episodes.all()
    assert not episode.is_open
    assert episode.visits.filter(signed_at__isnull=False).count() == 3
    desk.goto("/")
    expect(within(desk, "In the room", FAMILY)).to_have_count(0)
    expect(within(desk, "Expected", FAMILY)).to_have_count(0)

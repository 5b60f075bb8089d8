"""Danger signs in a real browser: an emergency holds the muscles back until somebody has decided about it."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, expect

from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import save_danger_answers, sign_in
from tests.charting import recorded

# Left front of the chest would do as well: which side it is says nothing against the heart (Swap 2005).
CHEST = ("front", "pressure", ("sternum_mid", "humeral_head"), 40)


@pytest.fixture
def visit(records) -> Iterator[Visit]:
    """Pain of chest, shoulder and arm, drawn; nothing asked yet."""
    nora = User.objects.get(username="clinician")
    number = 3000 + Patient.objects.count()
    person = recorded.patient(nora.practice, number=number)
    made = Visit.objects.create(patient=person, clinician=nora)
    recorded.draw(made, CHEST, recorded.SHOULDER_ACHE, recorded.THUMB_TINGLING, intensities={"ache": 6})
    yield made


@pytest.fixture
def page(device) -> Page:
    context: BrowserContext = device("desk", has_touch=True)
    page = context.new_page()
    sign_in(page)
    return page


def answer_the_screen(page: Page, visit: Visit, **others: str) -> None:
    page.goto(f"/visits/{visit.pk}/danger-screen/")
    for question in page.locator("fieldset.asked").all():
        key = str(question.get_attribute("id")).removeprefix("id_")
        question.locator(f"input[value={others.get(key, 'no')}]").check()
    save_danger_answers(page)


def muscles(page: Page) -> int:
    return page.locator("ol.candidates > li").count()


def test_an_emergency_holds_the_muscles_back_until_it_is_decided(page, visit, axe, look, complaints):
    answer_the_screen(page, visit, bladder_bowel_saddle="yes")
    page.get_by_role("link", name=re.compile("^What to examine")).first.click()
    expect(page.get_by_role("heading", name="Decide first")).to_be_visible()
    assert muscles(page) == 0
    expect(page.get_by_role("heading", name="Nerves, joints and organs felt there too")).to_be_visible()
    axe(page)
    look(page, "flags-held-back")

    page.get_by_role("link", name="decide on the page of danger signs").click()
    expect(page.get_by_role("heading", name=re.compile("Emergency: act at once"))).to_be_visible()
    expect(page.get_by_role("navigation", name="Steps of this visit")).to_contain_text("1 to decide")
    axe(page)
    look(page, "flags-to-decide")

    form = page.get_by_role("form", name="Decide about: Cauda equina")
    form.get_by_label("Sent to emergency care now").check()
    form.get_by_label("Why").fill("New numbness since the morning, cannot pass water.")
    form.get_by_role("button", name="Save the decision").click()
    expect(page.locator("[data-focus]")).to_be_focused()
    expect(page.locator("[data-focus]")).to_contain_text("Say whom you called.")
    form = page.get_by_role("form", name="Decide about: Cauda equina")
    expect(form.get_by_label("Why")).to_have_value("New numbness since the morning, cannot pass water.")
    axe(page)
    look(page, "flags-decision-wrong")
    complaints.expect("422")

    form.get_by_label("Whom you called").fill("Emergency service")
    now = timezone.localtime(timezone=visit.patient.practice.zone)
    form.get_by_label("Time of the call").fill(f"{now:%H:%M}")
    form.get_by_label("What the patient was advised").fill("To go now, with an ambulance.")
    form.get_by_role("group", name="The patient says: understood").get_by_label("Yes").check()
    due = now.date() + timedelta(days=1)
    boxes = form.get_by_role("group", name=re.compile("^Follow up on"))
    for part, value in (("Day", due.day), ("Month", due.month), ("Year", due.year)):
        boxes.get_by_label(part).fill(str(value))
    form.get_by_role("button", name="Save the decision").click()
    expect(page.get_by_text("Decided: Cauda equina.")).to_be_visible()
    axe(page)
    look(page, "flags-decided")

    page.get_by_role("link", name="On to what to examine").click()
    expect(page.locator("ol.candidates > li").first).to_be_visible()
    look(page, "flags-given-free")

    page.goto("/")
    row = page.locator("section", has=page.get_by_role("heading", name="To follow up")).locator("a.row")
    expect(row.filter(has_text="Cauda equina").first).to_contain_text("Keller")
    axe(page)
    look(page, "flags-today")
    row.filter(has_text="Cauda equina").first.click()
    page.get_by_label("How it ended").fill("Operated on in the night; called the ward.")
    look(page, "flags-follow-up")
    page.get_by_role("button", name="Close the follow-up").click()
    expect(page.get_by_text("The follow-up is closed.")).to_be_visible()


def test_a_drawing_of_chest_and_arm_calls_for_the_questions_about_the_heart(page, visit, axe, look):
    answer_the_screen(page, visit)
    page.goto(f"/visits/{visit.pk}/flags/")
    heart = page.get_by_role("group", name=re.compile("^Chest, jaw or arm pain now"))
    expect(heart).to_be_visible()
    heart.get_by_label("Yes").check()
    sweat = page.get_by_role("group", name=re.compile("^Sweating, sickness or breathlessness"))
    sweat.get_by_label("Not sure").check()
    page.get_by_role("button", name="Save the answers").click()
    expect(page.get_by_role("form", name="Decide about: Heart")).to_be_visible()
    expect(heart.get_by_label("Yes")).to_be_checked()
    axe(page)
    look(page, "flags-asked-on")

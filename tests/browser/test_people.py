"""People in a real browser: a list brought from elsewhere, two records made one and taken apart; each page
looked at in three sizes.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from charting.history.models import StandingFact
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.test_pages import CUT_OFF, PRESSED, SIZES, TOO_SMALL, sign_in

HEAD = "Surname;First name;Date of birth;Sex;E-mail;Shoe size\n"
BAD = (
    HEAD
    + "Quarzfeld;Ida;07.03.1975;f;;38\nQuarzfeld;Otto;1975-03-07;m;otto at home;44\nQuarzfeld;;3.4.1975;?;;\n"
)
GOOD = (
    HEAD
    + "Quarzfeld;Ida;07.03.1975;f;ida@example.org;38\nQuarzfeld;Otto;3.4.1971;m;;44\n"
    + "Quarzfeld;Idda;07.03.1975;f;;38\n"
)


@pytest.fixture
def desk(device) -> Page:
    made: Page = device("desk").new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def at_each_size(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, PRESSED + ", summary") == [], name
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
            look(page, name)
        page.set_viewport_size({"width": 1280, "height": 800})

    return at_each_size


def bring(page: Page, content: str) -> None:
    page.goto("/import/csv/")
    file = {"name": "people.csv", "mimeType": "text/csv", "buffer": content.encode("cp1252")}
    page.get_by_label("File").set_input_files(file)
    page.get_by_text("day, month, year").click()
    page.get_by_role("button", name="Look at the file").click()
    page.wait_for_url(re.compile(r"/import/of/"))


def test_a_list_is_shown_mended_and_taken_in(desk, records, complaints, check):
    desk.goto("/patients/")
    desk.get_by_role("link", name="Import").click()
    desk.get_by_role("link", name="Import a list of people").click()
    desk.wait_for_url("**/import/csv/")
    check(desk, "import")
    bring(desk, BAD)
    refused = desk.get_by_role("region", name=re.compile("Nothing can be taken in"))
    expect(refused).to_contain_text("Line 3, column Date of birth")
    expect(refused).to_contain_text("Line 3, column E-mail")
    expect(refused).to_contain_text("Line 4, column First name")
    expect(desk.get_by_role("button", name="Take it in")).to_have_count(0)
    check(desk, "import-refused")
    desk.get_by_role("button", name="Leave it").click()
    expect(desk.locator("#messages")).to_contain_text("Nothing of it was kept")
    bring(desk, GOOD)
    expect(desk.get_by_text("Shoe size")).to_be_visible()
    desk.get_by_role("button", name="Take it in").click()
    expect(desk.get_by_role("alert")).to_contain_text("Line 4, Idda Quarzfeld: choose")
    complaints.expect("422")
    check(desk, "import-shown")
    desk.get_by_text("Leave out: it is the same person").click()
    desk.get_by_role("button", name="Take it in").click()
    expect(desk.get_by_text("2 registered, 0 changed, 1 left out")).to_be_visible()
    check(desk, "import-done")
    assert Patient.objects.filter(family_name="Quarzfeld").count() == 2


def registered(given: str, day: str, phone: str) -> Patient:
    nora = User.objects.get(username="clinician")
    told = {"practice": nora.practice, "family_name": "Zwillenberg", "given_names": given, "phone": phone}
    number = 1 + Patient.objects.order_by("-record_number")[0].record_number
    search = f"{given} zwillenberg".lower()
    return Patient.objects.create(**told, birth_date=day, record_number=number, search_name=search)


def answered(patient: Patient, **facts: str) -> Visit:
    nora = User.objects.get(username="clinician")
    visit = Visit.objects.create(patient=patient, clinician=nora)
    for key, value in facts.items():
        told = {"patient": patient, "visit": visit, "confirmed_by": nora}
        StandingFact.objects.create(**told, key=key, value=value)
    return visit


def test_two_records_are_compared_made_one_and_taken_apart(desk, records, complaints, check):
    kept = registered("Maria", "1961-02-03", "000 1")
    gone = registered("Marie", "1961-03-02", "000 2")
    answered(kept, anticoagulant="no", pacemaker="no")
    visit = answered(gone, anticoagulant="yes", anticoagulant_which="warfarin")
    desk.goto("/patients/twice/")
    check(desk, "registered-twice")
    desk.goto(f"/patients/{kept.pk}/merge/")
    desk.get_by_label("Number of the other record").fill(str(gone.record_number))
    check(desk, "merge-find")
    desk.get_by_role("button", name="Look at both").click()
    expect(desk.get_by_role("heading", name="Are these two different people?")).to_be_visible()
    expect(desk.get_by_role("heading", name=re.compile("the two records disagree"))).to_be_visible()
    check(desk, "merge")
    desk.get_by_label(re.compile("^Phone: 000 2")).check()
    desk.get_by_label("How do you know that they are one person?").fill("Asked; same identity card.")
    desk.get_by_label(re.compile("of the record that goes$")).last.fill(str(kept.record_number))
    desk.get_by_role("button", name=re.compile("^Merge record")).click()
    expect(desk.get_by_role("alert")).to_contain_text("of the record that goes")
    complaints.expect("422")
    expect(desk.get_by_label("How do you know that they are one person?")).to_have_value(
        "Asked; same identity card."
    )
    expect(desk.get_by_label(re.compile("^Phone: 000 2"))).to_be_checked()
    for box in desk.get_by_role("checkbox").all():
        box.check()
    desk.get_by_label(re.compile("date of birth of the record that goes$")).fill("2.3.1961")
    check(desk, "merge-typed")
    desk.get_by_role("button", name=re.compile("^Merge record")).click()
    expect(desk.locator("#messages")).to_contain_text("The two records are one now.")
    desk.get_by_text("These are two people").click()
    check(desk, "merged")
    apart = desk.url
    desk.goto(f"/patients/{gone.pk}/")
    expect(desk.locator("#messages")).to_contain_text("was merged into this one")
    expect(desk.get_by_text("two records disagree: ask again")).to_be_visible()
    check(desk, "merged-person")
    desk.goto(apart)
    desk.get_by_text("These are two people").click()
    desk.get_by_label("How do you know that they are two people?").fill("Cousins, as both say.")
    desk.get_by_role("button", name="Take the records apart").click()
    expect(desk.locator("#messages")).to_contain_text("stand alone again")
    check(desk, "taken-apart")
    visit.refresh_from_db()
    assert visit.patient == gone

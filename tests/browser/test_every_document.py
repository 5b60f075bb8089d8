"""Every document of one invented patient of the demo practice: made in a real browser, read back, checked."""

import io
import json
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from django.test import override_settings
from playwright.sync_api import Page, expect

from charting.exchange.fhir.checks import problems_in
from charting.management import course_file, courses, demo
from charting.patients.models import Patient
from charting.staff.models import User
from clinic import settings
from tests.browser.people import nobody_expected, sign_in
from tests.charting.exchange import schema
from tests.charting.exchange.exported import all_of

FAMILY = "Ferrante"
# What PDFium reads where a line ends at a hyphen.
BROKEN = "\ufffe"


@pytest.fixture(scope="module")
def person(server, django_db_blocker) -> Iterator[Patient]:
    """Insured after an accident at work: four signed visits, codes, a progress report, a correction."""
    course = next(each for each in course_file.load() if each.data["family_name"] == FAMILY)
    # The server made the accounts: with its own hashers, not with the quick ones of the tests.
    with django_db_blocker.unblock(), override_settings(PASSWORD_HASHERS=settings.PASSWORD_HASHERS):
        named = {
            user.username: user
            for user in User.objects.filter(practice__name=demo.load()["practice"]["name"])
        }
        clinician = named["clinician"]
        # Not courses.team(): other tests may have opened further practices in this database.
        who = courses.Team(clinician.practice, clinician, named["desk"])
        courses._Writer(course, who, courses._clock(who.practice)).write(lambda: True)
        nobody_expected()
        yield Patient.objects.get(family_name=FAMILY)


@pytest.fixture
def page(device, person) -> Page:
    made: Page = device("desk", accept_downloads=True).new_page()
    sign_in(made)
    made.goto(f"/patients/{person.pk}/")
    return made


def read_back(pdf: bytes, person: Patient, name: str) -> str:
    """The text of a document, which is tagged, titled, and says on every page whose it is."""
    with pikepdf.open(io.BytesIO(pdf)) as tagged:
        assert tagged.Root.Lang == "en" and tagged.Root.MarkInfo.Marked
        assert tagged.docinfo.Title
    pages = [sheet.get_textpage().get_text_range() for sheet in pictured(pdf, name)]
    for number, text in enumerate(pages, 1):
        assert person.name in text, f"{name}, page {number}"
        assert f"record {person.record_number}" in text, f"{name}, page {number}"
    return " ".join(" ".join(pages).replace(BROKEN, "").split())


def pictured(pdf: bytes, name: str) -> list[pypdfium2.PdfPage]:
    """Its pages; as pictures in the folder $LOOK."""
    sheets = list(pypdfium2.PdfDocument(io.BytesIO(pdf)))
    folder = os.environ.get("LOOK", "")
    for number, sheet in enumerate(sheets if folder else (), 1):
        sheet.render(scale=1.6).to_pil().save(Path(folder) / f"document-{name}-{number}.png")
    return sheets


def behind(page: Page, address: str) -> bytes:
    answer = page.request.get(address)
    assert answer.status == 200 and answer.headers["content-type"] == "application/pdf", address
    return answer.body()


def both(page: Page, person: Patient, name: str) -> str:
    """The document of this page on both sizes of paper; what it says, the same on both."""
    said = []
    for size in ("A4", "Letter"):
        address = str(page.get_by_role("link", name=f"PDF, {size}").first.get_attribute("href"))
        said.append(read_back(behind(page, address), person, f"{name}-{size.lower()}"))
    # Lines end elsewhere on the other paper, within words with a hyphen too.
    assert [set(each.replace("-", "").split()) for each in said][0] == set(said[1].replace("-", "").split())
    return said[0]


def write_letter(page: Page, kind: str) -> None:
    page.get_by_role("link", name="Letters").click()
    page.get_by_role("button", name=f"{kind} about Low back, left").click()
    page.wait_for_url("**/letters/*-*/")
    page.get_by_role("button", name="Save and read before signing").click()
    page.wait_for_url("**/sign/")
    page.get_by_label("Your password").fill(demo.load()["password"])
    page.get_by_role("button", name="Sign the letter").click()
    expect(page.get_by_text("This page shows the letter as it was signed.")).to_be_visible()


def test_a_signed_note_is_printed_with_codes_insurer_and_its_correction(page, person):
    _, second, *_ = person.visits.order_by("started_at")
    page.goto(f"/visits/{second.pk}/note/")
    said = both(page, person, "note")
    for words in ("Subjective", "Objective", "Assessment", "Plan", "M79.18", "WMA-CL-5520", "Correction"):
        assert words in said, words
    assert "Hip free." in said and "kneeling still pulled on the left" in said


def test_the_insurer_the_referrer_and_the_patient_get_theirs(page, person):
    page.get_by_role("link", name="Letters").click()
    page.locator("section", has=page.get_by_role("heading", name="Signed")).get_by_role(
        "link", name="Progress report"
    ).click()
    said = both(page, person, "progress")
    for words in ("Weirland Mutual Accident Insurance", "WMA-63-0187", "M79.18", "4 of 6"):
        assert words in said, words
    page.goto(f"/patients/{person.pk}/")
    write_letter(page, "Letter to the referrer")
    assert "Dr Tomasz Ridley" in both(page, person, "referrer")
    page.goto(f"/patients/{person.pk}/")
    write_letter(page, "Summary for the patient")
    assert "quadratus" not in both(page, person, "summary").lower()


def test_what_was_agreed_to_and_what_is_done_at_home_is_handed_over(page, person):
    page.get_by_role("link", name="Consents").click()
    expect(page.locator("a[href*='copy.pdf']").first).to_be_visible()
    copies = [str(each.get_attribute("href")) for each in page.locator("a[href*='copy.pdf']").all()]
    for number, address in enumerate(dict.fromkeys(copies)):
        assert "SHA-256" in read_back(behind(page, address), person, f"consent-{number}")
    first = person.visits.order_by("started_at").first()
    home = behind(page, f"/visits/{first.pk}/home-programme.pdf?paper=letter")
    assert "Side stretch over a pillow" in read_back(home, person, "home")


def test_everything_leaves_in_one_file_and_the_bundle_in_it_is_right(page, person, tmp_path):
    page.get_by_role("link", name="Give out the record").click()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Make the file with everything").click()
    waiting.value.save_as(tmp_path / "record.zip")
    with zipfile.ZipFile(tmp_path / "record.zip") as whole:
        papers = [name for name in whole.namelist() if name.endswith(".pdf")]
        bundle = json.loads(whole.read("fhir-bundle.json"))
        # Two sizes of four notes, of one note with its correction, of three letters.
        assert len(papers) >= 16
        assert all(whole.read(name).startswith(b"%PDF-") for name in papers)
    assert problems_in(bundle) == () and schema.errors_in(bundle) == []
    versions = all_of(bundle, "Composition")
    assert {each["status"] for each in versions} >= {"final", "amended"}
    assert {each["code"]["coding"][0]["code"] for each in all_of(bundle, "Condition")} >= {"M79.18"}

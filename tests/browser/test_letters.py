"""Three letters about one episode in a real browser: written, changed, signed, printed."""

import io
import os
import uuid
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Page, expect

from charting.episodes.models import Episode
from charting.management import demo
from charting.staff.models import User
from tests.browser.conftest import SIZES
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded
from tests.charting.letters import told


@pytest.fixture
def episode(records) -> Episode:
    """Five signed visits of an invented person, with an insurer, codes and a next visit."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=800_000 + uuid.uuid4().int % 90_000)
    made = told.an_episode(person, mara)
    told.insure(made, payer=f"Alpenrose Insurance {person.record_number}")
    told.code(made)
    return made


@pytest.fixture
def check(axe, look):
    """Nothing to complain of at any of the three sizes."""

    def at_each(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, PRESSED) == [], (name, width)
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window of {width}"
        look(page, name)

    return at_each


def printed(page: Page, link: str, name: str) -> tuple[str, int]:
    """Text and number of pages behind a link; its pages, in grey too, in the folder $LOOK."""
    address = str(page.get_by_role("link", name=link).first.get_attribute("href"))
    answer = page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    document = pypdfium2.PdfDocument(io.BytesIO(answer.body()))
    folder = os.environ.get("LOOK", "")
    for number, sheet in enumerate(document, 1):
        for grey in (False, True) if folder else ():
            made = sheet.render(scale=1.4, grayscale=grey).to_pil()
            made.save(Path(folder) / f"{name}-{'grey' if grey else 'paper'}-{number}.png")
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in document)
    return " ".join(text.split()), len(document)


def begin(page: Page, episode: Episode, kind: str) -> None:
    page.goto(f"/patients/{episode.patient_id}/letters/")
    page.get_by_role("button", name=f"{kind} about Right shoulder").click()
    page.wait_for_url("**/letters/*-*/")


def sign(page: Page) -> None:
    page.get_by_role("button", name="Save and read before signing").click()
    page.wait_for_url("**/sign/")
    page.get_by_label("Your password").fill(demo.load()["password"])
    page.get_by_role("button", name="Sign the letter").click()
    page.wait_for_url("**/letters/*-*/")
    expect(page.get_by_text("This page shows the letter as it was signed.")).to_be_visible()


def test_the_progress_report_is_changed_read_signed_and_printed(device, episode, check, complaints):
    page = device("desk").new_page()
    sign_in(page)
    page.goto(f"/patients/{episode.patient_id}/letters/")
    expect(page.get_by_role("heading", name="Letters and reports")).to_be_visible()
    check(page, "letters-empty")
    begin(page, episode, "Progress report")
    expect(page.get_by_label("To", exact=True)).to_have_value(
        f"Alpenrose Insurance {episode.patient.record_number}"
    )
    expect(page.get_by_role("heading", name="Missing, or worth a look")).to_be_visible()
    check(page, "letter-progress")
    sentence = page.get_by_label("Plan, sentence 1")
    sentence.fill("Two more visits within three weeks.")
    page.get_by_label("Add in your own words: Plan").fill("Then she goes on by herself.")
    page.get_by_label("Leave out sentence 2 of From the first visit to now").check()
    page.get_by_label("Pressure pain threshold").uncheck()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#messages")).to_contain_text("The letter is saved.")
    expect(page.get_by_text("Your words. The record says:")).to_be_visible()
    check(page, "letter-progress-changed")
    page.get_by_role("button", name="Save and read before signing").click()
    page.wait_for_url("**/sign/")
    expect(page.get_by_text("It takes 2 pages")).to_be_visible()
    check(page, "letter-sign")
    page.get_by_label("Your password").fill("not this one")
    page.get_by_role("button", name="Sign the letter").click()
    expect(page.get_by_role("alert")).to_contain_text("That is not your password.")
    complaints.expect("422")
    page.get_by_label("Your password").fill(demo.load()["password"])
    page.get_by_role("button", name="Sign the letter").click()
    page.wait_for_url("**/letters/*-*/")
    check(page, "letter-signed")
    for size in ("A4", "Letter"):
        text, pages = printed(page, f"PDF, {size}", f"progress-{size}")
        assert pages == 2
        assert "Two more visits within three weeks." in text and "Then she goes on by herself." in text
        assert "appointment was missed" not in text and "Pressure pain threshold" not in text
        assert "Draft" not in text


def test_the_letter_and_the_summary_take_one_page_and_are_listed(device, episode, check, complaints):
    page = device("tall").new_page()
    sign_in(page)
    begin(page, episode, "Letter to the referrer")
    page.get_by_label("In your own words: What I ask of you").fill("Is an image of the tendon needed?")
    sign(page)
    text, pages = printed(page, "PDF, Letter", "referrer-letter")
    assert pages == 1 and "Is an image of the tendon needed?" in text and "Dear Dr. Ida Brunner," in text
    begin(page, episode, "Summary for the patient")
    expect(page.get_by_role("heading", name="Reading ease")).to_be_visible()
    own = page.get_by_label("own words: What comes next")
    with page.expect_response(lambda answer: "/drafts/keep/" in answer.url and answer.ok):
        own.fill("Neuromuscular stabilisation necessitates multidimensional rehabilitation. " * 15)
        own.blur()
    page.reload()
    expect(page.get_by_text("not yet saved was brought back")).to_be_visible()
    expect(page.get_by_text("Long words:")).to_contain_text("neuromuscular")
    check(page, "letter-summary-hard")
    page.get_by_label("own words: What comes next").fill("Come back in two weeks. We look at your arm again.")
    sign(page)
    text, pages = printed(page, "PDF, A4", "summary")
    assert pages == 1 and "When to get help" in text and "infraspinatus" not in text.lower()
    page.goto(f"/patients/{episode.patient_id}/letters/")
    expect(
        page.locator("section", has=page.get_by_role("heading", name="Signed")).get_by_role("link")
    ).to_have_count(2)
    check(page, "letters")

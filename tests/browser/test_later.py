"""What is written into a signed note afterwards, in a real browser: four kinds, a request, a co-signature."""

import re
import uuid

import pytest
from playwright.sync_api import Page, expect

from charting.management import demo
from charting.notes.models import SignedNote
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, SIZES, TOO_SMALL
from tests.charting import recorded
from tests.charting.notes.kept import QUOTED, kept_note

# The record itself is looked at elsewhere: what opens within its lines is small.
OURS = ", ".join(
    f"{one}:not(.record *)" for one in (*PRESSED.split(", ")[:3], ".kinds-of label", ".rows a.row")
)


@pytest.fixture
def visit(records) -> Visit:
    """Everything recorded, by a trainee of the demo practice; nothing is signed."""
    nora, name = User.objects.get(username="clinician"), f"trainee-{uuid.uuid4().hex[:6]}"
    about = {"first_name": "Lena", "last_name": "Aubry", "title": "Physiotherapist"}
    # The server hashes passwords as a practice does, the tests in a faster way: hers is that of the demo.
    known = {"password": nora.password, "practice": nora.practice}
    lena = User.objects.create(username=name, is_trainee=True, **known, **about)
    person = recorded.patient(nora.practice, number=500_000 + uuid.uuid4().int % 90_000)
    return recorded.whole_visit(person, lena)


@pytest.fixture
def signed(records) -> SignedNote:
    """A signed note of the demo practice."""
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=500_000 + uuid.uuid4().int % 90_000)
    return kept_note(Visit.objects.create(patient=person, clinician=nora), nora)


@pytest.fixture
def check(axe, look):
    def at_each_size(page: Page, name: str) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)
            assert page.evaluate(TOO_SMALL, OURS) == [], name
            assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window of {width}"
        look(page, f"later-{name}")
        page.set_viewport_size({"width": 1280, "height": 800})

    return at_each_size


def as_(device, username: str) -> Page:
    page: Page = device("desk").new_page()
    sign_in(page, username)
    return page


def sign_with_password(page: Page, button: str) -> None:
    page.get_by_label("Your password").fill(demo.load()["password"])
    page.get_by_role("button", name=button).click()


def choose(page: Page, kind: str) -> None:
    page.get_by_role("radio", name=re.compile(f"^{kind}")).check()


def write(page: Page, words: str, said: str) -> None:
    page.get_by_label("What is to be written").fill(words)
    sign_with_password(page, "Sign this entry")
    expect(page.locator("#messages")).to_contain_text(said)


def test_a_trainee_s_note_waits_until_a_colleague_has_read_and_co_signed_it(device, visit, check):
    note = f"/visits/{visit.pk}/note/"
    lena, nora = as_(device, visit.clinician.username), as_(device, "clinician")
    lena.goto(note + "sign/")
    expect(lena.get_by_text("the note then waits for co-signature")).to_be_visible()
    sign_with_password(lena, "Sign the note")
    expect(lena.get_by_text("A trainee signed this note.")).to_contain_text("Nora Feldt can co-sign it.")
    expect(lena.get_by_role("link", name="Read and co-sign")).to_have_count(0)
    nora.goto("/")
    check(nora, "day-list")
    nora.locator(f"a.row[href$='/visits/{visit.pk}/note/cosign/']").click()
    nora.wait_for_url("**/note/cosign/")
    nora.get_by_label("Remark").fill("Read together; I agree.")
    check(nora, "co-sign")
    sign_with_password(nora, "Co-sign the note")
    expect(nora.get_by_text("Co-signed by Nora Feldt")).to_be_visible()
    expect(nora.get_by_text("Waits for co-signature")).to_have_count(0)
    nora.goto(note)
    check(nora, "co-signed")
    petra = as_(device, "owner")
    petra.goto("/")
    petra.get_by_role("link", name="Trainees").click()
    petra.wait_for_url("**/trainees/")
    check(petra, "trainees")
    petra.get_by_role("button", name="Lena Aubry: no longer a trainee").first.click()
    expect(petra.get_by_role("button", name="Lena Aubry: mark as trainee").first).to_be_visible()
    stored = SignedNote.objects.get(visit=visit)
    assert stored.cosignature.content_sha256 == stored.content_sha256
    assert stored.papers.count() == 4


def test_a_request_becomes_an_amendment_beside_three_other_kinds_of_entry(device, signed, check, complaints):
    note, page = f"/visits/{signed.visit_id}/note/", as_(device, "clinician")
    page.goto(f"/patients/{signed.visit.patient_id}/")
    page.get_by_role("link", name="Requests for amendment").click()
    page.wait_for_url("**/amendments/")
    page.get_by_label("Which note it is about").select_option(index=1)
    page.get_by_label("What is to be changed").fill("It says that I sit at work. I stand.")
    check(page, "requests")
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#messages")).to_contain_text("The request is recorded.")
    page.locator("a.row", has_text="I stand.").click()
    page.wait_for_url(re.compile("/amendments/[0-9a-f-]{36}/$"))
    page.get_by_label("Deny it").check()
    page.get_by_label("In words").fill("As told by letter.")
    check(page, "request")
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose the ground of the denial.")
    complaints.expect("422")
    expect(page.get_by_label("In words")).to_have_value("As told by letter.")
    page.get_by_label("Accept it").check()
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#messages")).to_contain_text("It is recorded.")
    check(page, "request-accepted")

    page.goto(note)
    choose(page, "Correction")
    page.get_by_label("The words that are wrong").fill("Subscapularis tender.")
    page.get_by_label("What is to be written").fill("It was the supraspinatus.")
    sign_with_password(page, "Sign this entry")
    expect(page.get_by_role("alert")).to_contain_text("These words do not stand in the note.")
    complaints.expect("422")
    check(page, "correction-refused")
    page.get_by_label("The words that are wrong").fill(QUOTED)
    write(page, "It was the supraspinatus.", "Correction 1 is signed.")
    choose(page, "Late entry")
    write(page, "The left shoulder was looked at too; nothing was found.", "Late entry 2 is signed.")
    choose(page, "Addendum")
    check(page, "writing")
    write(page, "The scan of 6 May shows no tear.", "Addendum 3 is signed.")
    choose(page, "Amendment")
    expect(page.get_by_label("Which request")).to_be_visible()
    write(page, "Works standing, not sitting.", "Amendment at the patient's request 4 is signed.")
    page.goto(note)
    for name in ("Correction 1", "Late entry 2", "Addendum 3", "Amendment at the patient's request 4"):
        expect(page.get_by_role("heading", name=name)).to_be_visible()
    check(page, "signed")
    assert signed.papers.count() == 2 * 5

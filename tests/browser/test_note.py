"""The note of a visit in a browser: sentences from the record, own words, text blocks, before signing."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from charting.notes.models import NoteSentence, TextBlock
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import demo_visit, sign_in
from tests.browser.test_pages import CUT_OFF
from tests.charting import recorded
from tests.charting.report import heavy


@pytest.mark.parametrize("size", ["tall", "wide"], indirect=True)
def test_sentences_stand_in_the_note_and_before_the_signature(device, size, axe, look):
    page: Page = device(size).new_page()
    sign_in(page)
    visit = demo_visit(page)
    page.goto(visit + "note/")
    expect(page.get_by_role("heading", name="Objective")).to_be_visible()
    axe(page)
    assert page.evaluate(CUT_OFF) <= 0
    look(page, "note")
    page.goto(visit + "note/sign/")
    expect(page.get_by_role("heading", name="What was recorded")).to_be_visible()
    expect(page.get_by_role("heading", name="Muscles, examined by hand")).to_be_visible()
    axe(page)
    assert page.evaluate(CUT_OFF) <= 0
    look(page, "note-sign")


@pytest.fixture
def visit(records) -> Iterator[Visit]:
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=4000 + Patient.objects.count())
    yield heavy.heavy_visit(recorded.whole_visit(person, nora))
    TextBlock.objects.all().delete()


def test_a_sentence_is_changed_one_left_out_and_a_block_put_in(device, visit, axe, look):
    page: Page = device("desk").new_page()
    sign_in(page)
    page.goto("/text-blocks/new/")
    page.get_by_label("Heading of the note").select_option("Plan")
    page.get_by_label("Title").fill("Looks again")
    page.get_by_label("Words").fill("Looks again in ten days.")
    axe(page)
    look(page, "text-block")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("“Looks again” is added.")).to_be_visible()
    axe(page)
    look(page, "text-blocks")
    page.goto(f"/visits/{visit.pk}/note/")
    told = page.locator("details", has_text="Began six weeks ago").first
    told.locator("summary").click()
    told.get_by_label("Words of this sentence").fill("For six weeks, after painting a ceiling.")
    expect(told.locator("summary")).to_contain_text("For six weeks, after painting a ceiling.")
    counts = page.locator("details", has_text="9 places examined").first
    counts.locator("summary").click()
    counts.get_by_label("Leave it out of the note").check()
    plan = page.get_by_role("region", name="Plan")
    plan.get_by_text("Put in a text block").click()
    plan.get_by_role("button", name="Looks again").click()
    expect(plan.get_by_label("In your own words")).to_have_value(heavy.PLAN + "\nLooks again in ten days.")
    axe(page)
    assert page.evaluate(CUT_OFF) <= 0
    look(page, "note-changed")
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.get_by_text("The note is saved.")).to_be_visible()
    assert {row.key: row.taken_out for row in NoteSentence.objects.filter(visit=visit)} == {
        "story.history": False,
        "muscles.counts": True,
    }
    page.goto(f"/visits/{visit.pk}/note/sign/")
    expect(page.get_by_text("put 1 in other words and left 1 out")).to_be_visible()
    axe(page)
    look(page, "note-sign-changed")

"""The assessment in a real browser: two sources, a certainty each, sentences from the record, own words."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from charting.assessment.models import Conclusion
from charting.examination.models import MuscleFinding
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.charting import recorded

ACTIVE = {"band": "yes", "spot": "yes", "referral": "yes", "recognised": "yes", "twitch": "yes"}
PART = {"spot": "yes", "referral": "no", "recognised": "no"}


@pytest.fixture
def visit(records) -> Iterator[Visit]:
    """Everything recorded, two muscles palpated, one on the list."""
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=4000 + Patient.objects.count())
    made = recorded.whole_visit(person, nora)
    for position, (muscle, signs) in enumerate(
        [("infraspinatus", ACTIVE), ("scalenus_medius", PART), ("levator_scapulae", {})], 1
    ):
        MuscleFinding.objects.create(
            visit=made, muscle=muscle, side="right", signs=signs, position=position, pain=7 if signs else None
        )
    yield made


@pytest.fixture
def page(device) -> Page:
    context: BrowserContext = device("desk", has_touch=True)
    page = context.new_page()
    sign_in(page)
    return page


def test_an_area_with_two_sources_takes_three_taps_and_its_words_can_be_changed(page, visit, axe, look):
    page.goto(f"/visits/{visit.pk}/assessment/")
    axe(page)
    look(page, "assessment-empty")
    area = page.locator(
        "section.conclusion", has=page.get_by_role("radiogroup", name=re.compile("^Nerve root C6"))
    ).first
    area.get_by_role("radiogroup", name=re.compile("^Infraspinatus, right")).get_by_label(
        "likely", exact=True
    ).check()
    area.get_by_role("radiogroup", name=re.compile("^Nerve root C6, right")).get_by_label(
        "possible", exact=True
    ).check()
    area.get_by_role("button", name=re.compile("^Save and take all")).click()
    expect(page.get_by_text("The assessment is saved.")).to_be_visible()
    chip = area.get_by_text(re.compile("^in the note: 2 sources"))
    expect(chip).to_be_visible()
    axe(page)
    look(page, "assessment-taken")

    words = area.locator("textarea", has_text="active trigger point")
    words.fill("Infraspinatus, right: the main source today.")
    area.get_by_label("A sentence of your own").fill("Muscle first, root to be watched.")
    area.get_by_role("button", name="Save", exact=True).last.click()
    expect(area.locator("textarea", has_text="the main source today")).to_be_visible()
    expect(area.locator("textarea", has_text="Muscle first")).to_be_visible()

    MuscleFinding.objects.filter(visit=visit, muscle="infraspinatus").update(pain=3)
    page.reload()
    now = area.locator(".now")
    expect(now).to_contain_text("pain on pressing 3 of 10")
    axe(page)
    look(page, "assessment-record-changed")
    now.get_by_role("button", name="Take these words").click()
    expect(area.locator("textarea", has_text="pain on pressing 3 of 10")).to_be_visible()
    expect(now).to_have_count(0)


def test_words_about_an_area_that_went_are_moved_and_a_source_is_named_without_script(
    device, page, visit, axe, look, complaints
):
    gone = Conclusion.objects.create(
        visit=visit,
        strokes=["gone"],
        where="Area 4, left knee",
        sentences=[{"key": "own:1", "about": "own", "text": "Knee: to be looked at again."}],
    )
    page.goto(f"/visits/{visit.pk}/assessment/")
    box = page.get_by_role("form", name="What becomes of it: Area 4, left knee")
    expect(page.get_by_text("Written about an area that is gone")).to_be_visible()
    axe(page)
    look(page, "assessment-gone")
    box.get_by_label("Move to").select_option(label="The visit as a whole")
    box.get_by_role("button", name="Move it there").click()
    whole = page.get_by_role("form", name="Assessment of The visit as a whole")
    expect(whole.locator("textarea", has_text="Knee: to be looked at again.")).to_be_visible()
    assert Conclusion.objects.get(visit=visit).pk == gone.pk

    plain = device("tall", java_script_enabled=False).new_page()
    sign_in(plain)
    plain.goto(f"/visits/{visit.pk}/assessment/")
    form = plain.get_by_role("form", name=re.compile("^Assessment of Area 1"))
    form.get_by_label("Another source, by name").fill("supraspinatus")
    form.get_by_label("How certain").select_option(label="possible")
    form.get_by_role("button", name="Add").click()
    expect(plain.get_by_role("alert")).to_contain_text("Say which side")
    complaints.expect("422")
    form.get_by_label("Another source, by name").fill("supraspinatus right")
    form.get_by_role("button", name="Add").click()
    row = form.get_by_role("radiogroup", name=re.compile("^Supraspinatus, right"))
    expect(row.get_by_label("possible", exact=True)).to_be_checked()

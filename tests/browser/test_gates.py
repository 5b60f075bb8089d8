"""Before a needle in a real browser: a stop gone past with a reason, late advice, an incident told."""

import re
import uuid

import pytest
from playwright.sync_api import Page, expect

from charting.staff.models import User
from charting.treatment.models import GateOverride, LateAdvice, NeedleIncident
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded


@pytest.fixture
def visit(records) -> Visit:
    """Somebody on a blood thinner who once fainted, needled over the lung today."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=800_000 + uuid.uuid4().int % 90_000)
    visit = recorded.whole_visit(person, mara)
    recorded.asked_before_needles(visit, needle_reaction="yes", anticoagulant="yes")
    recorded.agree(visit, "needling", "upper_back")
    recorded.treat(visit, "needling", "rhomboidei.right", needles={**recorded.NEEDLES, "count_out": 2})
    return visit


@pytest.fixture
def page(device, visit) -> Page:
    made: Page = device("wide", has_touch=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, f"gates-{name}")

    return all_of_it


def test_a_stop_is_gone_past_with_a_reason_that_survives_a_lost_page(page, visit, check):
    page.goto(f"/visits/{visit.pk}/treatment/gates/levator_scapulae.left/")
    expect(page.get_by_text("At risk under the needle")).to_be_visible()
    expect(page.get_by_text("Both sides of the chest in one visit")).to_be_visible()
    check(page, "stop")
    stop = page.get_by_role("article", name=re.compile("Fear of needles"))
    stop.get_by_text("Go past it, with a reason").tap()
    stop.get_by_label("Why you needle all the same").fill("Fainted once as a child; lies down, wants it.")
    expect(stop.get_by_role("status")).to_contain_text("kept")
    page.reload()
    stop.get_by_role("button", name="Go past it").tap()
    expect(page.get_by_text("Gone past, with a reason").first).to_be_visible()
    expect(page.get_by_text("Fainted once as a child; lies down, wants it.")).to_be_visible()
    check(page, "past")
    assert GateOverride.objects.get(visit=visit).gate == "needle_reaction"


def test_what_became_of_a_needle_and_what_the_patient_was_told_let_the_visit_be_signed(
    page, visit, check, complaints
):
    page.goto(f"/visits/{visit.pk}/note/")
    expect(page.get_by_text("Needles in and out differ")).to_be_visible()
    expect(page.get_by_text("record the advice about late symptoms")).to_be_visible()

    page.goto(f"/visits/{visit.pk}/treatment/needles/")
    expect(page.get_by_text("Rhomboid major and minor, right: 3 in, 2 out")).to_be_visible()
    page.get_by_label("What happened").fill("One short; looked for on couch and floor.")
    page.get_by_role("button", name="Record it").tap()
    expect(page.get_by_role("link", name=re.compile("Say what was done"))).to_be_visible()
    complaints.expect("422")
    expect(page.get_by_label("What happened")).to_have_value("One short; looked for on couch and floor.")
    check(page, "needles")
    page.get_by_label("What was done").fill("Found in the towel, whole.")
    page.get_by_role("group", name="The patient was told").get_by_text("Yes", exact=True).tap()
    page.get_by_role("button", name="Record it").tap()
    expect(page.get_by_text("What became of the needles is recorded.")).to_be_visible()
    assert NeedleIncident.objects.get(visit=visit).told_patient

    page.goto(f"/visits/{visit.pk}/treatment/late-advice/")
    expect(page.get_by_label("What the patient was told")).to_have_value(re.compile("two days"))
    check(page, "late-advice")
    page.get_by_role("group", name="understood").get_by_text("Yes", exact=True).tap()
    page.get_by_role("button", name="The patient was told this").tap()
    expect(page.get_by_text("The advice is recorded.")).to_be_visible()
    assert LateAdvice.objects.get(visit=visit).understood

    page.goto(f"/visits/{visit.pk}/note/")
    expect(page.get_by_text("Needles in and out differ (")).to_have_count(0)
    expect(page.get_by_text("record the advice about late symptoms")).to_have_count(0)

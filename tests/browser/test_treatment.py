"""Treatment in a real browser: what a needle can hurt stands first, nothing is saved past a gate or lost."""

import re
import uuid
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from charting.staff.models import User
from charting.treatment.queries import entries_of, minutes_by_technique, needles_of
from charting.visits.models import Visit
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded

FELT = (
    ("rhomboidei", "right", "", "yes yes yes yes", 6, {}, ""),
    ("infraspinatus", "right", "upper_belly", "yes yes yes yes", 7, {}, ""),
)
HELD = {"seconds": 60, "repetitions": 3, "strength": "firm"}


@pytest.fixture
def visit(records) -> Visit:
    """A visit whose muscles are examined, and one a week before it with treatment."""
    mara = User.objects.get(username="clinician")
    person = recorded.patient(mara.practice, number=700_000 + uuid.uuid4().int % 90_000)
    before = Visit.objects.create(patient=person, clinician=mara)
    visit = recorded.whole_visit(person, mara)
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=7))
    recorded.treat(before, "pressure", "infraspinatus.right", dose=HELD, minutes=5)
    recorded.treat(
        before, "stretch", "infraspinatus.right", dose={"seconds": 30, "how": "passive"}, minutes=3
    )
    recorded.treat(before, "needling", "rhomboidei.right", needles={**recorded.NEEDLES, "length_mm": 30})
    recorded.feel(visit, FELT)
    recorded.asked_before_needles(visit)
    recorded.agree(visit, "manual", "shoulder right", "shoulder left", "upper_back", "low_back")
    return visit


@pytest.fixture
def page(device, visit) -> Page:
    made: Page = device("wide", has_touch=True).new_page()
    sign_in(made)
    made.goto(f"/visits/{visit.pk}/treatment/")
    return made


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, f"{PRESSED}, .chips label, .steps-0-10 label") == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, f"treatment-{name}")

    return all_of_it


def card(page: Page, name: str):
    return page.get_by_role("article", name=name)


def typed(on, name: str):
    """The field of this name; its steps are buttons of the same name."""
    return on.get_by_role("textbox", name=re.compile(f"^{name}")).or_(
        on.get_by_role("combobox", name=re.compile(f"^{name}"))
    )


def pick(page: Page, group: str, answer: str) -> None:
    chosen = page.get_by_role("group", name=group)
    chosen.locator("label").filter(has_text=re.compile(f"^{re.escape(answer)}$")).tap()


def test_needling_over_the_lung_walks_from_what_is_at_risk_to_the_last_needle(page, visit, check, complaints):
    check(page, "begin")
    card(page, "Rhomboid major and minor right").get_by_role("link", name="Dry needling").tap()
    form = page.locator("[data-entry]")
    expect(form).to_be_focused()
    expect(form.get_by_text("At risk under the needle")).to_be_visible()
    risk = form.get_by_text("At risk under the needle").bounding_box()
    field = form.get_by_role("group", name="Gauge").bounding_box()
    assert risk["y"] < field["y"]
    expect(form.get_by_text("This waits")).to_be_visible()
    expect(form.get_by_text("is not signed")).to_be_visible()
    check(page, "needling")

    # The needle used there last is filled in; how deep, which way and how many is for today to say.
    expect(form.get_by_role("radio", name="30", exact=True)).to_be_checked()
    expect(typed(form, "Depth")).to_have_value("")
    typed(form, "Depth").fill("15")
    typed(form, "Direction").fill("flat, along the rib, away from the lung")
    for _ in range(3):
        form.get_by_role("button", name="Needles in: one more").tap()
    expect(typed(form, "Needles in")).to_have_value("3")
    pick(page, "Pain before, 0 to 10", "6")
    form.get_by_label("Remark").fill("lying on the left side")
    form.get_by_role("button", name="Record it").tap()

    # No consent to needling: refused in words, nothing lost, here and after coming back.
    expect(page.get_by_text("This waits")).to_be_visible()
    expect(page.get_by_label("Remark")).to_have_value("lying on the left side")
    complaints.expect("422")
    assert not entries_of(visit)
    check(page, "refused")
    page.get_by_role("link", name="Consent", exact=True).first.tap()
    page.wait_for_url(re.compile("/consents/"))
    recorded.agree(visit, "needling", "upper_back")
    page.goto(f"/visits/{visit.pk}/treatment/")
    page.get_by_role("link", name=re.compile("^Dry needling: Rhomboid")).tap()
    page.wait_for_url(re.compile("technique=needling"))
    expect(page.get_by_label("Remark")).to_have_value("lying on the left side")
    expect(page.get_by_text("This waits")).to_have_count(0)
    page.get_by_role("button", name="Record it").tap()
    expect(page.get_by_text("3 in, not counted out yet.", exact=True)).to_be_visible()
    check(page, "to-count")

    # One needle is missing: it stands out, and what became of it is recorded.
    page.get_by_label("Another number out").fill("2")
    page.locator("form.count", has=page.get_by_label("Another number out")).get_by_role("button").tap()
    expect(page.get_by_text("3 in, 2 out: they differ.")).to_be_visible()
    check(page, "differ")
    page.get_by_role("link", name="Record what became of it").tap()
    page.wait_for_url(re.compile("/needles/"))
    assert not needles_of(visit).is_settled


def test_busy_hands_repeat_step_and_take_the_other_side(page, visit, check):
    page.get_by_role("checkbox", name=re.compile("Infraspinatus, right: manual pressure")).check()
    page.get_by_role("checkbox", name=re.compile("Infraspinatus, right: stretch")).check()
    page.get_by_role("button", name="Record what is ticked").tap()
    expect(page.get_by_text("Recorded: 2 as at the last visit.")).to_be_visible()
    assert [(row.technique, row.minutes) for row in entries_of(visit)] == [
        ("pressure", None),
        ("stretch", None),
    ]

    page.get_by_role("link", name="Change entry 1").tap()
    page.wait_for_url(re.compile("entry="))
    for _ in range(4):
        page.get_by_role("button", name="Minutes: one more").tap()
    pick(page, "Pain before, 0 to 10", "7")
    pick(page, "Pain after, 0 to 10", "4")
    pick(page, "Twitch seen or felt", "Yes")
    check(page, "change")
    page.get_by_role("button", name="Save the change").tap()
    expect(page.locator("#done")).to_contain_text("twitch; pain 7 to 4; 4 minutes")

    page.get_by_role("link", name="Same on the left, as entry 1").tap()
    page.wait_for_url(re.compile("like="))
    expect(typed(page, "Held, seconds")).to_have_value("60")
    typed(page, "Minutes").fill("3")
    page.get_by_role("button", name="Record it").tap()
    expect(page.locator(".sum")).to_contain_text("3 entries")
    expect(page.locator(".totals")).to_contain_text("7")
    assert minutes_by_technique(visit) == {"pressure": 7}

    page.get_by_label("An area").select_option(label="Low back")
    page.get_by_role("button", name="Open", exact=True).tap()
    page.wait_for_url(re.compile("area"))
    card(page, "Low back").get_by_role("link", name="Heat").tap()
    pick(page, "What kind", "Moist pack")
    page.get_by_role("button", name="Record it").tap()
    expect(page.locator("#done")).to_contain_text("heat, moist pack")
    check(page, "several")


def test_without_script_every_technique_is_a_link_and_every_number_is_typed(device, visit):
    page = device("tall", java_script_enabled=False).new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/treatment/")
    card(page, "Infraspinatus right").get_by_role("link", name="Manual pressure").click()
    page.wait_for_url(re.compile("technique=pressure"))
    page.get_by_label("Minutes").fill("5")
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#done")).to_contain_text("5 minutes")
    assert [row.minutes for row in entries_of(visit)] == [5]

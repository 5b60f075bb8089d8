"""Two drawings laid over each other in a real browser: chosen, told apart without colour, on paper, without
script.
"""

import io
import re
from datetime import timedelta

import pytest
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Page, expect

from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded

BACK_ACHE = ("back", "ache", ("l2", "l5", "psis"), 60)
LEG = ("back", "shooting", ("psis", "buttock_mid", "thigh_mid", "popliteal", "calf_mid"), 46)
TOES = ("front", "tingling", ("shin_lateral_mid", "lateral_malleolus", "mtp_4"), 30)
BUTTOCK = ("back", "ache", ("psis", "buttock_mid"), 60)
COURSE = ((BACK_ACHE, LEG, TOES), (BACK_ACHE, LEG), (BACK_ACHE, BUTTOCK))


@pytest.fixture
def person(records) -> Patient:
    """Three visits, two weeks apart: pain that draws back up the leg."""
    nora = User.objects.get(username="clinician")
    made = recorded.patient(nora.practice, number=5000 + Patient.objects.count())
    for number, drawn in enumerate(COURSE):
        visit = Visit.objects.create(patient=made, clinician=nora)
        recorded.draw(visit, *drawn)
        day = timezone.now() - timedelta(days=14 * (len(COURSE) - number))
        Visit.objects.filter(pk=visit.pk).update(started_at=day)
    return made


def of_each_part(page: Page) -> dict[str, Image.Image]:
    """What each piece of the key looks like on paper without colour."""
    swatches = page.locator(".parts-key .swatch")
    shots = [Image.open(io.BytesIO(each.screenshot())).convert("L") for each in swatches.all()]
    return dict(zip(("gone", "new", "unchanged"), shots, strict=True))


def test_two_drawings_are_chosen_and_laid_over_each_other(device, person, axe, look, complaints):
    page = device("desk", has_touch=True).new_page()
    sign_in(page)
    page.goto(f"/patients/{person.pk}/progress/compare/")
    expect(page.get_by_role("heading", name="Two drawings laid over each other")).to_be_visible()
    figure = page.get_by_role("img", name=re.compile("^Back view of the body. Gone: .*calf.*Unchanged: .*"))
    expect(figure).to_be_visible()
    spine = page.get_by_role("region", name="Towards the spine or away")
    expect(spine).to_contain_text("On the right pain has moved towards the spine")
    expect(spine).to_contain_text("Pain in the low back is still drawn.")
    expect(page.get_by_role("region", name="How alike the two are")).to_contain_text("0.62 ± 0.18")
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        axe(page)
        assert page.evaluate(TOO_SMALL, PRESSED) == []
        assert page.evaluate(CUT_OFF) <= 0
    look(page, "compare")
    # Any two: the first and the second.
    second = page.locator("#after option").nth(1).get_attribute("value")
    page.get_by_label("After", exact=True).select_option(str(second))
    page.get_by_role("button", name="Compare").click()
    page.wait_for_url(re.compile(f"after={second}"))
    kinds = page.get_by_role("region", name="Table of kinds of pain")
    expect(kinds.get_by_role("row", name=re.compile("^Tingling"))).to_contain_text("gone")
    # The same twice is said.
    page.get_by_label("Before", exact=True).select_option(str(second))
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_role("status").filter(has_text="This is the same visit twice")).to_be_visible()


def test_on_paper_and_without_colour_the_three_are_told_apart(device, person, look):
    page = device("desk").new_page()
    sign_in(page)
    page.goto(f"/patients/{person.pk}/progress/compare/")
    page.emulate_media(media="print")
    expect(page.get_by_role("form", name="Choose two drawings")).to_be_hidden()
    expect(page.locator("svg.overlay")).to_have_count(2)
    grey = {name: shot.histogram() for name, shot in of_each_part(page).items()}
    dark = {name: sum(counts[:110]) / sum(counts) for name, counts in grey.items()}
    # Few thin lines, many thick ones, and an even grey between black and white.
    assert dark["new"] > 2 * dark["gone"] > 0
    even = sum(grey["unchanged"][130:215]) / sum(grey["unchanged"])
    assert even > 0.6 and dark["unchanged"] < dark["new"]
    look(page, "compare-print")
    assert len(page.pdf(format="A4")) > 10_000


def test_it_works_without_script(device, person):
    context = device("wide", java_script_enabled=False)
    page = context.new_page()
    sign_in(page)
    page.goto(f"/patients/{person.pk}/progress/compare/")
    first = page.locator("#before option").nth(1).get_attribute("value")
    page.get_by_label("Before", exact=True).select_option(str(first))
    page.get_by_role("button", name="Compare").click()
    page.wait_for_url(re.compile(f"before={first}"))
    expect(page.locator("#before option").nth(1)).to_have_attribute("selected", "")

"""What to examine, with its reasoning: four invented people on the real pages, one of them wholly by hand."""

import re
import uuid
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from charting.staff.models import User
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.hand import Hand
from tests.browser.people import save_danger_answers, sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL
from tests.charting import recorded
from tests.charting.candidates import invented

# Along the inner edge of the right shoulder blade, over the chest, down the outer arm, in figure millimetres.
BLADE = [(578, 297), (581, 330), (583, 364)]
CHEST = [(428, 334), (415, 390), (402, 452)]
ARM = [(282, 382), (262, 470), (250, 539), (222, 640), (197, 738)]
SHARE = """() => {
  const box = document.querySelector(".figure").getBoundingClientRect();
  return Math.min(box.bottom, innerHeight) / innerHeight;
}"""


@pytest.fixture
def page(device) -> Page:
    made: Page = device("desk", has_touch=True).new_page()
    sign_in(made)
    return made


@pytest.fixture
def visit(records) -> Iterator[Visit]:
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=700_000 + uuid.uuid4().int % 90_000)
    yield Visit.objects.create(patient=person, clinician=nora)


def examine(page: Page, visit: Visit, query: str = "") -> None:
    page.goto(f"/visits/{visit.pk}/what-to-examine/{query}")
    expect(page.locator("h1")).to_have_text("What to examine")


def first(page: Page) -> str:
    return page.locator("ol.candidates .name").first.inner_text()


def places(page: Page, word: str) -> list[int]:
    """Where the lines with a word stand."""
    names = page.locator("ol.candidates .name").all_inner_texts()
    return [place for place, name in enumerate(names, 1) if word in name]


def sound(page: Page, axe: Callable[[Page], None]) -> None:
    """At all three sizes."""
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        axe(page)
        assert page.evaluate(CUT_OFF) <= 0


def test_an_arm_ache_is_told_drawn_and_examined_wholly_by_hand(page, visit, axe, look):
    start = f"/visits/{visit.pk}/"
    page.goto(f"{start}drawing-step/")
    page.get_by_role("link", name="Draw what the patient shows").click()
    page.locator("[data-stage][data-front]").wait_for()
    page.locator("label.kind", has_text="Ache").click()
    hand = Hand(page)
    hand.shade("back", BLADE)
    hand.shade("front", CHEST)
    hand.shade("front", ARM)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")

    page.goto(f"{start}danger-screen/")
    for question in page.locator("fieldset.asked").all():
        question.locator("input[value=no]").check()
    save_danger_answers(page)
    examine(page, visit, "?order=evidence")
    before = places(page, "Scalenus")

    page.goto(f"{start}story/")
    for question, answer in (("Brings it on", "carrying"), ("Eases it", "hand on the head, arm overhead")):
        asked = page.locator(".told", has_text=re.compile(rf"^\s*{question}"))
        asked.locator("label", has_text=re.compile(rf"^\s*{answer}")).tap()
    page.get_by_role("button", name="Save", exact=True).tap()
    expect(page.locator(".said")).to_contain_text("hand on the head")
    page.goto(f"{start}neuro-screen/")
    page.get_by_role("button", name="All normal", exact=True).click()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("is saved")).to_be_visible()

    examine(page, visit)
    page.get_by_role("link", name="With evidence", exact=True).click()
    expect(page.get_by_role("heading", name="All sources with evidence")).to_be_visible()
    after = places(page, "Scalenus")
    assert len(after) >= len(before) and sum(after[: len(before)]) < sum(before), (before, after)
    page.locator("ol.candidates .line", has_text="Scalenus").first.click()
    panel = page.locator(".slot .said")
    expect(panel).to_contain_text("hand on the head")
    expect(panel).to_contain_text("tested and normal")
    sound(page, axe)
    look(page, "reasoning-scalene")


def test_a_pick_keeps_the_order_and_the_list_keeps_its_room(page, visit, axe, look):
    """C6 with four of four tests positive."""
    invented.record(visit, invented.C6)
    examine(page, visit)
    assert "C6" not in first(page)
    page.locator(".roots .line", has_text="C6").click()
    expect(page.locator(".slot .said")).to_contain_text("30.3")
    look(page, "reasoning-c6-by-place")
    page.get_by_role("link", name="With evidence", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="All sources with evidence")).to_be_visible()
    assert first(page).startswith("C6")
    page.locator("ol.candidates .line").first.click()
    panel = page.locator(".slot .said")
    expect(panel).to_contain_text("not counted again")
    panel.get_by_text("Source", exact=True).first.click()
    expect(panel.get_by_text("Wainner").first).to_be_visible()
    expect(page.locator(".cluster-line")).to_contain_text("4 of 4 positive")
    look(page, "reasoning-c6")
    page.locator("ol.candidates .line").nth(1).click()
    expect(page.locator(".slot .said")).to_have_count(1)
    assert "order=evidence" in page.url and page.locator(".line[aria-current]").count() == 1
    page.reload()
    expect(page.locator(".slot .said")).to_have_count(1)
    sound(page, axe)
    assert page.viewport_size == {"width": 768, "height": 1024}
    page.locator("ol.candidates .line").nth(6).scroll_into_view_if_needed()
    assert page.evaluate(SHARE) < 0.42
    page.get_by_role("link", name="By place", exact=True).click()
    expect(page.get_by_role("heading", name="Muscles", exact=True)).to_be_visible()
    unfolded = page.locator(".apart details").first
    unfolded.locator("summary").click()
    expect(unfolded.locator("li").first).to_be_visible()
    axe(page)


def test_a_chest_waits_for_a_decision_and_then_the_heart_stands_first(page, visit, axe, look):
    invented.record(visit, invented.CHEST)
    examine(page, visit, "?order=evidence")
    expect(page.get_by_role("heading", name="Decide first")).to_be_visible()
    expect(page.locator("ol.candidates > li")).to_have_count(0)
    page.get_by_text("Each with its agreement").click()
    page.locator(".others .line", has_text="Heart").click()
    expect(page.locator(".slot")).to_contain_text(["waits until the signs of danger are decided"])
    expect(page.locator(".said, .tally, .apart")).to_have_count(0)
    axe(page)
    look(page, "reasoning-chest-held")
    page.get_by_role("link", name="decide on the page of danger signs").click()
    form = page.get_by_role("form", name=re.compile("^Decide about")).first
    form.locator("input[value=cleared]").check()
    form.get_by_label("Why").fill("Seen by the physician on call, tracing and blood normal.")
    form.get_by_label("What the patient was advised").fill("To call at once when it comes at rest.")
    form.get_by_label("Yes").check()
    form.get_by_role("button", name="Save the decision").click()
    expect(
        page.get_by_role("form", name=re.compile("^Decide about")).first.locator("input:checked")
    ).to_have_count(0)
    examine(page, visit, "?order=evidence")
    assert first(page).startswith("Heart")
    expect(page.locator("ol.candidates .words").first).to_contain_text("exclude first")
    page.locator("ol.candidates .line").first.click()
    expect(page.locator(".slot .said")).to_contain_text("effort")
    look(page, "reasoning-chest")


def test_a_saddle_answer_leaves_no_muscle_and_no_evidence_by_any_address(page, visit, axe, look):
    invented.record(visit, invented.CAUDA)
    for query in ("", "?order=evidence", "?order=evidence&pick=multifidus_lumborum.right&all=1"):
        examine(page, visit, query)
        expect(page.get_by_role("heading", name="Decide first")).to_be_visible()
        expect(page.locator("ol.candidates > li, .said, .tally, .apart")).to_have_count(0)
        assert "ultifidus" not in page.content()
    assert page.evaluate(TOO_SMALL, PRESSED) == []
    sound(page, axe)
    look(page, "reasoning-cauda-held")

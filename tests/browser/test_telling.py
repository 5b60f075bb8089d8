"""The patient tells the story by taps on a handed-over tablet and draws; the clinician takes it over."""

import re
import uuid

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from charting.history.models import StoryAnswer
from charting.history.queries import case_of
from charting.staff.models import User
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.people import hand_over
from tests.browser.questions import SMALLER_THAN_60, Fingers, saved
from tests.browser.test_pages import CUT_OFF, TOO_SMALL, sign_in
from tests.charting import recorded

# A whole story as somebody might tell it, screen by screen: what is tapped; "next" where a tap alone does
# not lead on.
STORY: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("who_answers", ("The patient",)),
    *((key, ("No",)) for key in ("trauma", "cord", "bladder_bowel_saddle")),
    ("chest", ("Yes",)),
    *((key, ("No",)) for key in ("new_head_neck_pain", "fever", "cancer")),
    ("weight_loss", ("Not sure",)),
    ("onset", ("Little by little",)),
    ("lasted", ("More than 3 months",)),
    ("course", ("The same",)),
    ("day_course", ("In the evening", "next")),
    ("brings_on", ("Shoulder, arm and hand", "Reaching", "Arm overhead", "Lifting", "next")),
    ("eases", ("Rest", "Heat", "next")),
    ("postures", ("At a desk", "next")),
    ("work_load", ("Screens", "next")),
    ("dominant_hand", ("Right",)),
    ("episodes", ("The first time",)),
    ("treatments", ("Nothing", "next")),
    ("medication", ("next",)),
    ("conditions", ("None of these", "next")),
    ("smoking", ("Never",)),
    ("mood_low", ("No",)),
    ("worry", ("Yes",)),
    ("fear_moving", ("No",)),
    ("expects", ("To recover",)),
    ("sleep_poor", ("No",)),
    ("goals", ("next",)),
    ("anticoagulant", ("No",)),
    ("pregnancy", ("No",)),
    ("implant", ("No",)),
    ("allergy", ("Yes", "next")),
    ("needle_reaction", ("No",)),
)
# One of each kind: looked at, measured and held against the rules of access.
KINDS = ("chest", "day_course", "brings_on", "work_load", "medication", "allergy")


def answer_screen(fingers: Fingers, key: str, taps: tuple[str, ...]) -> None:
    for words in taps:
        if words == "next":
            fingers.next()
        elif fingers.page.locator("summary", has_text=words).count():
            fingers.open(words)
        else:
            fingers.choose(key, words)


@pytest.fixture
def visit(records) -> Visit:
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=900_000 + uuid.uuid4().int % 90_000)
    return Visit.objects.create(patient=person, clinician=nora)


@pytest.fixture
def tablet(device, visit) -> Page:
    """Handed over for the story, held upright, name and birth date confirmed."""
    page: Page = device("tall", has_touch=True).new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/")
    hand_over(page, "The whole story")
    page.get_by_role("button", name="Yes").tap()
    page.wait_for_url("**/board/story/**")
    return page


def test_a_story_is_told_by_taps_and_taken_over(tablet, visit, device, axe, look):
    fingers = Fingers(tablet)
    for key, taps in STORY:
        fingers.at(f"story/{key}")
        expect(tablet.locator(".place-words")).to_have_text(
            re.compile(rf"Step 1 of 3: your story, \d+ of {len(STORY) + 1}$")
        )
        if key in KINDS:
            look_closely(tablet, key, axe, look)
        answer_screen(fingers, key, taps)
    tablet.locator("[data-stage][data-front]").wait_for()
    expect(tablet.locator(".board-who")).to_contain_text("Step 2 of 3: your drawing")
    look(tablet, "told-board")
    assert fingers.screens == len(STORY) == 34
    assert fingers.taps == sum(len(taps) for _, taps in STORY) == 46

    desk = device("desk").new_page()
    sign_in(desk)
    desk.goto("/")
    look(desk, "told-today")
    axe(desk)
    desk.goto(f"/visits/{visit.pk}/")
    expect(desk.get_by_text("not sure to: Weight loss, pain at rest").first).to_be_visible()
    axe(desk)
    look(desk, "told-overview")
    desk.get_by_role("link", name="Read what the patient told").click()
    expect(desk.locator(".told-rows").first).to_be_visible()
    axe(desk)
    look(desk, "told-page")
    row = desk.locator(".told-rows tr", has_text="Onset")
    row.locator("summary").click()
    row.get_by_label("suddenly").check()
    expect(desk.get_by_text("Draft kept")).to_be_visible()
    desk.get_by_role("button", name="Take over all of it").click()
    expect(desk.get_by_text("Taken over:")).to_be_visible()
    told = Telling.objects.get(visit=visit)
    assert told.answers["onset"] == "gradual" and told.changed == ["onset"]
    case = case_of(visit)
    assert case["onset"] == "sudden" and case["brings_on"] == ("arm_overhead", "reach", "lift")
    assert case["allergy"] == "yes" and "chest" not in case
    desk.get_by_role("button", name="Confirm these danger answers").click()
    expect(desk.get_by_text("The danger screen is saved.")).to_be_visible()
    assert case_of(visit)["chest"] == "yes"
    axe(desk)
    look(desk, "told-read")


def look_closely(tablet, key, axe, look):
    axe(tablet)
    for width, height in SIZES.values():
        tablet.set_viewport_size({"width": width, "height": height})
        assert tablet.evaluate(CUT_OFF) <= 0
    tablet.set_viewport_size({"width": 768, "height": 1024})
    large = "button:not(.plain), .chip-pick > span, input[type=text], textarea, summary"
    small = tablet.evaluate(SMALLER_THAN_60, large)
    assert small == [], (key, small)
    assert tablet.evaluate(TOO_SMALL, "button, .chip-pick > span, input[type=text], textarea") == []
    look(tablet, f"told-{key}")


def test_without_a_connection_nothing_is_lost_and_it_says_so(tablet, visit, complaints):
    fingers = Fingers(tablet)
    tablet.goto("/board/story/chest/")
    fingers.choose("chest", "No")
    tablet.wait_for_url("**/board/story/new_head_neck_pain/")
    tablet.context.set_offline(True)
    fingers.choose("new_head_neck_pain", "Yes")
    expect(tablet.locator("[data-saving]")).to_contain_text("Kept on this device: no connection")
    expect(tablet.locator("[data-trouble]")).to_contain_text("What you answered is still here")
    assert tablet.url.endswith("/board/story/new_head_neck_pain/")
    assert Telling.objects.get(visit=visit).answers == {"chest": "no"}
    tablet.context.set_offline(False)
    expect(tablet.locator("[data-saving]")).to_have_text("Saved", timeout=15_000)
    assert Telling.objects.get(visit=visit).answers == {"chest": "no", "new_head_neck_pain": "yes"}
    fingers.next()
    tablet.wait_for_url("**/board/story/fever/")
    complaints.expect("ERR_INTERNET_DISCONNECTED")


def test_what_hangs_on_an_answer_shows_with_it_and_an_answer_can_be_taken_back(tablet, visit):
    tablet.goto("/board/story/allergy/")
    fingers = Fingers(tablet)
    which = tablet.get_by_label("To what?")
    expect(which).to_be_hidden()
    fingers.choose("allergy", "Yes")
    which.fill("latex")
    saved(tablet)
    tablet.reload()
    expect(tablet.get_by_label("To what?")).to_have_value("latex")
    fingers.tap(tablet.locator("[data-question=allergy] [data-clear]"))
    expect(tablet.get_by_label("To what?")).to_be_hidden()
    saved(tablet)
    assert Telling.objects.get(visit=visit).answers == {}


def test_the_keyboard_alone_is_enough_and_arrows_do_not_lead_on(tablet, visit):
    tablet.goto("/board/story/mood_low/")
    tablet.get_by_role("radio", name="Yes").first.focus()
    tablet.keyboard.press("Space")
    tablet.keyboard.press("ArrowRight")
    saved(tablet)
    assert tablet.url.endswith("/board/story/mood_low/")
    assert Telling.objects.get(visit=visit).answers == {"mood_low": "no"}
    tablet.get_by_role("button", name="Next").last.focus()
    tablet.keyboard.press("Enter")
    tablet.wait_for_url("**/board/story/sleep_poor/")


def test_without_script_it_works_as_well(device, visit):
    page: Page = device("tall", java_script_enabled=False).new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/")
    hand_over(page, "The whole story")
    page.get_by_role("button", name="Yes").click()
    page.wait_for_url("**/board/story/**")
    page.goto("/board/story/allergy/")
    page.locator("[data-question=allergy] > fieldset .chip-pick", has_text=re.compile("^Yes$")).click()
    page.get_by_label("To what?").fill("latex")
    page.get_by_role("button", name="Back").click()
    page.wait_for_url("**/board/story/implant/")
    assert Telling.objects.get(visit=visit).answers == {"allergy": "yes", "allergy_which": "latex"}
    page.goto("/board/story/allergy/")
    page.locator("[data-question=allergy] > fieldset .chip-pick", has_text="No answer").click()
    page.get_by_role("button", name="Back").click()
    page.wait_for_url("**/board/story/implant/")
    assert Telling.objects.get(visit=visit).answers == {}


def test_a_device_that_is_taken_back_saves_no_more_and_says_so(tablet, visit, complaints):
    fingers = Fingers(tablet)
    tablet.goto("/board/story/chest/")
    fingers.choose("chest", "No")
    tablet.wait_for_url("**/board/story/new_head_neck_pain/")
    visit.hand_overs.update(ended_at=timezone.now())
    fingers.choose("new_head_neck_pain", "Yes")
    expect(tablet.locator("[data-trouble]")).to_contain_text("The time for answering is over")
    expect(tablet.locator("[data-question=new_head_neck_pain] :checked")).to_have_value("yes")
    assert Telling.objects.get(visit=visit).answers == {"chest": "no"}
    assert not StoryAnswer.objects.filter(visit=visit).exists()
    complaints.expect("403")

"""The patient tells the story by taps on a handed-over tablet and draws; the clinician takes it over."""

import re
import uuid

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from charting.history.models import StoryAnswer
from charting.history.queries import case_of
from charting.staff.models import User
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.browser.conftest import SIZES
from tests.browser.test_pages import CUT_OFF, TOO_SMALL, sign_in
from tests.charting import recorded

# A whole story as somebody might tell it, chip by chip; danger questions first answered no, one of them yes.
STORY = (
    ("Who is answering", {"who_answers": ["The patient"]}),
    (
        "Your health",
        {key: ["No"] for key in ("trauma", "cord", "bladder_bowel_saddle", "new_head_neck_pain", "fever")}
        | {"chest": ["Yes"], "cancer": ["No"], "weight_loss": ["Not sure"]},
    ),
    ("How it began", {"onset": ["Little by little"], "lasted": ["Up to 6 weeks"], "course": ["The same"]}),
    (
        "What makes it worse",
        {"brings_on": ["Reaching", "Arm overhead", "Lifting"], "eases": ["Rest", "Heat"]},
    ),
    (
        "Your day",
        {"postures": ["At a desk"], "sleep_position": ["On the right side"], "work_load": ["Screens"]},
    ),
    ("Earlier", {"episodes": ["The first time"], "treatments": ["Nothing"], "smoking": ["Never"]}),
    ("What you think", {"mood_low": ["No"], "worry": ["Yes"], "expects": ["To recover"]}),
    ("Good to know", {"anticoagulant": ["No"], "implant": ["No"], "allergy": ["Yes"]}),
)


class Fingers:
    """Counts the taps."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps = page, 0

    def tap(self, what: Locator) -> None:
        what.tap()
        self.taps += 1

    def choose(self, key: str, words: str) -> None:
        chips = self.page.locator(f"[data-question={key}] > fieldset .chip-pick")
        self.tap(chips.filter(has_text=re.compile(f"^{words}$")))

    def next(self) -> None:
        self.tap(self.page.locator(".questions-end").get_by_role("button", name="Next"))


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
    page.get_by_label("The story, then the drawing").first.check()
    page.get_by_role("button", name="Hand the device to the patient").click()
    page.get_by_role("button", name="Yes").tap()
    page.wait_for_url("**/board/story/**")
    return page


def saved(page: Page) -> None:
    expect(page.locator("[data-saving]")).to_have_text("Saved")


def test_a_story_is_told_by_taps_and_taken_over(tablet, visit, device, axe, look):
    fingers = Fingers(tablet)
    for number, (title, answers) in enumerate(STORY, 1):
        expect(tablet.get_by_role("heading", level=1)).to_contain_text(title)
        expect(tablet.locator(".questions-place")).to_have_text(f"Part {number} of {len(STORY)}")
        for key, chosen in answers.items():
            for words in chosen:
                fingers.choose(key, words)
        saved(tablet)
        axe(tablet)
        for width, height in SIZES.values():
            tablet.set_viewport_size({"width": width, "height": height})
            assert tablet.evaluate(CUT_OFF) <= 0
        tablet.set_viewport_size({"width": 768, "height": 1024})
        assert tablet.evaluate(TOO_SMALL, "button, .chip-pick > span, input[type=text], textarea") == []
        look(tablet, f"told-{number}")
        fingers.next()
    tablet.locator("[data-stage][data-front]").wait_for()
    look(tablet, "told-board")
    asked = sum(len(chosen) for _, answers in STORY for chosen in answers.values())
    assert fingers.taps == asked + len(STORY) == 37

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


def test_without_a_connection_nothing_is_lost_and_it_says_so(tablet, visit, complaints):
    fingers = Fingers(tablet)
    fingers.next()
    fingers.choose("chest", "No")
    saved(tablet)
    tablet.context.set_offline(True)
    fingers.choose("fever", "Yes")
    expect(tablet.locator("[data-saving]")).to_contain_text("no connection")
    fingers.next()
    expect(tablet.locator("[data-trouble]")).to_contain_text("What you answered is still here")
    assert tablet.url.endswith("/board/story/danger/")
    assert Telling.objects.get(visit=visit).answers == {"chest": "no"}
    tablet.context.set_offline(False)
    expect(tablet.locator("[data-saving]")).to_have_text("Saved", timeout=15_000)
    assert Telling.objects.get(visit=visit).answers == {"chest": "no", "fever": "yes"}
    fingers.next()
    tablet.wait_for_url("**/board/story/beginning/")
    complaints.expect("ERR_INTERNET_DISCONNECTED")


def test_what_hangs_on_an_answer_shows_with_it_and_an_answer_can_be_taken_back(tablet, visit):
    tablet.goto("/board/story/standing/")
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


def test_the_keyboard_alone_is_enough(tablet, visit):
    tablet.goto("/board/story/person/")
    tablet.get_by_role("radio", name="Yes").first.focus()
    tablet.keyboard.press("Space")
    tablet.keyboard.press("ArrowRight")
    saved(tablet)
    assert Telling.objects.get(visit=visit).answers == {"mood_low": "no"}
    tablet.get_by_role("button", name="Next").last.focus()
    tablet.keyboard.press("Enter")
    tablet.wait_for_url("**/board/story/standing/")


def test_without_script_it_works_as_well(device, visit):
    page: Page = device("tall", java_script_enabled=False).new_page()
    sign_in(page)
    page.goto(f"/visits/{visit.pk}/")
    page.get_by_label("The story, then the drawing").first.check()
    page.get_by_role("button", name="Hand the device to the patient").click()
    page.get_by_role("button", name="Yes").click()
    page.wait_for_url("**/board/**")
    page.goto("/board/story/standing/")
    page.locator("[data-question=allergy] > fieldset .chip-pick", has_text=re.compile("^Yes$")).click()
    page.get_by_label("To what?").fill("latex")
    page.get_by_role("button", name="Back").click()
    page.wait_for_url("**/board/story/person/")
    assert Telling.objects.get(visit=visit).answers == {"allergy": "yes", "allergy_which": "latex"}
    page.goto("/board/story/standing/")
    page.locator("[data-question=allergy] > fieldset .chip-pick", has_text="No answer").click()
    page.get_by_role("button", name="Back").click()
    page.wait_for_url("**/board/story/person/")
    assert Telling.objects.get(visit=visit).answers == {}


def test_a_device_that_is_taken_back_saves_no_more_and_says_so(tablet, visit, complaints):
    fingers = Fingers(tablet)
    fingers.next()
    fingers.choose("chest", "No")
    saved(tablet)
    visit.hand_overs.update(ended_at=timezone.now())
    fingers.choose("fever", "Yes")
    expect(tablet.locator("[data-trouble]")).to_contain_text("The time for answering is over")
    expect(tablet.locator("[data-question=fever] :checked")).to_have_value("yes")
    assert Telling.objects.get(visit=visit).answers == {"chest": "no"}
    assert not StoryAnswer.objects.filter(visit=visit).exists()
    complaints.expect("403")

"""A first visit's whole intake by the patient alone, by touch: story, drawing, where it hurts, scores, a
text to read; interrupted after the drawing, gone on with on a second device. Taps, screens and words are
counted.
"""

import re
import uuid
from dataclasses import dataclass

import pytest
from playwright.sync_api import Page, expect

from charting.intake.queries import readings_of
from charting.outcomes.models import OutcomeScore
from charting.staff.models import User
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.browser.hand import Hand
from tests.browser.people import hand_over
from tests.browser.questions import SMALLER_THAN_60, Fingers, saved
from tests.browser.test_pages import CUT_OFF, sign_in
from tests.browser.test_telling import STORY, answer_screen
from tests.charting import recorded

# How long it takes somebody is estimated, for no machine is in pain: every allowance is our own judgement,
# made to be on the slow side. Reading: 238 words a minute is the mean of silent reading of plain English
# (Brysbaert 2019, J Mem Lang 109:104047, from memory); here 200.
WORDS_A_MINUTE = 200
SECONDS_A_TAP = 1.5
SECONDS_A_SCREEN = 0.7
SECONDS_A_LETTER = 0.4
SECONDS_TO_DRAW = 75
EIGHT_MINUTES = 480
# What somebody reads before they tap: everything that shows but the bar, and the two buttons at the end.
READ = """() => {
  const unread = [
    ".questions-bar", ".questions-end", ".questions-stop", ".visually-hidden", "[hidden]", "noscript", "svg",
    ".scale", "details:not([open]) > :not(summary)", ".follow", "script", ".areas-end",
  ];
  const shown = document.querySelector("form.questions, [data-areas]").cloneNode(true);
  for (const each of shown.querySelectorAll(unread.join())) each.remove();
  return (shown.textContent.match(/[\\p{L}\\d]+/gu) ?? []).length;
}"""
NECK = [(470, 250), (530, 300), (480, 330)]


@dataclass
class Effort:
    """What one intake asks of somebody."""

    words: int = 0
    letters: int = 0

    def read(self, page: Page) -> None:
        self.words += page.evaluate(READ)

    def seconds(self, fingers: Fingers) -> float:
        by_hand = fingers.taps * SECONDS_A_TAP + fingers.screens * SECONDS_A_SCREEN
        return self.words * 60 / WORDS_A_MINUTE + by_hand + self.letters * SECONDS_A_LETTER + SECONDS_TO_DRAW


@pytest.fixture
def visit(records) -> Visit:
    nora = User.objects.get(username="clinician")
    person = recorded.patient(nora.practice, number=900_000 + uuid.uuid4().int % 90_000)
    return Visit.objects.create(patient=person, clinician=nora)


@pytest.fixture
def given(device, visit):
    """`given()`: a tablet held upright, handed over for everything that is proposed, the name confirmed."""

    def give() -> Page:
        page: Page = device("tall", has_touch=True).new_page()
        sign_in(page)
        page.goto(f"/visits/{visit.pk}/drawing-step/")
        hand_over(page, "The whole story", "Scores", "To read: Consent to the examination")
        page.get_by_role("button", name="Yes").tap()
        page.wait_for_url(re.compile("/board/(story/.+|scores/.+|reading/.+|)$"))
        return page

    return give


def percent(page: Page) -> int:
    return int(str(page.locator("progress").get_attribute("value")))


def test_everything_alone_in_eight_minutes_and_on_a_second_device(given, visit, device, axe, look):
    tablet = given()
    fingers, effort, shown = Fingers(tablet), Effort(), [-1]
    for key, taps in STORY:
        fingers.at(f"story/{key}")
        effort.read(tablet)
        shown.append(percent(tablet))
        answer_screen(fingers, key, taps)
    draw(tablet, fingers)
    effort.read(tablet)
    axe(tablet)
    look(tablet, "intake-areas")
    tablet.locator("label.pick", has_text=re.compile("^6$")).first.tap()
    expect(tablet.locator("[data-saving-words]")).to_contain_text("Saved")
    fingers.taps += 1
    fingers.tap(tablet.locator(".areas-bar").get_by_role("button", name="Next"))
    fingers.at("scores/nprs-average")
    first = tablet

    # The first tablet is put down here; the story, the strokes and the place are on the second.
    second = given()
    second.wait_for_url("**/board/scores/nprs-average/")
    fingers.page = second
    for key, value in (("average", 5), ("now", 4), ("best", 2), ("worst", 8)):
        fingers.at(f"scores/nprs-{key}")
        effort.read(second)
        shown.append(percent(second))
        if key == "now":
            look_closely(second, "intake-number", axe, look)
        fingers.number(value)
    for place, (name, value) in enumerate((("Lifting a pan", 4), ("Sleeping through", 3), ("Driving", 6)), 1):
        fingers.at(f"scores/psfs-{place}")
        effort.read(second)
        shown.append(percent(second))
        if place == 1:
            look_closely(second, "intake-activity", axe, look)
        second.locator("#id_name").fill(name)
        effort.letters += len(name)
        fingers.taps += 1
        fingers.number(value)
        fingers.next()
    for part in range(1, 6):
        fingers.at(f"reading/examination/{part}")
        effort.read(second)
        shown.append(percent(second))
        if part == 2:
            fingers.open("I have a question")
            second.get_by_label("What do you want to ask?").fill("May I keep my shirt on?")
            effort.letters += len("May I keep my shirt on?")
            saved(second)
            look_closely(second, "intake-read", axe, look)
        fingers.next()
    fingers.at("reading/end")
    effort.read(second)
    shown.append(percent(second))
    expect(second.get_by_text("May I keep my shirt on?")).to_be_visible()
    look_closely(second, "intake-end", axe, look)
    fingers.tap(second.get_by_role("button", name="Done"))
    expect(second.get_by_role("heading", name="Thank you")).to_be_visible()
    axe(second)
    look(second, "intake-done")

    assert shown == sorted(shown)
    took = effort.seconds(fingers)
    by_hand = f"{fingers.screens} screens, {fingers.taps} taps"
    counted = f"{by_hand}, {effort.words} words, {effort.letters} letters"
    print(f"{counted}: {took:.0f} s")
    assert took <= EIGHT_MINUTES, counted
    scores = OutcomeScore.objects.get(visit=visit, instrument="nprs").answers
    assert scores == {"average": 5, "now": 4, "best": 2, "worst": 8}
    read = readings_of(visit)["examination"]
    assert read.read_at and read.questions == ("May I keep my shirt on?",)
    assert Telling.objects.filter(visit=visit).count() == 2

    # What the first tablet answers now, it answers late: what is newer stays.
    first.bring_to_front()
    Fingers(first).number(9)
    first.wait_for_url("**/board/scores/nprs-now/")
    assert OutcomeScore.objects.get(visit=visit, instrument="nprs").answers["average"] == 5

    desk = device("desk").new_page()
    sign_in(desk)
    desk.goto(f"/visits/{visit.pk}/outcomes/")
    expect(desk.get_by_text("by the patient on the device").first).to_be_visible()
    desk.goto(f"/visits/{visit.pk}/told/")
    expect(desk.get_by_text("Pain, average: 9")).to_be_visible()
    look(desk, "intake-told")


def draw(page: Page, fingers: Fingers) -> None:
    page.locator("[data-stage][data-front]").wait_for()
    fingers.screens += 1
    fingers.tap(page.locator("label.kind", has_text="Ache"))
    Hand(page).shade("back", NECK)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
    fingers.tap(page.get_by_role("button", name="Done"))
    page.wait_for_url("**/board/areas/")
    fingers.screens += 1


def look_closely(page: Page, name: str, axe, look) -> None:
    axe(page)
    assert page.evaluate(CUT_OFF) <= 0
    assert (
        page.evaluate(SMALLER_THAN_60, "button:not(.plain), .chip-pick > span, input[type=text], summary")
        == []
    )
    look(page, name)


def test_what_a_device_could_not_send_is_sent_by_who_signs_in_there(given, visit, complaints):
    tablet = given()
    fingers = Fingers(tablet)
    fingers.choose("who_answers", "The patient")
    tablet.wait_for_url("**/board/story/trauma/")
    tablet.context.set_offline(True)
    fingers.choose("trauma", "Yes")
    expect(tablet.locator("[data-saving]")).to_contain_text("Kept on this device")
    # It is closed like this, and given back: somebody signs in on it when there is a connection again.
    tablet.close(run_before_unload=False)
    tablet.context.set_offline(False)
    back = tablet.context.new_page()
    back.goto("/sign-in/")
    expect(back.locator("[data-left-here]")).to_contain_text("1")
    sign_in(back)
    back.goto("/")
    expect(back.locator("[data-leftover]")).to_be_visible()
    assert Telling.objects.get(visit=visit).answers == {"who_answers": "patient", "trauma": "yes"}
    complaints.expect("ERR_INTERNET_DISCONNECTED")

"""A first visit's whole intake by the patient alone, by touch: story, drawing, where it hurts, scores, a
text to read; interrupted after the drawing, gone on with on a second device. Taps, screens and words are
counted.
"""

import re
import uuid
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Page, expect

from charting.intake.queries import readings_of
from charting.outcomes.models import OutcomeScore
from charting.staff.models import User
from charting.telling import screens
from charting.telling.models import Telling
from charting.visits.models import Visit
from tests.browser.hand import Hand
from tests.browser.people import hand_over
from tests.browser.questions import SMALLER_THAN_60, Fingers, saved
from tests.browser.test_pages import CUT_OFF, sign_in
from tests.browser.test_telling import STORY, answer_screen
from tests.browser.test_whole_way import SHOULDER
from tests.charting import recorded

# How long it takes somebody is estimated, for no machine is in pain. Every allowance is our own judgement,
# but for the reading: 238 words a minute is the mean of silent reading of plain English (Brysbaert 2019, J
# Mem Lang 109:104047, from memory). A list of answers is glanced over for one's own, twice as fast. What
# stands on screen after screen in the same words (yes, no, not sure; more than one may fit) is read once. A
# question that somebody types while reading comes on top. Somebody who reads 200 words and needs 1.5 s for
# a tap takes over nine minutes: all is kept whenever they stop.
WORDS_A_MINUTE, CHOICES_A_MINUTE = 238, 476
SECONDS_A_TAP = 1.2
SECONDS_A_SCREEN = 0.7
SECONDS_A_LETTER = 0.4
SECONDS_TO_DRAW = 60
EIGHT_MINUTES = 480
# Every text that shows, but the bar and the buttons at the end: [words, whether it is one of the answers].
READ = """() => {
  const unread = ".questions-bar, .questions-end, .questions-stop, .visually-hidden, div.scale, .numbers";
  const shown = [...document.querySelector("form.questions, [data-areas]").querySelectorAll(
    "h1, h2, h3, legend, label.ask, p, summary, li, .chip-pick > span, .pick > span, .scale-ends span")];
  return shown
    .filter((each) => each.offsetParent && !each.closest(unread) && !each.querySelector("h1, p"))
    .map((each) => [each.innerText.trim(), each.matches(".chip-pick > span, .pick > span")]);
}"""

PAIN = {"average": 5, "now": 4, "best": 2, "worst": 8}
ACTIVITIES = {"Lifting a pan": 4, "Sleeping through": 3, "Driving": 6}
QUESTION = "May I keep my shirt on?"


@dataclass
class Effort:
    """What one intake asks of somebody: each text that was read, and whether it is an answer to be chosen."""

    texts: dict[str, bool] = field(default_factory=dict)
    letters: int = 0

    def read(self, page: Page) -> None:
        self.texts.update({words: is_choice for words, is_choice in page.evaluate(READ)})

    def words(self, *, choices: bool) -> int:
        return sum(len(text.split()) for text, is_choice in self.texts.items() if is_choice == choices)

    def seconds(self, fingers: Fingers) -> float:
        reading = self.words(choices=False) / WORDS_A_MINUTE + self.words(choices=True) / CHOICES_A_MINUTE
        by_hand = fingers.taps * SECONDS_A_TAP + fingers.screens * SECONDS_A_SCREEN
        return reading * 60 + by_hand + self.letters * SECONDS_A_LETTER + SECONDS_TO_DRAW


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
        # The address alone tells nothing: the question stands at that of the board, which may come next.
        expect(page.get_by_role("button", name="Yes")).to_have_count(0)
        page.wait_for_load_state()
        return page

    return give


class Patient:
    """Somebody at a tablet: what they tap, what they read, how far they are shown to be."""

    def __init__(self, page: Page) -> None:
        self.fingers, self.effort, self.shown = Fingers(page), Effort(), [-1]

    def at(self, address: str) -> None:
        self.fingers.at(address)
        self.read()
        self.shown.append(int(str(self.fingers.page.locator("progress").get_attribute("value"))))

    def read(self) -> None:
        self.effort.read(self.fingers.page)

    def tell(self) -> None:
        for key, taps in STORY:
            if key in screens.load().in_scores:
                continue
            self.at(f"story/{key}")
            for words in taps:
                answer_screen(self.fingers, key, (words,))
                if words == "Shoulder, arm and hand":
                    self.read()

    def draw(self) -> None:
        page = self.fingers.page
        page.locator("[data-stage][data-front]").wait_for()
        self.fingers.tap(page.locator("label.kind", has_text="Ache"))
        Hand(page).shade("front", SHOULDER)
        expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
        self.fingers.tap(page.get_by_role("button", name="Done"))
        page.wait_for_url("**/board/areas/")
        self.fingers.screens += 2
        self.read()

    def answer_area(self) -> None:
        page = self.fingers.page
        self.fingers.tap(page.locator(".area label.number", has_text=re.compile("^6$")).first)
        expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
        self.fingers.tap(page.locator(".areas-bar").get_by_role("button", name="Next"))

    def rate_pain(self) -> None:
        for key, value in PAIN.items():
            self.at(f"scores/nprs-{key}")
            self.fingers.number(value)

    def name_activities(self) -> None:
        for place, (name, value) in enumerate(ACTIVITIES.items(), 1):
            self.at(f"scores/psfs-{place}")
            self.type("#id_name", name)
            self.fingers.number(value)
            self.fingers.next()

    def type(self, where: str, words: str) -> None:
        self.fingers.tap(self.fingers.page.locator(where))
        self.fingers.page.locator(where).fill(words)
        self.effort.letters += len(words)


def test_everything_alone_in_eight_minutes_and_on_a_second_device(given, visit, device, axe, look):
    patient = Patient(given())
    patient.tell()
    patient.draw()
    axe(patient.fingers.page)
    look(patient.fingers.page, "intake-areas")
    patient.answer_area()
    first = patient.fingers.page
    first.wait_for_url("**/board/scores/nprs-average/")

    # The first tablet is put down here; the story, the strokes and the place are on the second.
    second = patient.fingers.page = given()
    patient.rate_pain()
    patient.name_activities()
    read_and_ask(patient, axe, look)

    assert patient.shown == sorted(patient.shown)
    took, counted = patient.effort.seconds(patient.fingers), in_words(patient)
    print(f"{counted}: {took:.0f} s")
    assert took <= EIGHT_MINUTES, counted
    scores = {row.instrument: row.answers for row in OutcomeScore.objects.filter(visit=visit)}
    assert scores["nprs"] == PAIN
    assert {one["name"]: one["value"] for one in scores["psfs"]["activities"]} == ACTIVITIES
    read = readings_of(visit)["examination"]
    assert read.read_at and read.questions == (QUESTION,)

    # What the first tablet answers now, it answers late: what is newer stays.
    first.bring_to_front()
    Fingers(first).number(9)
    first.wait_for_url("**/board/scores/nprs-now/")
    assert OutcomeScore.objects.get(visit=visit, instrument="nprs").answers == PAIN
    second.close()
    on_the_desk(device, visit, look)


def read_and_ask(patient: Patient, axe, look) -> None:
    page = patient.fingers.page
    for part in range(1, 6):
        patient.at(f"reading/examination/{part}")
        if part == 2:
            page.locator("summary", has_text="I have a question").tap()
            page.locator("#id_question").fill(QUESTION)
            saved(page)
        patient.fingers.next()
    patient.at("reading/end")
    expect(page.get_by_text(QUESTION)).to_be_visible()
    look_closely(page, "intake-end", axe, look)
    patient.fingers.tap(page.get_by_role("button", name="Done"))
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    axe(page)
    look(page, "intake-done")


def in_words(patient: Patient) -> str:
    effort, fingers = patient.effort, patient.fingers
    words = f"{effort.words(choices=False)} words, {effort.words(choices=True)} in answers"
    return f"{fingers.screens} screens, {fingers.taps} taps, {words}, {effort.letters} letters"


def on_the_desk(device, visit: Visit, look) -> None:
    desk = device("desk").new_page()
    sign_in(desk)
    desk.goto(f"/visits/{visit.pk}/outcomes/")
    expect(desk.get_by_text("by the patient on the device").first).to_be_visible()
    desk.goto(f"/visits/{visit.pk}/told/")
    expect(desk.get_by_text("average: 9")).to_be_visible()
    look(desk, "intake-told")


def test_each_kind_of_screen_after_the_drawing_is_large_and_open_to_everybody(given, axe, look):
    tablet = given()
    for address in ("scores/nprs-now", "scores/psfs-1", "reading/examination/2"):
        tablet.goto(f"/board/{address}/")
        if address.startswith("reading"):
            tablet.locator("summary", has_text="I have a question").tap()
        look_closely(tablet, address.replace("/", "-"), axe, look)


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
    assert Telling.objects.get(visit=visit).answers == {"who_answers": "self", "trauma": "yes"}
    complaints.expect("ERR_INTERNET_DISCONNECTED")

"""Own patterns in a real browser: drawn by touch, kept, ranked, carried in a file; every page looked at."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from bodymaps import figure
from charting.management import demo
from charting.patterns.models import PatternDrawing, PatternStroke, PatternVersion
from charting.patterns.queries import in_use
from charting.patterns.services import set_use
from charting.staff.models import User
from tests.browser import people
from tests.browser.hand import Hand

# Along the outer side of the upper arm, in figure mm.
ARM = [figure.load().landmark("front", name) for name in ("deltoid_insertion", "biceps_mid")]
WIDER = [
    figure.load().landmark("front", name) for name in ("humeral_head", "biceps_mid", "forearm_radial_mid")
]


@pytest.fixture(scope="module", autouse=True)
def practice_as_it_was(server, django_db_blocker) -> Iterator[None]:
    """Other files rank by the same practice: what is drawn here is out of use again when they begin."""
    yield
    with django_db_blocker.unblock():
        nora = User.objects.get(username="clinician")
        for row in in_use(nora.practice):
            set_use(who=nora, row=row, in_use=False, reason="Drawn to try things on.")


def sign_in(page: Page, username: str) -> Page:
    people.sign_in(page, username)
    page.goto("/")
    expect(page.get_by_role("link", name="Own patterns")).to_be_visible()
    return page


@pytest.fixture
def desk(page) -> Page:
    return sign_in(page, "clinician")


def choose(page: Page, label: str) -> None:
    page.locator("label.kind, label.tool", has_text=label).click()


def begin(page: Page, name: str = "", muscle: str = "", start: str = "An empty figure") -> Hand:
    page.goto("/patterns/draw/" + (f"?muscle={muscle}" if muscle else ""))
    if name:
        page.get_by_label("Name of a new pattern").fill(name)
    page.get_by_text(start, exact=True).click()
    page.get_by_role("button", name="Open the board").click()
    page.locator("[data-stage][data-front]").wait_for()
    page.wait_for_timeout(200)
    return Hand(page)


def draw(page: Page, hand: Hand) -> None:
    choose(page, "Spillover")
    hand.shade("front", WIDER)
    choose(page, "Core")
    hand.shade("front", ARM)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")


def keep(page: Page) -> None:
    page.get_by_role("button", name="Done").click()
    page.get_by_label("Source: work").fill("Own observation")
    page.get_by_label("Chapter or page").fill("12 patients, 2026")
    page.get_by_label("Why is there an own pattern?").fill("Pressing there brings on this pain often.")
    page.get_by_role("button", name=re.compile("^Keep version")).click()


def test_it_is_drawn_by_touch_and_kept_with_source_and_reason(desk, records, complaints, axe, look):
    desk.get_by_role("link", name="Own patterns").click()
    expect(desk.locator("h1")).to_have_text("Own patterns")
    axe(desk)
    look(desk, "own-patterns-none")
    desk.get_by_role("link", name="Draw a pattern").click()
    expect(desk.get_by_role("button", name="Open the board")).to_be_visible()
    axe(desk)
    look(desk, "own-patterns-begin")
    hand = begin(desk, "Fold of the biceps")
    expect(desk.locator("h1")).to_have_text("Core and spillover")
    # Nothing is drawn before it is said what: the hint speaks of zones, not of pain.
    hand.shade("front", ARM)
    expect(desk.locator("[data-hint]")).to_have_text("First choose core or spillover.")
    draw(desk, hand)
    choose(desk, "Where the point lies")
    x, y = hand.place("front", *ARM[1])
    desk.touchscreen.tap(x, y)
    expect(desk.locator("[data-hint]")).to_have_text(re.compile("^The point is marked"))
    expect(desk.locator("[data-saving-words]")).to_contain_text("Saved")
    expect(desk.locator("[data-summary]").first).to_contain_text("Core: ")
    axe(desk)
    look(desk, "own-patterns-board")
    desk.get_by_role("button", name="Done").click()
    expect(desk.locator("h1")).to_have_text("Fold of the biceps: version 1")
    assert desk.locator("[data-zone=core]").count() == 1
    assert desk.locator("[data-zone=spillover]").count() >= 1
    assert desk.locator("[data-point]").count() == 1
    axe(desk)
    look(desk, "own-patterns-keep")
    desk.get_by_role("button", name="Keep version 1").click()
    expect(desk.locator("[role=alert]")).to_contain_text("Write why the practice wants its own pattern.")
    complaints.expect("422")
    axe(desk)
    desk.get_by_label("Source: work").fill("Own observation")
    desk.get_by_label("Chapter or page").fill("12 patients, 2026")
    desk.get_by_label("Why is there an own pattern?").fill("Pressing there brings on this pain often.")
    desk.get_by_role("button", name="Keep version 1").click()
    expect(desk.locator("h1")).to_have_text("Fold of the biceps")
    axe(desk)
    look(desk, "own-patterns-one")
    row = PatternVersion.objects.get(pattern="own_fold_of_the_biceps")
    assert {(zone["view"], zone["zone"]) for zone in row.zones} == {("front", "core"), ("front", "spillover")}
    assert row.at["view"] == "front"


def test_it_takes_the_place_of_a_muscle_and_the_ranked_line_says_so(desk, axe, look):
    hand = begin(desk, muscle="infraspinatus", start="The pattern as it stands now")
    # The pattern of the atlas is on the board already.
    expect(desk.locator("[data-summary]").first).to_contain_text("Core: ")
    draw(desk, hand)
    look(desk, "own-patterns-board-muscle")
    keep(desk)
    expect(desk.locator("h1")).to_have_text("Infraspinatus")
    expect(desk.get_by_role("heading", name="What the atlas shows")).to_be_visible()
    axe(desk)
    look(desk, "own-patterns-muscle")
    desk.goto("/patterns/")
    look(desk, "own-patterns-list")
    axe(desk)
    desk.goto("/")
    desk.locator("a.row", has_text=demo.load()["patient"][0]["family_name"]).first.click()
    desk.get_by_role("link", name=re.compile("^What to examine")).first.click()
    line = desk.locator("ol .line", has_text="Infraspinatus").first
    expect(line.locator(".own")).to_have_text(re.compile("^own pattern, version [0-9]+$"))
    line.click()
    expect(desk.locator("#pattern-words")).to_contain_text("lies over the drawing")
    expect(desk.locator(".slot dl")).to_contain_text("Pressing there brings on this pain often.")
    axe(desk)
    look(desk, "own-patterns-ranked")


def test_a_drawing_left_half_done_is_gone_on_with(desk, records):
    hand = begin(desk, "Edge of the rib cage")
    choose(desk, "Core")
    hand.shade("front", ARM)
    expect(desk.locator("[data-saving-words]")).to_contain_text("Saved")
    desk.goto("/patterns/")
    desk.get_by_role("link", name=re.compile("^Edge of the rib cage")).click()
    desk.locator("[data-stage][data-front]").wait_for()
    expect(desk.locator("[data-undo]").first).to_be_enabled()
    drawing = PatternDrawing.objects.get(name="Edge of the rib cage")
    assert PatternStroke.objects.filter(drawing=drawing).count() == 1
    desk.locator("[data-clear]").click()
    expect(desk.locator("[data-saving-words]")).to_contain_text("Saved")
    desk.goto("/patterns/")
    assert desk.get_by_role("link", name=re.compile("^Edge of the rib cage")).count() == 0


def test_a_file_goes_out_and_comes_in_again(desk, tmp_path, axe, look):
    draw(desk, begin(desk, "Crest of the hip"))
    keep(desk)
    expect(desk.locator("h1")).to_have_text("Crest of the hip")
    desk.goto("/patterns/")
    with desk.expect_download() as waiting:
        desk.get_by_role("link", name="Export to a file").click()
    file = tmp_path / "own.json"
    waiting.value.save_as(file)
    text = file.read_text()
    assert '"own_crest_of_the_hip"' in text
    file.write_text(text.replace("Pressing there brings on this pain often.", "Seen by two of us."))
    bring(desk, file)
    expect(desk.locator("main")).to_contain_text("becomes version")
    axe(desk)
    look(desk, "own-patterns-import")
    desk.get_by_role("button", name=re.compile("^Import [0-9]+ pattern")).click()
    expect(desk.locator("#messages")).to_contain_text("imported")
    file.write_text(text.replace("own_crest_of_the_hip", "crest_of_the_hip"))
    bring(desk, file)
    expect(desk.locator(".notice.danger")).to_contain_text("crest_of_the_hip: is no muscle of the atlas")
    assert desk.get_by_role("button", name=re.compile("^Import")).count() == 0
    axe(desk)
    look(desk, "own-patterns-import-refused")


def bring(page: Page, file: Path) -> None:
    page.goto("/patterns/import/")
    page.get_by_label("File of patterns").set_input_files(file)
    page.get_by_role("button", name="Look at the file").click()
    expect(page.locator("h1")).to_have_text("What the file would do")


def test_it_is_taken_out_of_use_and_brought_back(desk, axe, look):
    draw(desk, begin(desk, "Rim of the heel"))
    keep(desk)
    desk.get_by_label("Why?").fill("Not seen again.")
    desk.get_by_role("button", name="Take it out of use").click()
    expect(desk.locator(".notice.warn")).to_contain_text("Not seen again.")
    axe(desk)
    look(desk, "own-patterns-out")
    desk.get_by_label("Why?").fill("Seen again.")
    desk.get_by_role("button", name="Bring it back").click()
    expect(desk.locator(".notice.warn")).to_have_count(0)
    expect(desk.locator(".versions > li")).to_have_count(3)


def test_others_of_the_practice_look_and_do_not_write(device, axe, look):
    page = sign_in(device().new_page(), "desk")
    page.goto("/patterns/")
    expect(page.locator("h1")).to_have_text("Own patterns")
    assert page.get_by_role("link", name="Draw a pattern").count() == 0
    axe(page)
    page = sign_in(device().new_page(), "owner")
    page.goto("/patterns/")
    page.get_by_role("link", name="Change this").click()
    expect(page.locator(".chip.done")).to_have_text("writes patterns")
    axe(page)
    look(page, "own-patterns-writers")
    page.get_by_role("button", name=re.compile("^Take the right back")).click()
    expect(page.get_by_role("button", name="Give the right to Nora Feldt")).to_be_visible()
    page.get_by_role("button", name="Give the right to Nora Feldt").click()
    expect(page.locator(".chip.done")).to_have_text("writes patterns")

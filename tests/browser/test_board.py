"""The drawing board by itself, drawn on by real touches: what is kept, what is shown, what is said."""

import io
import math
import re
from collections.abc import Callable, Iterator

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.bench.board_page import Board, board_data, serving
from tests.browser.conftest import SIZES, Complaints
from tests.browser.hand import Hand

Open = Callable[..., Page]
# Kept where the browser has a place for it, only on the page where it has none: never called saved.
UNSAVED = re.compile("^(Kept on this device|Not saved yet)")
NO_PLACE = "Object.defineProperty(window, 'indexedDB', { value: undefined })"
# How many entries the browser holds, in whatever stores there are.
ENTRIES = """async () => {
  const done = (asked) => new Promise((call) => { asked.onsuccess = () => call(asked.result); });
  let count = 0;
  for (const { name } of await indexedDB.databases()) {
    const database = await done(indexedDB.open(name));
    for (const store of database.objectStoreNames) {
      count += await done(database.transaction(store).objectStore(store).count());
    }
    database.close();
  }
  return count;
}"""


@pytest.fixture
def board() -> Iterator[Board]:
    with serving(Board(board_data())) as served:
        yield served


@pytest.fixture
def opened(board: Board, chromium: Browser, complaints: Complaints) -> Iterator[Open]:
    """Opens the board as a tablet of one of the three sizes shows it."""
    contexts = []

    def go(size: str = "desk") -> Page:
        width, height = SIZES[size]
        context = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(5_000)
        complaints.watch(page)
        page.goto(board.url)
        page.locator("[data-stage][data-front]").wait_for()
        page.wait_for_timeout(100)
        return page

    yield go
    for context in contexts:
        context.close()


@pytest.fixture
def page(opened: Open) -> Page:
    return opened()


@pytest.fixture
def hand(page: Page) -> Hand:
    return Hand(page)


def choose(page: Page, label: str) -> None:
    page.locator("label.kind, label.tool", has_text=label).click()


def saved(page: Page) -> None:
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")


def ring(x: float, y: float, radius: float, share: float = 1.0) -> list[tuple[float, float]]:
    turns = [2 * math.pi * share * step / 24 for step in range(25)]
    return [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]


def strokes(board: Board) -> list[dict]:
    return [event for event in board.events if event["type"] == "stroke"]


# ---- what is kept


def test_a_finger_leaves_a_stroke_in_millimetres_of_its_view(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(300, 280), (280, 460)])
    choose(page, "Burning")
    hand.shade("back", [(600, 500), (700, 520)])
    saved(page)
    first, second = strokes(board)
    assert (first["view"], first["kind"], first["mode"]) == ("front", "ache", "shade")
    assert (second["view"], second["kind"]) == ("back", "burning")
    assert first["points"][0][:2] == pytest.approx([300, 280], abs=1.5)
    assert second["points"][-1][:2] == pytest.approx([700, 520], abs=1.5)
    assert second["seq"] > first["seq"]


def test_the_same_nib_covers_less_of_the_body_when_one_looks_closer(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    for _ in range(3):
        page.get_by_role("button", name="Look closer").click()
    page.wait_for_timeout(100)
    hand.shade("front", [(480, 420), (520, 430)])
    saved(page)
    far, near = strokes(board)
    assert near["nib_mm"] == pytest.approx(far["nib_mm"] / 1.6**3, rel=0.02)
    assert near["points"][0][:2] == pytest.approx([480, 420], abs=1.5)


def test_a_closed_loop_is_kept_as_an_area_and_half_a_loop_is_not(page, hand, board):
    choose(page, "Stabbing")
    choose(page, "Circle an area")
    hand.shade("front", ring(500, 450, 80))
    saved(page)
    hand.shade("front", ring(500, 700, 80, share=0.5))
    expect(page.locator("[data-hint]")).to_contain_text("not closed")
    assert [stroke["mode"] for stroke in strokes(board)] == ["area"]


def test_two_fingers_zoom_and_leave_no_line(page, hand, board):
    choose(page, "Ache")
    before = float(page.locator("[data-stage]").get_attribute("data-front").split()[0])
    hand.pinch(hand.place("front", 500, 400), 80, 260)
    page.wait_for_timeout(200)
    after = float(page.locator("[data-stage]").get_attribute("data-front").split()[0])
    assert after > 2 * before
    hand.shade("front", [(480, 400), (520, 400)])
    saved(page)
    assert len(strokes(board)) == 1


def test_before_a_kind_is_chosen_nothing_is_drawn(page, hand, board):
    hand.shade("front", [(500, 400), (540, 420)])
    expect(page.locator("[data-hint]")).to_have_text("First choose what it feels like.")
    choose(page, "Numbness")
    expect(page.locator("[data-hint]")).to_be_empty()
    assert board.events == []


def test_a_line_beside_the_body_is_not_kept(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(150, 300), (150, 500)])
    expect(page.locator("[data-hint]")).to_contain_text("beside the body")
    assert board.events == []


def test_undo_redo_and_clear_are_withdrawals_of_named_strokes(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    hand.shade("front", [(480, 500), (520, 520)])
    for name in ("Undo", "Redo", "Clear all", "Undo"):
        page.get_by_role("button", name=name).click()
    saved(page)
    one, two = (stroke["id"] for stroke in strokes(board))
    withdrawals = [event for event in board.events if event["type"] == "withdraw"]
    assert [(event["strokes"], event["restores"]) for event in withdrawals] == [
        ([two], False),
        ([two], True),
        ([one, two], False),
        ([one, two], True),
    ]


def test_a_reload_shows_what_was_drawn_and_can_still_undo_it(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    saved(page)
    sent = {key: value for key, value in board.events[0].items() if key != "type"}
    board.data.update(strokes=[{**sent, "own": True}], next_seq=2)
    page.reload()
    expect(page.locator("#board-summary")).to_have_text("Drawn so far: Ache: 1 line on the front.")
    page.get_by_role("button", name="Undo").click()
    saved(page)
    assert board.events[1]["strokes"] == [sent["id"]]
    assert board.events[1]["seq"] == 2


# ---- what is shown


def colour_at(page: Page, place: tuple[float, float]) -> tuple[int, ...]:
    """The pixels of a small square of the window as one mean colour, read from a screenshot."""
    clip = {"x": place[0] - 6, "y": place[1] - 6, "width": 12, "height": 12}
    picture = Image.open(io.BytesIO(page.screenshot(clip=clip))).convert("RGB")
    return picture.resize((1, 1), Image.Resampling.BOX).getpixel((0, 0))


def test_ink_looks_the_same_before_and_after_the_finger_is_lifted(page, hand):
    choose(page, "Ache")
    page.locator("label.nib").nth(2).click()
    path = [hand.place("front", x, 450) for x in (440, 470, 500, 530, 560)]
    bare = colour_at(page, path[2])
    hand.touch("touchStart", [path[0]])
    for place in path[1:]:
        hand.touch("touchMove", [place])
    page.wait_for_timeout(100)
    in_hand = colour_at(page, path[2])
    hand.touch("touchEnd", [])
    page.wait_for_timeout(100)
    assert colour_at(page, path[2]) == pytest.approx(in_hand, abs=3)
    assert in_hand[0] < bare[0] - 40


def test_rubbing_out_bares_the_body_and_leaves_what_is_beside_it(page, hand):
    bare = colour_at(page, hand.place("front", 500, 450))
    page.locator("label.nib").nth(2).click()
    for kind in ("Ache", "Burning"):
        choose(page, kind)
        hand.shade("front", [(420, 450), (580, 450)])
    shaded = colour_at(page, hand.place("front", 440, 450))
    choose(page, "Rub out")
    hand.shade("front", [(500, 400), (500, 500)])
    page.wait_for_timeout(100)
    assert colour_at(page, hand.place("front", 500, 450)) == pytest.approx(bare, abs=3)
    assert colour_at(page, hand.place("front", 440, 450)) == pytest.approx(shaded, abs=3)


def test_a_line_over_the_gutter_leaves_the_other_figure_bare(page, hand):
    choose(page, "Ache")
    page.locator("label.nib").nth(2).click()
    other = hand.place("back", 160, 720)
    bare = colour_at(page, other)
    hand.line([hand.place("front", 800, 720), other])
    page.wait_for_timeout(100)
    assert colour_at(page, other) == pytest.approx(bare, abs=2)


def test_left_and_right_stay_written_at_every_zoom(opened, size):
    page = opened(size)
    hand = Hand(page)
    words = page.locator(".board-side:visible")
    assert {"YOUR LEFT", "YOUR RIGHT"} <= set(words.all_inner_texts())
    choose(page, "Ache")
    hand.shade("front", [(270, 300), (280, 380)])
    for _ in range(5):
        page.get_by_role("button", name="Look closer").click()
        page.wait_for_timeout(60)
        assert any(text.startswith("YOUR RIGHT") for text in words.all_inner_texts())


def test_turning_over_keeps_the_place_and_the_zoom(page, hand):
    choose(page, "Ache")
    hand.shade("front", [(270, 300), (280, 380)])
    for _ in range(4):
        page.get_by_role("button", name="Look closer").click()
    page.get_by_role("button", name="Back", exact=True).click()
    page.wait_for_timeout(100)
    assert page.locator(".board-side:visible").all_inner_texts() == ["YOUR RIGHT back"]
    x, y = hand.place("back", 720, 380)
    box = page.locator("[data-stage]").bounding_box()
    assert box["x"] < x < box["x"] + box["width"] and box["y"] < y < box["y"] + box["height"]


# ---- what is said about saving


def test_a_page_instead_of_an_answer_is_not_called_saved(page, hand, board):
    board.mood = "login"
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    expect(page.locator("[data-saving-words]")).to_have_text(UNSAVED)
    board.mood = "ok"
    page.get_by_role("button", name="Try again now").click()
    saved(page)
    assert len(strokes(board)) == 1


def test_drawing_goes_on_while_nothing_gets_through_and_all_of_it_arrives(page, hand, board, complaints):
    board.mood = "down"
    choose(page, "Ache")
    for y in (400, 450, 500):
        hand.shade("front", [(480, y), (520, y)])
    expect(page.locator("[data-saving-words]")).to_have_text(UNSAVED)
    board.mood = "ok"
    saved(page)
    assert [stroke["points"][0][1] for stroke in strokes(board)] == pytest.approx([400, 450, 500], abs=1.5)
    complaints.expect("503")


def test_a_refused_stroke_is_said_and_taken_off_the_figure(page, hand, board):
    board.mood = "refuse"
    choose(page, "Ache")
    bare = colour_at(page, hand.place("front", 500, 450))
    hand.shade("front", [(460, 450), (540, 450)])
    expect(page.get_by_role("alert")).to_contain_text("This visit is signed.")
    expect(page.locator("#board-summary")).to_have_text("Nothing is drawn yet.")
    assert colour_at(page, hand.place("front", 500, 450)) == pytest.approx(bare, abs=2)


def test_leaving_with_something_that_is_nowhere_else_asks_first(page, hand, board):
    page.add_init_script(NO_PLACE)
    page.reload()
    page.locator("[data-stage][data-front]").wait_for()
    page.wait_for_timeout(100)
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    saved(page)
    page.reload()
    assert asked == []
    page.wait_for_timeout(200)
    board.mood = "login"
    choose(page, "Ache")
    Hand(page).shade("front", [(480, 400), (520, 420)])
    expect(page.locator("[data-saving-words]")).to_have_text(UNSAVED)
    page.reload()
    assert asked == ["beforeunload"]


def test_nothing_of_the_drawing_is_left_in_the_browser(page, hand):
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    saved(page)
    page.wait_for_timeout(300)
    left = page.evaluate("[localStorage.length, sessionStorage.length, document.cookie]")
    assert left == [0, 0, ""]
    assert page.evaluate(ENTRIES) == 0


# ---- no pain, done


def test_how_strong_is_not_asked_while_drawing_and_done_leads_to_where_it_is(page, hand, board):
    choose(page, "Tingling")
    hand.shade("front", [(480, 400), (520, 420)])
    page.get_by_role("button", name="Done").click()
    page.wait_for_url("**/areas/")
    assert [event["type"] for event in board.events] == ["stroke"]


def test_done_waits_until_everything_is_saved(page, hand, board, complaints):
    board.mood = "down"
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("dialog", name="Not everything is saved yet")).to_be_visible()
    board.mood = "ok"
    page.wait_for_url("**/areas/")
    assert len(strokes(board)) == 1
    complaints.expect("503")


def test_no_pain_today_clears_a_drawing_only_when_asked_to(page, hand, board):
    choose(page, "Ache")
    hand.shade("front", [(480, 400), (520, 420)])
    button = page.get_by_role("button", name="No pain today", exact=True)
    button.click()
    page.get_by_role("button", name="Keep the drawing").click()
    expect(button).to_have_attribute("aria-pressed", "false")
    button.click()
    page.get_by_role("button", name="Clear it: no pain today").click()
    expect(button).to_have_attribute("aria-pressed", "true")
    saved(page)
    assert [event["type"] for event in board.events] == ["stroke", "withdraw", "answer"]
    assert board.events[-1]["no_pain"] is True


def test_done_with_nothing_drawn_asks_once(page, board):
    page.get_by_role("button", name="Done").click()
    page.get_by_role("button", name="Finish without a drawing").click()
    page.wait_for_url("**/done/")


# ---- for everybody


def test_everything_but_free_drawing_works_by_keyboard(page, hand, board):
    page.keyboard.press("Tab")
    reached = set()
    for _ in range(30):
        reached.add(page.evaluate("document.activeElement.outerHTML.slice(0, 60)"))
        page.keyboard.press("Tab")
    assert any('name="kind"' in element for element in reached)
    assert any("data-stage" in element for element in reached)
    assert any('name="mode"' in element for element in reached)
    page.locator("input[name=kind][value=ache]").focus()
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    assert page.locator("input[name=kind]:checked").get_attribute("value") == "pressure"
    hand.shade("front", [(480, 400), (520, 420)])
    page.keyboard.press("Control+z")
    page.locator("[data-stage]").focus()
    before = page.locator("[data-stage]").get_attribute("data-front")
    page.keyboard.press("+")
    page.wait_for_timeout(60)
    closer = page.locator("[data-stage]").get_attribute("data-front")
    page.keyboard.press("ArrowDown")
    page.wait_for_timeout(60)
    assert len({before, closer, page.locator("[data-stage]").get_attribute("data-front")}) == 3
    saved(page)
    assert board.events[-1]["type"] == "withdraw"


SMALL_TARGETS = """() => [...document.querySelectorAll(
    "button, .kind, .tool, .list-kind, summary, .list-row, input[type=search], select")]
  .filter((element) => element.checkVisibility())
  .map((element) => [element.innerText || element.ariaLabel, element.getBoundingClientRect()])
  .filter(([, box]) => box.width < 43.9 || box.height < 43.9)
  .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)"""
HOVER_WITH_A_PEN = """() => document.querySelector("[data-stage]").dispatchEvent(
  new PointerEvent("pointermove", { pointerId: 5, pointerType: "pen", buttons: 0, bubbles: true }))"""
OVERFLOW = """() => [...document.querySelectorAll("*")]
  .filter((element) => ["auto", "scroll"].includes(getComputedStyle(element).overflowY))
  .filter((it) => it.checkVisibility() && !it.closest("dialog"))
  .filter((it) => it.scrollHeight > it.clientHeight + 1 || it.scrollWidth > it.clientWidth + 1)
  .map((element) => element.className)"""


def test_every_state_is_large_enough_to_touch_and_passes_axe(opened, size, axe, look):
    page = opened(size)
    hand = Hand(page)
    axe(page)
    look(page, "board-empty")
    choose(page, "Shooting")
    hand.shade("front", [(480, 400), (520, 420)])
    page.get_by_role("button", name="Look closer").click()
    page.wait_for_timeout(100)
    assert page.evaluate(SMALL_TARGETS) == []
    assert page.evaluate(OVERFLOW) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
    axe(page)
    look(page, "board-closer")
    page.evaluate(HOVER_WITH_A_PEN)
    expect(page.get_by_role("button", name="Use a finger again")).to_be_visible()
    assert page.evaluate(OVERFLOW) == []
    axe(page)
    page.get_by_role("button", name="Choose from a list").click()
    page.locator("summary", has_text="Right shoulder").first.click()
    assert page.evaluate(SMALL_TARGETS) == []
    axe(page)
    look(page, "board-list")


def test_a_page_enlarged_to_400_percent_only_scrolls_down(opened, axe):
    page = opened()
    page.set_viewport_size({"width": 320, "height": 256})
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(SMALL_TARGETS) == []
    axe(page)

"""The scripted sequences of tests/strokes/sequences.json in a real browser, by pointer events on the stage.

They are what people who draw on tablets have come to expect (palm before pen, pen mode with a way out, pinch
without a line, hovering, strokes broken off); tests/js/sequences.test.js runs the same on pen.js alone.
"""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.bench.board_page import Board, board_data, serving
from tests.browser.conftest import SIZES, Complaints

FILE = Path(__file__).parents[1] / "strokes" / "sequences.json"
SEQUENCES = json.loads(FILE.read_text(encoding="utf-8"))["sequences"]
# Figure millimetres a place may be off: points are thinned to 1 mm, and screen pixels are whole ones.
OFF_MM = 4.0

PLAY = """async (events) => {
  const stage = document.querySelector("[data-stage]");
  const box = stage.getBoundingClientRect();
  const names = {
    down: "pointerdown", move: "pointermove", up: "pointerup",
    cancel: "pointercancel", lost: "lostpointercapture",
  };
  const start = performance.now();
  const make = (name, event, [x, y], more = {}) => new PointerEvent(name, {
    pointerId: event.id, pointerType: event.type, button: event.button ?? (name === "pointermove" ? -1 : 0),
    buttons: event.buttons, pressure: event.pressure,
    clientX: box.left + x, clientY: box.top + y, bubbles: true, ...more,
  });
  for (const event of events) {
    while (performance.now() - start < event.t) await new Promise((done) => setTimeout(done, 2));
    if (event.on === "leave pen mode") {
      document.querySelector("[data-finger]").click();
      continue;
    }
    const coalescedEvents = (event.coalesced ?? []).map((at) => make("pointermove", event, at));
    stage.dispatchEvent(make(names[event.on], event, event.at, { coalescedEvents }));
  }
  await new Promise((done) => setTimeout(done, 200));
}"""


@pytest.fixture
def board() -> Iterator[Board]:
    with serving(Board(board_data())) as served:
        yield served


@pytest.fixture
def page(board: Board, chromium: Browser, complaints: Complaints) -> Iterator[Page]:
    width, height = SIZES["desk"]
    context = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(5_000)
    complaints.watch(page)
    page.goto(board.url)
    page.locator("[data-stage][data-front]").wait_for()
    page.wait_for_timeout(150)
    page.locator("label.kind", has_text="Ache").click()
    yield page
    context.close()


@pytest.mark.parametrize("sequence", SEQUENCES, ids=[each["name"] for each in SEQUENCES])
def test_it_leaves_exactly_the_strokes_that_were_meant(
    page: Page, board: Board, sequence: dict[str, Any]
) -> None:
    to_figure = camera(page)
    page.evaluate(PLAY, sequence["events"])
    expect(page.locator("[data-saving]")).not_to_have_attribute("data-saving", "saving")
    strokes = [event for event in board.events if event["type"] == "stroke"]
    wanted = sequence["yields"]["lines"]
    assert len(strokes) == len(wanted)
    for stroke, line in zip(strokes, wanted, strict=True):
        assert stroke["points"][0][:2] == pytest.approx(to_figure(line["from"]), abs=OFF_MM)
        assert stroke["points"][-1][:2] == pytest.approx(to_figure(line["to"]), abs=OFF_MM)
        assert (stroke["mode"] == "erase") is line["erases"]
        for place in map(to_figure, line.get("through", [])):
            assert any(point[:2] == pytest.approx(place, abs=OFF_MM) for point in stroke["points"])
    taken_back = [event for event in board.events if event["type"] == "withdraw"]
    assert len(taken_back) == sequence["yields"]["taken_back"]
    assert (to_figure([0, 0]) != camera(page)([0, 0])) is sequence["yields"]["zooms"]


def camera(page: Page) -> Callable[[list[float]], list[float]]:
    """Stage pixels to millimetres of the front view, as the figure lies now."""
    words = str(page.locator("[data-stage]").get_attribute("data-front")).split()
    scale, left, top = (float(word) for word in words)
    return lambda place: [(place[0] - left) / scale, (place[1] - top) / scale]


def test_a_tap_of_two_fingers_says_what_it_did_and_how_to_bring_it_back(page: Page) -> None:
    tap = next(each for each in SEQUENCES if each["name"].startswith("tap of two fingers takes"))
    page.evaluate(PLAY, tap["events"])
    expect(page.locator("[data-hint]")).to_contain_text("Redo brings it back")
    expect(page.get_by_role("button", name="Redo").first).to_be_enabled()


def test_in_pen_mode_one_finger_rests_or_moves_the_figure_as_is_preferred(page: Page, board: Board) -> None:
    pen = [{"t": 0, "on": "move", "id": 9, "type": "pen", "at": [300, 300], "buttons": 0, "pressure": 0}]
    page.evaluate(PLAY, pen)
    page.get_by_role("button", name="Look closer", exact=True).click()
    page.get_by_role("button", name="Look closer", exact=True).click()
    page.wait_for_timeout(1_100)
    drag = [
        {
            "t": 20 * i,
            "on": on,
            "id": 1,
            "type": "touch",
            "at": [300, 300 + 10 * i],
            "buttons": 1,
            "pressure": 0.5,
        }
        for i, on in enumerate(["down", *["move"] * 8, "up"])
    ]
    before = camera(page)([0, 0])
    page.evaluate(PLAY, drag)
    assert camera(page)([0, 0]) == before
    page.get_by_role("button", name="One finger moves the figure").click()
    page.evaluate(PLAY, drag)
    assert camera(page)([0, 0])[1] < before[1] - 20
    assert board.events == []

"""What the board shows: ink that stays as it was laid, layers, the worst spot, places, sides, left hands."""

import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PIL import Image, ImageChops, ImageFilter
from playwright.sync_api import Browser, Page, expect

from bodymaps import parts
from tests.bench.board_page import Board, board_data, serving
from tests.browser.conftest import SIZES, Complaints
from tests.browser.hand import Hand

Open = Callable[..., Page]
# A screenshot of the same canvas twice differs by nothing; this leaves room for one rounding of colours.
SAME = 2
HOVER_WITH_A_PEN = """() => document.querySelector("[data-stage]").dispatchEvent(
  new PointerEvent("pointermove", { pointerId: 5, pointerType: "pen", buttons: 0, bubbles: true }))"""


# What does not hang on the width of the screen is tried on one; the pages themselves on all three.
one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


@pytest.fixture
def opened(chromium: Browser, complaints: Complaints) -> Iterator[Open]:
    """`opened("tall", layer="clinician")`: a board of its own; page.board is what it has received."""
    made: list[Any] = []

    def go(size: str = "desk", **changes: Any) -> Page:
        width, height = SIZES[size]
        server = serving(Board(board_data(**changes)))
        board = server.__enter__()
        context = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True)
        made.append((server, context))
        page = context.new_page()
        page.set_default_timeout(5_000)
        complaints.watch(page)
        page.goto(board.url)
        page.locator("[data-stage][data-front]").wait_for()
        page.wait_for_timeout(200)
        page.board = board  # type: ignore[attr-defined]
        return page

    yield go
    for server, context in made:
        context.close()
        server.__exit__(None, None, None)


def stroke(number: int, points: list[tuple[float, float]], **changes: Any) -> dict[str, Any]:
    """A stored stroke of the patient on the front, as the page gets it."""
    return {
        "id": f"00000000-0000-4000-8000-{number:012x}",
        "seq": number,
        "view": "front",
        "kind": "ache",
        "mode": "shade",
        "nib_mm": 40.0,
        "points": [[x, y, 0.5, 0] for x, y in points],
        "region": "",
        "layer": "patient",
        "own": True,
        **changes,
    }


def choose(page: Page, label: str) -> None:
    page.locator("label.kind, label.tool", has_text=label).click()


def shot(page: Page) -> Image.Image:
    """The stage alone: what the ink looks like now, without hints."""
    page.wait_for_timeout(120)
    page.evaluate("document.querySelector('[data-hint]').textContent = ''")
    return Image.open(io.BytesIO(page.locator("[data-stage]").screenshot())).convert("RGB")


def colour_at(page: Page, view: str, x: float, y: float) -> tuple[int, ...]:
    """The mean colour of a small square of the figure."""
    left, top = Hand(page).place(view, x, y)
    clip = {"x": left - 6, "y": top - 6, "width": 12, "height": 12}
    page.wait_for_timeout(120)
    picture = Image.open(io.BytesIO(page.screenshot(clip=clip))).convert("RGB")
    return picture.resize((1, 1), Image.Resampling.BOX).getpixel((0, 0))  # type: ignore[return-value]


# ---- ink that is laid stays


def test_ink_already_laid_never_changes_when_the_line_grows_or_ends(opened):
    page = opened()
    hand = Hand(page)
    choose(page, "Ache")
    bare = shot(page)
    # Sharp corners: where a line that is smoothed again would show it.
    path = [(420, 330), (560, 350), (430, 400), (570, 430), (430, 480), (560, 520), (440, 560)]
    pixels = [hand.place("front", x, y) for x, y in path]
    hand.touch("touchStart", [pixels[0]])
    before = bare
    for place in pixels[1:]:
        hand.touch("touchMove", [place])
        now = shot(page)
        check_only_added(bare, before, now)
        before = now
    hand.touch("touchEnd", [])
    ended = shot(page)
    check_only_added(bare, before, ended)
    hand.shade("front", [(420, 640), (560, 660)])
    check_only_added(bare, ended, shot(page))


def check_only_added(bare: Image.Image, before: Image.Image, after: Image.Image) -> None:
    """Where there was ink before there is the same ink after; only bare paper has changed."""
    was_inked = (
        ImageChops.difference(bare, before).convert("L").point(lambda value: 255 if value > SAME else 0)
    )
    changed = (
        ImageChops.difference(before, after).convert("L").point(lambda value: 255 if value > SAME else 0)
    )
    both = ImageChops.multiply(inner(was_inked), changed)
    assert both.getbbox() is None, f"ink changed within {both.getbbox()}"


def inner(mask: Image.Image) -> Image.Image:
    """Without its outermost pixel: the soft edge of ink grows solid where more is laid beside it."""
    return mask.filter(ImageFilter.MinFilter(3))


@one_size
def test_the_figure_stays_where_it_is_whatever_is_said_around_it(opened, size, complaints):
    page = opened(size)
    stage = page.locator("[data-stage]")
    lies = lambda: (stage.bounding_box(), stage.get_attribute("data-front"))  # noqa: E731
    before = lies()
    page.evaluate(HOVER_WITH_A_PEN)
    expect(page.get_by_role("button", name="Use a finger again")).to_be_visible()
    page.get_by_role("button", name="Use a finger again").click()
    page.board.mood = "down"
    choose(page, "Ache")
    Hand(page).shade("front", [(480, 400), (520, 420)])
    expect(page.get_by_role("button", name="Try again now").first).to_be_visible()
    page.wait_for_timeout(150)
    assert lies() == before
    page.get_by_role("button", name="Shoulders").click()
    page.wait_for_timeout(150)
    assert stage.bounding_box() == before[0]
    complaints.expect("503")
    page.board.mood = "ok"
    page.get_by_role("button", name="Try again now").first.click()
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
    assert stage.bounding_box() == before[0]


# ---- undo after a reload


def test_after_a_reload_more_than_twenty_things_can_still_be_undone_and_done_again(opened):
    lines = [stroke(n, [(430, 300 + 12 * n), (570, 300 + 12 * n)], nib_mm=8) for n in range(1, 26)]
    page = opened(strokes=lines, next_seq=26)
    undo, redo = (page.get_by_role("button", name=name).first for name in ("Undo", "Redo"))
    for _ in range(22):
        undo.click()
    for _ in range(22):
        redo.click()
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
    page.wait_for_timeout(300)
    back, again = page.board.events[:22], page.board.events[22:]
    newest_first = [line["id"] for line in reversed(lines)][:22]
    assert [(event["strokes"], event["restores"]) for event in back] == [([i], False) for i in newest_first]
    assert [event["strokes"][0] for event in again] == newest_first[::-1]
    assert all(event["restores"] for event in again)


# ---- layers


def test_what_the_patient_drew_lies_below_dimmed_and_cannot_be_taken_back(opened):
    theirs = stroke(1, [(440, 400), (560, 400)], own=False)
    own = stroke(1, [(440, 400), (560, 400)])
    page = opened(layer="helper", who="staff", strokes=[theirs], next_seq=2)
    bare = sum(colour_at(page, "front", 500, 600))
    dimmed = sum(colour_at(page, "front", 500, 400))
    full = sum(colour_at(opened(strokes=[own], next_seq=2), "front", 500, 400))
    assert full + 20 < dimmed < bare - 20
    for name in ("Undo", "Redo", "Clear all"):
        expect(page.get_by_role("button", name=name).first).to_be_disabled()
    choose(page, "Take a line away")
    Hand(page).line([Hand(page).place("front", 500, 400)])
    expect(page.locator("[data-hint]")).to_contain_text("no line of yours")
    assert page.board.events == []


def test_an_eraser_rubs_out_its_own_layer_only(opened):
    theirs = stroke(1, [(440, 400), (560, 400)], own=False)
    page = opened(layer="helper", who="staff", strokes=[theirs], next_seq=2)
    before = colour_at(page, "front", 500, 400)
    choose(page, "Burning")
    page.locator("label.nib").nth(2).click()
    Hand(page).shade("front", [(440, 400), (560, 400)])
    over = colour_at(page, "front", 500, 400)
    assert sum(abs(a - b) for a, b in zip(before, over, strict=True)) > 20
    choose(page, "Rub out")
    for y in (390, 400, 410):
        Hand(page).shade("front", [(430, y), (570, y)])
    assert colour_at(page, "front", 500, 400) == pytest.approx(before, abs=3)


def test_the_eraser_of_another_layer_takes_nothing_of_ones_own(opened):
    rubbed = stroke(2, [(440, 400), (560, 400)], mode="erase", kind=None, layer="helper", own=False)
    own = stroke(1, [(440, 400), (560, 400)])
    alone = colour_at(opened(strokes=[own], next_seq=3), "front", 500, 400)
    assert colour_at(opened(strokes=[own, rubbed], next_seq=3), "front", 500, 400) == pytest.approx(
        alone, abs=2
    )


def test_the_clinicians_board_holds_findings_and_goes_straight_on(opened, axe, look):
    theirs = stroke(1, [(440, 400), (560, 400)], own=False)
    page = opened(layer="clinician", who="staff", strokes=[theirs], next_seq=2)
    expect(page.get_by_role("heading", name="Findings on examination")).to_be_visible()
    assert page.locator("label.kind b").all_inner_texts() == ["Less feeling", "Tender spot"]
    assert page.locator(".board-side:visible").first.inner_text().startswith("PATIENT'S")
    expect(page.get_by_role("button", name="No pain today")).to_have_count(0)
    Hand(page).shade("front", [(480, 500), (520, 520)])
    expect(page.locator("[data-hint]")).to_have_text("First choose what was found.")
    choose(page, "Tender spot")
    Hand(page).shade("front", [(480, 500), (520, 520)])
    axe(page)
    look(page, "board-clinician")
    page.get_by_role("button", name="Done").click()
    page.wait_for_url("**/done/")
    (drawn,) = page.board.events
    assert drawn["kind"] == "tender_spot"


# ---- the worst spot


def test_the_worst_spot_is_one_mark_of_the_same_size_at_every_zoom(opened):
    page = opened()
    hand = Hand(page)
    choose(page, "Worst spot")
    for x, y in ((480, 400), (520, 560)):
        hand.line([hand.place("front", x, y)])
        page.wait_for_timeout(60)
    mark = page.locator(".board-spot")
    expect(mark).to_have_count(1)
    sizes = []
    for _ in range(3):
        box = mark.bounding_box()
        assert box is not None
        sizes.append((box["width"], box["height"]))
        centre = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        assert centre == pytest.approx(hand.place("front", 520, 560), abs=3)
        page.get_by_role("button", name="Look closer", exact=True).click()
        page.wait_for_timeout(200)
    assert len(set(sizes)) == 1
    page.get_by_role("button", name="Undo").first.click()
    box = mark.bounding_box()
    assert box is not None
    centre = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    assert centre == pytest.approx(hand.place("front", 480, 400), abs=3)
    expect(page.locator("[data-saving-words]")).to_contain_text("Saved")
    assert [event["mode"] for event in page.board.events if event["type"] == "stroke"] == ["spot", "spot"]
    assert {len(event["points"]) for event in page.board.events if event["type"] == "stroke"} == {1}


# ---- looking closer, and which side is which


def test_each_place_is_shown_with_its_side_named_and_the_whole_figure_comes_back(opened, size, look):
    page = opened(size)
    hand = Hand(page)
    for place in parts.load().places:
        page.get_by_role("button", name=place.label, exact=True).click()
        page.wait_for_timeout(120)
        view = page_view(page)
        assert view in place.boxes
        left, top, right, bottom = place.boxes[view]
        stage = page.locator("[data-stage]").bounding_box()
        assert stage is not None
        x, y = hand.place(view, (left + right) / 2, (top + bottom) / 2)
        assert stage["x"] < x < stage["x"] + stage["width"]
        assert stage["y"] < y < stage["y"] + stage["height"]
        words = page.locator(".board-side:visible").all_inner_texts()
        assert words
        if place.id.endswith(("right", "left")):
            side = place.id.rsplit("_", 1)[1].upper()
            assert any(text.startswith(f"YOUR {side}") for text in words), (place.id, words)
        look(page, f"board-place-{place.id}")
        page.get_by_role("button", name="Whole figure").click()
        page.wait_for_timeout(60)
    expect(page.get_by_role("button", name="Whole figure")).to_be_hidden()


def page_view(page: Page) -> str:
    return str(page.locator("[data-turn][aria-pressed=true]").get_attribute("data-turn"))


@one_size
def test_a_side_is_named_wherever_the_sheet_is_pinched_and_pushed_to(opened, size):
    page = opened(size)
    hand = Hand(page)
    stage = page.locator("[data-stage]").bounding_box()
    assert stage is not None
    middle = stage["x"] + stage["width"] / 2, stage["y"] + stage["height"] / 2
    for to in (120, 200, 260, 60):
        hand.pinch(middle, 80, to)
        for direction in ("left", "left", "left", "up", "right", "right", "right", "right", "down", "down"):
            button = page.locator(f"[data-step={direction}]")
            if button.is_visible():
                button.click()
            page.wait_for_timeout(40)
            shown = page.locator(".board-side:visible").all()
            assert shown
            for word in shown:
                box = word.bounding_box()
                assert box is not None
                assert box["x"] >= stage["x"] - 1
                assert box["x"] + box["width"] <= stage["x"] + stage["width"] + 1


def test_pressing_a_place_by_keyboard_leaves_the_focus_on_the_way_back(opened):
    page = opened()
    page.get_by_role("button", name="Shoulders").press("Enter")
    expect(page.get_by_role("button", name="Whole figure")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Look closer", exact=True)).to_be_focused()


# ---- the left hand


def test_left_handed_mirrors_the_board_and_is_remembered_without_a_word_of_anybody(opened, size, axe, look):
    page = opened(size)
    rails = lambda: (edge(page, ".board-kinds"), edge(page, ".board-paper"), edge(page, ".board-tools"))  # noqa: E731
    kinds_at, paper_at, _ = rails()
    assert kinds_at < paper_at
    page.get_by_role("button", name="Left-handed").click()
    page.wait_for_timeout(150)
    kinds_at, paper_at, _ = rails()
    assert kinds_at > paper_at
    undo = page.get_by_role("button", name="Undo").first.bounding_box()
    assert undo is not None
    # Upright the tools lie below: what takes back stays away from the hand that draws.
    assert undo["x"] > SIZES[size][0] / 2 if size == "tall" else undo["x"] < SIZES[size][0] / 2
    axe(page)
    look(page, "board-left-handed")
    page.reload()
    page.locator("[data-stage][data-front]").wait_for()
    assert edge(page, ".board-kinds") > edge(page, ".board-paper")
    kept = page.evaluate("[JSON.stringify(sessionStorage), localStorage.length]")
    assert kept == ['{"board-hand":"left"}', 0]


def edge(page: Page, selector: str) -> float:
    box = page.locator(selector).bounding_box()
    assert box is not None
    return box["x"]


def test_targets_stand_eight_pixels_apart(opened, size):
    page = opened(size)
    boxes = page.evaluate(
        """() => [...document.querySelectorAll("button, .kind, .tool")]
          .filter((it) => it.checkVisibility({ visibilityProperty: true }))
          .map((it) => [it.textContent.trim(), it.getBoundingClientRect()])
          .map(([name, { left, top, right, bottom }]) => [name, left, top, right, bottom])"""
    )
    near = [
        (a[0], b[0])
        for i, a in enumerate(boxes)
        for b in boxes[i + 1 :]
        if max(a[1], b[1]) - min(a[3], b[3]) < 7.5 and max(a[2], b[2]) - min(a[4], b[4]) < 7.5
    ]
    assert near == []

"""The atlas in a real browser: a tap asks, is marked where it was, stands in the address, and Back works."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from bodymaps import atlas as release
from bodymaps import where
from tests.browser.conftest import SIZES
from tests.browser.people import sign_in
from tests.browser.test_pages import CUT_OFF, PRESSED, TOO_SMALL

# Everything the atlas adds that one can press.
ATLAS_PRESSED = f"{PRESSED}, .ranked-what a, .line, dd a.chip, .chips a.chip, option"


# What does not hang on the width of the screen is tried on one; the pages themselves on all three.
one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


@pytest.fixture
def atlas(device, size) -> Page:
    page: Page = device(size, has_touch=True).new_page()
    sign_in(page)
    page.goto("/atlas/")
    return page


@pytest.fixture
def check(axe, look):
    def all_of_it(page: Page, name: str) -> None:
        axe(page)
        assert page.evaluate(TOO_SMALL, ATLAS_PRESSED) == [], name
        assert page.evaluate(CUT_OFF) <= 0, f"{name} is wider than the window"
        look(page, f"atlas-{name}")

    return all_of_it


def on_screen(view: Locator, x: float, y: float) -> tuple[float, float]:
    """Where a place of the figure (mm) stands on the screen."""
    at = view.evaluate("(svg, [x, y]) => new DOMPoint(x, y).matrixTransform(svg.getScreenCTM())", [x, y])
    return (at["x"], at["y"])


def tap(page: Page, view: str, x: float, y: float) -> None:
    figure = page.locator(f"svg[data-view={view}]")
    figure.scroll_into_view_if_needed()
    page.touchscreen.tap(*on_screen(figure, x, y))


def picks(page: Page) -> list[list[str]]:
    hrefs = page.locator(".refers .line").evaluate_all("lines => lines.map((line) => line.href)")
    return [re.search(r"pick=([\w.]+)", href).group(1).split(".")[1:3] for href in hrefs]  # type: ignore[union-attr]


def asked_at(page: Page) -> tuple[str, float, float]:
    found = re.search(r"view=(\w+)&x=(-?\d+)&y=(-?\d+)", page.url)
    assert found, page.url
    return found.group(1), float(found.group(2)), float(found.group(3))


@one_size
@pytest.mark.parametrize(("view", "x", "y"), [("front", 285, 340), ("back", 620, 420), ("back", 868, 1560)])
def test_a_tap_lists_what_holds_the_point_that_was_tapped(atlas, view, x, y):
    """Front, back and a sole. One pixel is about 3 mm on the whole figure."""
    tap(atlas, view, x, y)
    expect(atlas.locator(f"#mark-{view} [data-asked=point]")).to_be_attached()
    asked = asked_at(atlas)
    assert asked[0] == view and abs(asked[1] - x) <= 3 and abs(asked[2] - y) <= 3
    expected = where.refers_here(release.load(), *asked)
    assert picks(atlas) == [[one.id, one.side] for one in expected] and expected


@one_size
def test_the_mark_stands_where_it_was_tapped(atlas):
    tap(atlas, "front", 285, 340)
    ring = atlas.locator("#mark-front path[data-asked=point]")
    expect(ring).to_be_visible()
    box = ring.bounding_box()
    x, y = on_screen(atlas.locator("svg[data-view=front]"), *asked_at(atlas)[1:])
    assert abs(box["x"] + box["width"] / 2 - x) < 2 and abs(box["y"] + box["height"] / 2 - y) < 2


@one_size
def test_back_and_reload_show_what_was_asked_before(atlas):
    tap(atlas, "front", 285, 340)
    expect(atlas.locator("#found")).to_contain_text("front view")
    first, listed = atlas.url, picks(atlas)
    tap(atlas, "back", 620, 420)
    expect(atlas.locator("#found")).to_contain_text("back view")
    atlas.go_back()
    expect(atlas.locator("#found")).to_contain_text("front view")
    assert (atlas.url, picks(atlas)) == (first, listed)
    expect(atlas.locator("#mark-front [data-asked=point]")).to_be_attached()
    # The figure that Back put there can be tapped like the first.
    tap(atlas, "back", 620, 420)
    expect(atlas.locator("#found")).to_contain_text("back view")
    atlas.go_back()
    atlas.reload()
    assert picks(atlas) == listed


def test_a_line_shows_its_pattern_and_leads_to_its_entry(atlas, check):
    tap(atlas, "front", 285, 340)
    line = atlas.locator(".refers .line").first
    line.focus()
    atlas.keyboard.press("Enter")
    expect(atlas.locator("#pattern-words strong")).to_be_visible()
    assert atlas.locator(".layer [data-zone]").count() > 0
    assert "pick=" in atlas.url
    check(atlas, "picked")
    atlas.get_by_role("link", name="Open this entry").click()
    expect(atlas).to_have_url(re.compile(r"/atlas/\w+/\w+/\?side="))
    atlas.go_back()
    expect(atlas.locator(".refers li.picked")).to_have_count(1)


@one_size
def test_a_region_is_asked_about_by_keyboard_alone(atlas, check):
    select = atlas.get_by_label("Region", exact=True)
    select.focus()
    atlas.keyboard.type("Front of right shoulder")
    atlas.keyboard.press("Tab")
    atlas.keyboard.press("Enter")
    expect(atlas.locator("#found")).to_have_text("Front of right shoulder")
    assert "region=front%3Ashoulder_anterior.right" in atlas.url
    assert "infraspinatus" in [name for name, _ in picks(atlas)]
    expect(atlas.locator("#mark-front [data-asked=region]")).to_be_attached()
    check(atlas, "region")


@one_size
def test_typing_lists_at_once_and_shows_only_lists(atlas, check):
    tap(atlas, "front", 285, 340)
    expect(atlas.locator("#found")).to_contain_text("front view")
    atlas.get_by_role("searchbox").press_sequentially("infrasp", delay=20)
    expect(atlas.locator("#found")).to_have_text("1 found")
    expect(atlas.locator("a.row")).to_contain_text("Infraspinatus")
    expect(atlas.locator("[data-asked]")).to_have_count(0)
    assert atlas.url.endswith("?q=infrasp")
    check(atlas, "found")


@one_size
def test_looking_closer_makes_a_tap_exact(atlas, check):
    atlas.get_by_text("Look closer", exact=True).click()
    atlas.get_by_role("link", name="Right hand", exact=True).click()
    tap(atlas, "front", 120, 1000)
    expect(atlas.locator("#mark-front [data-asked=point]")).to_be_attached()
    asked = asked_at(atlas)
    assert abs(asked[1] - 120) <= 1 and abs(asked[2] - 1000) <= 1
    assert "look=hand_right" in atlas.url
    check(atlas, "closer")


@pytest.mark.parametrize(
    "path",
    [
        "",
        "?kind=nerve",
        "sources/",
        "muscle/infraspinatus/",
        "muscle/iliopsoas/",
        "root/C6/",
        "organ/pulmonary/",
    ],
)
def test_each_page_of_the_atlas(device, check, path):
    """Loaded once; the window is then drawn to each of the three sizes."""
    page = device().new_page()
    sign_in(page)
    page.goto(f"/atlas/{path}")
    for each in page.locator("main details").all():
        each.evaluate("one => one.open = true")
    for width, height in SIZES.values():
        page.set_viewport_size({"width": width, "height": height})
        check(page, path.strip("/?").replace("/", "-").replace("=", "-") or "lists")


@one_size
def test_the_way_to_it_is_in_the_navigation(atlas):
    atlas.goto("/")
    atlas.get_by_role("navigation", name="Main").get_by_role("link", name="Atlas").click()
    expect(atlas.locator("h1")).to_have_text("Atlas")


@one_size
def test_side_and_point_change_by_keyboard_and_keep_the_focus(atlas):
    atlas.goto("/atlas/muscle/infraspinatus/")
    before = atlas.locator("[data-zone=core]").first.get_attribute("d")
    atlas.locator("#side-left").focus()
    atlas.keyboard.press("Enter")
    expect(atlas.locator("#side-left")).to_have_attribute("aria-current", "true")
    expect(atlas.locator("#side-left")).to_be_focused()
    assert atlas.locator("[data-zone=core]").first.get_attribute("d") != before
    atlas.locator("#site-2").click()
    expect(atlas.locator(".points .shown-now")).to_contain_text("medial border")
    assert atlas.url.endswith("?side=left&site=medial_border")
    atlas.reload()
    expect(atlas.locator("#site-2")).to_have_attribute("aria-current", "true")


@one_size
def test_it_works_without_script(device, atlas):
    plain = device(java_script_enabled=False).new_page()
    plain.context.add_cookies(atlas.context.cookies())
    plain.goto("/atlas/")
    plain.get_by_role("searchbox").fill("C6")
    plain.get_by_role("button", name="Find").click()
    expect(plain.locator("a.row").first).to_contain_text("C6")
    plain.goto("/atlas/")
    plain.get_by_label("Region", exact=True).select_option(label="Front of right shoulder")
    plain.get_by_role("button", name="Show").click()
    plain.locator(".refers .line").first.click()
    expect(plain.locator(".layer [data-zone]")).not_to_have_count(0)

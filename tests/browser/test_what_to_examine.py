"""The ranked page in a real browser: a pick by keyboard lays the pattern over the drawing, page unmoved."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import SIZES
from tests.browser.people import demo_visit, sign_in

# What does not hang on the width of the screen is tried on one; the looks of the page on all three.
one_size = pytest.mark.parametrize("size", ["wide"], indirect=True)


@pytest.fixture
def ranked(device, size) -> Page:
    """The ranked page of the demo patient with a drawing, at each of the three sizes."""
    page = device(size).new_page()
    sign_in(page)
    page.goto(demo_visit(page))
    page.get_by_role("link", name=re.compile("^What to examine")).first.click()
    expect(page.locator("h1")).to_have_text("What to examine")
    return page


@one_size
def test_it_picks_by_keyboard_and_swaps_nothing_else(ranked, axe, look):
    ranked.evaluate("document.querySelector('.views').dataset.kept = 'yes'")
    line = ranked.locator("ol .line").nth(1)
    line.focus()
    ranked.keyboard.press("Enter")
    expect(ranked.locator("#pattern-words")).to_contain_text("lies over the drawing")
    assert ranked.locator(".layer [data-zone=core]").count() > 0
    expect(line).to_be_focused()
    expect(line).to_have_attribute("aria-current", "true")
    assert ranked.locator(".views").get_attribute("data-kept") == "yes"
    for width, height in SIZES.values():
        ranked.set_viewport_size({"width": width, "height": height})
        axe(ranked)
    look(ranked, "what-to-examine")


@one_size
def test_it_opens_one_line_at_a_time_and_keeps_the_pick_in_the_address(ranked):
    for place in (0, 2):
        ranked.locator("ol .line").nth(place).click()
        expect(ranked.locator("ol.candidates > li").nth(place).locator(".slot dl")).to_be_visible()
    assert ranked.locator(".slot dl").count() == 1
    shown = ranked.locator(".layer path").first.get_attribute("d")
    ranked.reload()
    assert ranked.locator(".layer path").first.get_attribute("d") == shown
    assert ranked.locator(".line[aria-current]").count() == 1


@one_size
def test_it_lays_the_pattern_exactly_on_the_figure(ranked):
    ranked.locator("ol .line").first.click()
    expect(ranked.locator("#pattern-words strong")).to_be_visible()
    for width, height in SIZES.values():
        ranked.set_viewport_size({"width": width, "height": height})
        figure, layer = (
            ranked.locator(which).first.bounding_box() for which in (".stack .view:not(.layer)", ".layer")
        )
        assert figure == layer


@one_size
def test_it_works_without_script(device, ranked):
    address = ranked.locator("ol .line").first.get_attribute("href")
    plain = device(java_script_enabled=False).new_page()
    plain.context.add_cookies(ranked.context.cookies())
    plain.goto(ranked.url.split("?")[0] + address)
    assert plain.locator(".layer path").count() > 0
    assert plain.locator(".slot dl").count() == 1

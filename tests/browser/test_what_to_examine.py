"""The ranked page in a real browser: a pick by keyboard lays the pattern over the drawing, page unmoved."""

import re

import pytest
from playwright.sync_api import Page, expect

from charting.management import demo


@pytest.fixture
def ranked(device, size) -> Page:
    """The ranked page of the demo patient with a drawing, at each of the three sizes."""
    page = device(size).new_page()
    page.goto("/sign-in/")
    page.fill("input[name=username]", "clinician")
    page.fill("input[name=password]", demo.load()["password"])
    page.click("main button")
    page.locator("a.row", has_text=demo.load()["patient"][0]["family_name"]).first.click()
    page.get_by_role("link", name=re.compile("^What to examine")).first.click()
    expect(page.locator("h1")).to_have_text("What to examine")
    return page


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
    axe(ranked)
    look(ranked, "what-to-examine")


def test_it_opens_one_line_at_a_time_and_keeps_the_pick_in_the_address(ranked):
    for place in (0, 2):
        ranked.locator("ol .line").nth(place).click()
        expect(ranked.locator("ol.candidates > li").nth(place).locator(".slot dl")).to_be_visible()
    assert ranked.locator(".slot dl").count() == 1
    shown = ranked.locator(".layer path").first.get_attribute("d")
    ranked.reload()
    assert ranked.locator(".layer path").first.get_attribute("d") == shown
    assert ranked.locator(".line[aria-current]").count() == 1


def test_it_lays_the_pattern_exactly_on_the_figure(ranked):
    ranked.locator("ol .line").first.click()
    expect(ranked.locator("#pattern-words strong")).to_be_visible()
    figure, layer = (
        ranked.locator(which).first.bounding_box() for which in (".stack .view:not(.layer)", ".layer")
    )
    assert figure == layer


def test_it_works_without_script(device, ranked):
    address = ranked.locator("ol .line").first.get_attribute("href")
    plain = device(java_script_enabled=False).new_page()
    plain.context.add_cookies(ranked.context.cookies())
    plain.goto(ranked.url.split("?")[0] + address)
    assert plain.locator(".layer path").count() > 0
    assert plain.locator(".slot dl").count() == 1

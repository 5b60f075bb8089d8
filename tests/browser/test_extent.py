"""Height and weight with the story, and what they make of the drawing, in a real browser."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import SIZES
from tests.browser.people import demo_visit, sign_in


@pytest.fixture
def story(device) -> Page:
    """The story of the demo patient with a drawing."""
    page: Page = device("wide").new_page()
    sign_in(page)
    page.goto(demo_visit(page) + "story/")
    return page


@pytest.fixture
def sound(axe) -> Callable[[Page], None]:
    def at_all_sizes(page: Page) -> None:
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            axe(page)

    return at_all_sizes


def test_height_and_weight_turn_percent_into_cm2(story, axe, sound, look, complaints):
    story.get_by_label("Height in cm").fill("1.72")
    story.get_by_label("Weight in kg").fill("72,5")
    story.get_by_role("button", name="Save", exact=True).click()
    expect(story.locator(".error", has_text="from 40 to 260")).to_have_count(1)
    complaints.expect("422")
    expect(story.get_by_label("Weight in kg")).to_have_value("72,5")
    axe(story)
    look(story, "story-size-wrong")
    story.get_by_label("Height in cm").fill("172")
    story.get_by_role("button", name="Save", exact=True).click()
    # The page that follows a save says so; the field held the same words before it.
    expect(story.locator(".error")).to_have_count(0)
    expect(story.get_by_label("Height in cm")).to_have_value("172")
    story.wait_for_load_state("load")
    axe(story)
    look(story, "story-size")
    story.get_by_role("link", name=re.compile("^What to examine")).first.click()
    extent = story.locator("details.extent")
    expect(extent.locator("summary")).to_contain_text("of the body surface")
    expect(extent.locator("dl")).to_be_hidden()
    extent.locator("summary").focus()
    story.keyboard.press("Enter")
    expect(extent.locator("dl")).to_contain_text("cm² (Mosteller)")
    sound(story)
    look(story, "extent")

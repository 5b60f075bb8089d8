"""Height and weight with the story, and what they make of the drawing, in a real browser."""

import re

import pytest
from playwright.sync_api import Page, expect

from charting.management import demo


@pytest.fixture
def story(device, size) -> Page:
    """The story of the demo patient with a drawing, at each of the three sizes."""
    page = device(size).new_page()
    page.goto("/sign-in/")
    page.fill("input[name=username]", "clinician")
    page.fill("input[name=password]", demo.load()["password"])
    page.click("main button")
    page.locator("a.row", has_text=demo.load()["patient"][0]["family_name"]).first.click()
    page.get_by_role("link", name=re.compile("^Story")).first.click()
    expect(page.locator("h1")).to_have_text("Story")
    return page


def test_height_and_weight_turn_percent_into_cm2(story, axe, look, complaints):
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
    axe(story)
    look(story, "extent")

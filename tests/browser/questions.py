"""A patient's fingers on the screens of a handed-over device: taps are counted, and so are the screens."""

import re

from playwright.sync_api import Locator, Page, expect

# What is lower than a fingertip of somebody in pain wants it, of what shows: our own judgement, above the
# 44 px of WCAG 2.2, 2.5.8 and 2.5.5.
SMALLER_THAN_60 = """(names) => [...document.querySelectorAll(names)]
  .filter((each) => each.offsetParent && !each.matches(".visually-hidden") &&
  each.getBoundingClientRect().height < 60) .map((each) => `${each.outerHTML.slice(0, 80)}
  ${each.getBoundingClientRect().height}`)"""


class Fingers:
    """`Fingers(page)`: taps on chips and buttons, screen by screen."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.screens = page, 0, 0

    def tap(self, what: Locator) -> None:
        what.tap()
        self.taps += 1

    def chip(self, key: str, words: str) -> Locator:
        chips = self.page.locator(f"[data-question={key}] > fieldset .chip-pick")
        return chips.filter(has_text=re.compile(f"^{words}$"))

    def choose(self, key: str, words: str) -> None:
        self.tap(self.chip(key, words))

    def open(self, heading: str) -> None:
        self.tap(self.page.locator("summary").filter(has_text=re.compile(f"^{heading}$")))

    def number(self, value: int) -> None:
        self.choose("value", f"{value}(:.*)?")

    def next(self) -> None:
        self.tap(self.page.locator(".questions-end").get_by_role("button", name="Next"))

    def at(self, address: str) -> None:
        """The screen that is waited for, such as "story/chest"."""
        self.page.wait_for_url(f"**/board/{address}/")
        self.screens += 1


def saved(page: Page) -> None:
    expect(page.locator("[data-saving]")).to_have_text("Saved")

"""A patient's hand at the board: real touches through the browser's protocol, aimed in figure mm."""

from collections.abc import Sequence
from typing import Any

from playwright.sync_api import CDPSession, Page

Points = Sequence[tuple[float, float]]
# Touches between two given points, so that a line is drawn and not a jump.
STEPS = 6


class Hand:
    """`Hand(page).shade("front", [(300, 280), (280, 400)])`: one finger, pressed, moved, lifted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.cdp: CDPSession = page.context.new_cdp_session(page)

    def place(self, view: str, x: float, y: float) -> tuple[float, float]:
        """Figure millimetres to pixels of the window, as the figure lies now."""
        stage = self.page.locator("[data-stage]")
        scale, left, top = (float(word) for word in str(stage.get_attribute(f"data-{view}")).split())
        box = stage.bounding_box()
        assert box is not None
        return box["x"] + left + x * scale, box["y"] + top + y * scale

    def shade(self, view: str, points: Points) -> None:
        self.line([self.place(view, x, y) for x, y in points])

    def line(self, path: Points) -> None:
        """One finger along window pixels."""
        self.touch("touchStart", [path[0]])
        for start, end in zip(path, path[1:], strict=False):
            for step in range(1, STEPS + 1):
                share = step / STEPS
                at = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
                self.touch("touchMove", [at])
        self.touch("touchEnd", [])

    def pinch(self, middle: tuple[float, float], apart: float, to: float) -> None:
        """Two fingers, level with each other, from `apart` to `to` pixels."""
        self.touch("touchStart", [_beside(middle, -apart / 2)])
        self.touch("touchStart", [_beside(middle, -apart / 2), _beside(middle, apart / 2)])
        for step in range(1, 13):
            now = apart + (to - apart) * step / 12
            self.touch("touchMove", [_beside(middle, -now / 2), _beside(middle, now / 2)])
        self.touch("touchEnd", [])

    def touch(self, kind: str, points: Points) -> None:
        fingers: list[dict[str, Any]] = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
        self.cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})


def _beside(middle: tuple[float, float], by: float) -> tuple[float, float]:
    return middle[0] + by, middle[1]

"""Text and signs can be read: contrast by the formula of WCAG 2.2 (relative luminance)."""

import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).resolve().parents[2] / "static" / "css" / "tokens.css"
COLOURS = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", TOKENS.read_text()))
GROUNDS = ("paper", "sheet", "sunk")


def luminance(colour: str) -> float:
    parts = (int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(COLOURS[one]), luminance(COLOURS[other])), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_is_that_of_the_standard():
    """WCAG: black on white is 21:1; #767676 on white is the well-known 4.54:1."""
    COLOURS.update({"black": "#000000", "white": "#ffffff", "grey": "#767676"})
    assert contrast("black", "white") == pytest.approx(21)
    assert contrast("grey", "white") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", ["ink", "ink-soft", "accent", "accent-deep", "danger", "ok", "warn-ink"])
def test_text_stands_out_from_every_ground(text, ground):
    """SC 1.4.3: 4.5 to 1."""
    assert contrast(text, ground) >= 4.5


@pytest.mark.parametrize(
    ("text", "ground"),
    [
        *(("ink", wash) for wash in ("accent-wash", "ok-wash", "warn-wash", "danger-wash")),
        ("accent-ink", "accent"),
        ("accent-ink", "accent-deep"),
        ("ink-soft", "accent-wash"),
        ("ok", "ok-wash"),
        ("warn-ink", "warn-wash"),
        ("danger", "danger-wash"),
        ("accent", "accent-wash"),
    ],
)
def test_text_stands_out_from_the_washes_it_is_used_on(text, ground):
    assert contrast(text, ground) >= 4.5


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("sign", ["line-strong", "accent", "danger"])
def test_edges_of_controls_and_the_focus_ring_can_be_seen(sign, ground):
    """SC 1.4.11: 3 to 1."""
    assert contrast(sign, ground) >= 3

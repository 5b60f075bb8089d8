"""What is said of two drawings that were laid over each other, in plain sentences."""

from __future__ import annotations

from bodymaps import describe
from bodymaps.compare_file import Redraw

EMPTY = "Nothing is drawn in either of the two: there is nothing to hold against each other."
ONLY_BEFORE = "Pain is drawn in the earlier one only: the two have no skin in common."
ONLY_AFTER = "Pain is drawn in the later one only: the two have no skin in common."
ONLY_THAT = "That spread is only that: it proves neither that something has changed nor that nothing has."
# Sizes that read the same in whole cm² are called as large.
STATES = {
    "gone": "gone",
    "new": "new",
    "smaller": "smaller",
    "larger": "larger",
    "as large": "as large as before",
}


def not_alike(has_before: bool, has_after: bool) -> str:
    """Why there is no score when one of the drawings, or both, hold no pain."""
    if has_before:
        return ONLY_BEFORE
    return ONLY_AFTER if has_after else EMPTY


def alike(jaccard: float, z: float, redraw: Redraw) -> str:
    """The pair's Jaccard beside the published spread, and that the spread is only that."""
    low, high = redraw.mean - redraw.sd, redraw.mean + redraw.sd
    where = "within" if low <= jaccard <= high else "below" if jaccard < low else "above"
    away = f"{abs(z):.1f} standard deviations {'below' if z < 0 else 'above'} its mean"
    return (
        f"The two share {jaccard:.2f} of the skin that either covers (Jaccard; 1 is the same, 0 is apart). "
        f"Two drawings {_minutes(redraw)} apart by one person already differ this much: "
        f"{redraw.mean:.2f} ± {redraw.sd:.2f}. This pair lies {where} that ({away}). {ONLY_THAT}"
    )


def _minutes(redraw: Redraw) -> str:
    return "a minute" if redraw.minutes == 1 else f"{redraw.minutes} minutes"


def state(before_cm2: float, after_cm2: float) -> str:
    """One of STATES."""
    if not after_cm2:
        return "gone"
    if not before_cm2:
        return "new"
    if round(before_cm2) == round(after_cm2):
        return "as large"
    return "larger" if after_cm2 > before_cm2 else "smaller"


def of_kind(label: str, state_: str, before_cm2: float, after_cm2: float) -> str:
    """ "Ache: smaller, 62 cm² before and 20 cm² now."."""
    before, after = describe.cm2(before_cm2 * 100), describe.cm2(after_cm2 * 100)
    sizes = {"gone": f"{before} before", "new": f"{after} now"}
    return f"{label}: {STATES[state_]}, {sizes.get(state_, f'{before} before and {after} now')}."

"""What the board of a pattern needs: the machinery of charting.drawing with two zones in place of pains."""

from typing import Any

from django.urls import reverse

from bodymaps import kinds, words
from charting.drawing import device
from charting.drawing.pages import of_any_board, stroke_json, withdrawal_json
from charting.patterns import queries
from charting.patterns.models import PatternDrawing
from charting.staff.models import User

# Whose layer it is, as the script tells them apart: the clinician's says nothing about pain.
LAYER = "clinician"
# The words of the board where they are not those of a drawing of pain, by the hint they stand for.
BOARD_WORDS = {
    "choose": "First choose core or spillover.",
    "spot": "The point is marked. Touch another place to move it there.",
    "spot-marked": "Where the point lies is marked.",
}


def board_data(drawing: PatternDrawing, user: User, *, csrf: str) -> dict[str, Any]:
    """What the script of the board needs, as charting.drawing.pages.board_data gives it for a visit."""
    strokes, withdrawals = queries.rows_of(drawing)
    zones = kinds.as_json(kinds.zones())
    urls = {
        name: reverse(f"patterns:{name}", args=[drawing.pk]) for name in ("board", "save", "words", "key")
    }
    return {
        **of_any_board(),
        "kinds": zones,
        "all_kinds": zones,
        "strokes": [stroke_json(row, layer=LAYER, own=True) for row in strokes],
        "withdrawals": [withdrawal_json(row, own=True) for row in withdrawals],
        "answer": {"intensities": {}, "no_pain": False},
        "next_seq": max((row.seq for row in (*strokes, *withdrawals)), default=0) + 1,
        "urls": {**urls, "done": reverse("patterns:finish", args=[drawing.pk])},
        "device": device_of(drawing, user),
        "csrf": csrf,
        "who": "staff",
        "layer": LAYER,
        "words": BOARD_WORDS,
        "title": "Core and spillover",
        "asks": "What do you draw?",
        "spot": "Where the point lies",
        "heading": f"{words.sentence_case(drawing.name)}, right side. The left is its mirror.",
    }


def device_of(drawing: PatternDrawing, user: User) -> dict[str, str]:
    """What the page needs to keep unacknowledged entries on the device: see charting.drawing.device."""
    holder = device.holder_of_staff(user.pk, drawing.pk, "pattern", None)
    return {
        "holder": str(holder),
        "key": device.key_of(holder),
        "key_url": reverse("patterns:key", args=[drawing.pk]),
        "save_url": reverse("patterns:save", args=[drawing.pk]),
    }

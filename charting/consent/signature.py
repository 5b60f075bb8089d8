"""A signature as it is drawn: strokes of points in a box of 600 x 200."""

import json
import math
from typing import Any

WIDTH, HEIGHT = 600, 200
# Far above any real signature, far below what would slow a page.
MOST_STROKES, MOST_POINTS = 100, 5_000
# Shorter than this, in all, is a slip of the finger.
SHORTEST = 40.0

Strokes = list[list[list[float]]]


class NoSignature(ValueError):
    """What was sent is no signature; the text says why."""


def read(text: str) -> Strokes:
    """Strokes of [x, y] from JSON, rounded to 0.1. Raises NoSignature."""
    try:
        sent = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise NoSignature("The signature could not be read. Sign again.") from problem
    strokes = check(sent)
    if length(strokes) < SHORTEST:
        raise NoSignature("Sign in the box, or sign by the typed name.")
    return strokes


def check(sent: Any) -> Strokes:
    """The same as lists of numbers inside the box. Raises NoSignature."""
    if not isinstance(sent, list) or len(sent) > MOST_STROKES:
        raise NoSignature("The signature could not be read. Sign again.")
    strokes = [[_point(point) for point in stroke] for stroke in sent if isinstance(stroke, list)]
    if sum(map(len, strokes)) > MOST_POINTS:
        raise NoSignature("The signature is too long. Clear the box and sign again.")
    return [stroke for stroke in strokes if stroke]


def length(strokes: Strokes) -> float:
    return sum(math.dist(a, b) for stroke in strokes for a, b in zip(stroke, stroke[1:], strict=False))


def path(strokes: Strokes) -> str:
    """The `d` of one path; a dot is a line to itself. Dot decimals whatever the language."""
    return "".join(_stroke_path(stroke) for stroke in strokes)


def _stroke_path(stroke: list[list[float]]) -> str:
    places = [f"{float(x):.1f} {float(y):.1f}" for x, y in stroke]
    return "M" + "L".join(places if len(places) > 1 else places * 2)


def _point(point: Any) -> list[float]:
    if not isinstance(point, list) or len(point) != 2 or not all(_is_number(value) for value in point):
        raise NoSignature("The signature could not be read. Sign again.")
    x, y = point
    return [round(min(max(x, 0.0), WIDTH), 1), round(min(max(y, 0.0), HEIGHT), 1)]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)

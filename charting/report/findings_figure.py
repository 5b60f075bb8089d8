"""The figure with what the hand found: the part of each view that holds findings, with their marks.

Plain data. The outline is that of the drawing's views; it is not stored again.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from charting.drawing import picture
from charting.examination.placed import Placed, on_view

# Round the marks, and the least part of the body that is still known by its shape; figure millimetres.
MARGIN = 110.0
LEAST = (330.0, 400.0)
# How large it is printed: no taller than this (mm) as long as a number can still be read (printed mm to a
# millimetre of the figure), and no larger than needed.
TALLEST, LEAST_SCALE, MOST_SCALE = 58.0, 0.058, 0.1
# The whole height of the figure as it is printed elsewhere.
FRAME = [float(edge) for edge in picture.WHOLE.split()]


def figures(marks: Iterable[Placed]) -> list[dict[str, Any]]:
    """The views that hold a finding, front first, all of the same size: what is bigger is not closer."""
    shown = [mark for mark in marks if mark.result]
    held = [(view, on_view(shown, view)) for view in picture.TITLES]
    held = [(view, here) for view, here in held if here]
    size = _size([here for _, here in held])
    return [_figure(view, here, size) for view, here in held]


def _figure(view: str, here: Sequence[Placed], size: tuple[float, float]) -> dict[str, Any]:
    (left, right), (top, bottom) = _spans(here)
    scale = max(LEAST_SCALE, min(MOST_SCALE, TALLEST / size[1]))
    return {
        "view": view,
        "title": picture.TITLES[view],
        "width": f"{size[0] * scale:.1f}mm",
        "height": f"{size[1] * scale:.1f}mm",
        "box": picture.box_round(((left + right) / 2, (top + bottom) / 2), size),
        "words": f"{picture.TITLES[view]} of the body with what was felt. "
        + "; ".join(mark.words for mark in here),
        "marks": [asdict(mark) for mark in here],
    }


def _size(held: Sequence[Sequence[Placed]]) -> tuple[float, float]:
    spans = [_spans(here) for here in held]
    wide = max((right - left for (left, right), _ in spans), default=0.0)
    high = max((bottom - top for _, (top, bottom) in spans), default=0.0)
    return (
        min(max(wide + 2 * MARGIN, LEAST[0]), FRAME[2]),
        min(max(high + 2 * MARGIN, LEAST[1]), FRAME[3]),
    )


def _spans(here: Sequence[Placed]) -> tuple[tuple[float, float], tuple[float, float]]:
    xs, ys = [float(mark.x) for mark in here], [float(mark.y) for mark in here]
    return (min(xs), max(xs)), (min(ys), max(ys))

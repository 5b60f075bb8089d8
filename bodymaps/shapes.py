"""The words in which patterns are written: points, bands, patches and parts of a region, drawn for the
right side.

    point   "<landmark>"  or  "<landmark> 0.4 <landmark>"  (that far from the first to the second),
            then, if wanted, "lat 12" or "med 12" and "up 5" or "down 5" (mm; lat = away from the midline)
    band    {view, shape = "band", along = [point, ...], widths = one number or one per point}
    patch   {view, shape = "patch", at = point, size = [width, height], turn = degrees clockwise}
    part    {view, shape = "part", of = region id, from = 0.2, to = 0.8, axis = "long" | "down" | "lat"}
    each may say side = "same" (default) | "other" | "both"

All lengths are millimetres on the figure. A word that cannot be read raises ShapeError, which names the word.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, cos, hypot, pi, radians, sin
from typing import Any, Protocol

from bodymaps import geometry
from bodymaps.geometry import Area

Point = tuple[float, float]

VIEWS = ("front", "back")
WORDS = {
    "band": ({"along", "widths"}, set()),
    "patch": ({"at", "size"}, {"turn"}),
    "part": ({"of"}, {"from", "to", "axis"}),
}
# A band or patch narrower than a fingertip's pad or wider than half the trunk is a slip of the pen.
NARROWEST, WIDEST = 3.0, 400.0
# Millimetres between the points a curve is made of: finer than anybody sees on the figure.
STEP = 3.0
# A part of a region keeps this far from the region's borders, so that a pattern never copies the borders.
PART_INSET = 3.0
# Corners of every zone are rounded with this radius.
ROUNDING = 3.0

POINT = re.compile(
    r"^(?P<first>[a-z]\w*)"
    r"(?:\s+(?P<way>-?\d+(?:\.\d+)?)\s+(?P<second>[a-z]\w*))?"
    r"(?P<moves>(?:\s+(?:lat|med|up|down)\s+\d+(?:\.\d+)?)*)$"
)


class ShapeError(ValueError):
    """A point or shape word that cannot be read; the message names the word and what to mend."""


class Body(Protocol):
    """What shapes need to know of the figure: landmarks and regions of the patient's right side."""

    def landmark(self, view: str, name: str) -> Point:
        """Raises KeyError for a name the view does not have."""

    def region(self, region_id: str) -> Area:
        """Raises KeyError for an unknown region."""

    def midline(self, view: str) -> float: ...


@dataclass(frozen=True)
class Outlined:
    """One shape word as an area in one view."""

    view: str
    area: Area


def point(text: object, view: str, body: Body) -> Point:
    """Where a point word lies (mm) for the patient's right side."""
    match = POINT.match(text.strip()) if isinstance(text, str) else None
    if match is None:
        raise ShapeError(
            f"point {text!r} is not '<landmark>' or '<landmark> 0.4 <landmark>' with lat/med, up/down"
        )
    x, y = _landmark(match["first"], view, body)
    if match["second"]:
        way = float(match["way"])
        if not 0 <= way <= 1:
            raise ShapeError(f"point {text!r}: {way:g} is not between 0 and 1")
        x2, y2 = _landmark(match["second"], view, body)
        x, y = x + way * (x2 - x), y + way * (y2 - y)
    return _moved(x, y, match["moves"].split(), view)


def _landmark(name: str, view: str, body: Body) -> Point:
    try:
        return body.landmark(view, name)
    except KeyError:
        raise ShapeError(f"the {view} view has no landmark {name!r}") from None


def _moved(x: float, y: float, moves: Sequence[str], view: str) -> Point:
    away = -1.0 if view == "front" else 1.0
    steps = {"lat": (away, 0.0), "med": (-away, 0.0), "up": (0.0, -1.0), "down": (0.0, 1.0)}
    for word, amount in zip(moves[::2], moves[1::2], strict=True):
        dx, dy = steps[word]
        x, y = x + dx * float(amount), y + dy * float(amount)
    return (x, y)


def outlined(spec: object, body: Body) -> Outlined:
    """The area of one shape word, before it is clipped to the figure."""
    words = _checked(spec)
    draw = {"band": _band, "patch": _patch, "part": _part}[words["shape"]]
    area = draw(words, words["view"], body)
    mirror = geometry.mirrored(area, body.midline(words["view"]))
    side = words.get("side", "same")
    return Outlined(
        words["view"], {"same": area, "other": mirror, "both": geometry.unite([area, mirror])}[side]
    )


def _checked(spec: Any) -> Mapping[str, Any]:
    if not isinstance(spec, Mapping):
        raise ShapeError("a shape is a table {view = ..., shape = ...}")
    if spec.get("view") not in VIEWS:
        raise ShapeError(f"view {spec.get('view')!r} is not front or back")
    if spec.get("shape") not in WORDS:
        raise ShapeError(f"shape {spec.get('shape')!r} is not one of {', '.join(WORDS)}")
    needed, allowed = WORDS[spec["shape"]]
    missing, unknown = needed - set(spec), set(spec) - needed - allowed - {"view", "shape", "side"}
    if missing:
        raise ShapeError(f"{spec['shape']} needs {', '.join(sorted(missing))}")
    if unknown:
        raise ShapeError(f"{spec['shape']} has no word {', '.join(sorted(map(str, unknown)))}")
    if spec.get("side", "same") not in ("same", "other", "both"):
        raise ShapeError(f"side {spec['side']!r} is not same, other or both")
    return spec


def _number(value: object, name: str, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        raise ShapeError(f"{name} {value!r} is not a number from {low:g} to {high:g}")
    return float(value)


def _band(words: Mapping[str, Any], view: str, body: Body) -> Area:
    along = words["along"]
    if not isinstance(along, list) or len(along) < 2:
        raise ShapeError("band: along needs at least two points")
    points = [point(word, view, body) for word in along]
    if any(hypot(b[0] - a[0], b[1] - a[1]) < 1 for a, b in zip(points, points[1:], strict=False)):
        raise ShapeError("band: two neighbouring points are less than 1 mm apart")
    return geometry.tapered(*curve(points, _widths(words["widths"], len(points))))


def _widths(value: object, count: int) -> list[float]:
    widths = value if isinstance(value, list) else [value] * count
    if len(widths) == 1:
        widths = widths * count
    if len(widths) != count:
        raise ShapeError(f"band: {len(widths)} widths for {count} points")
    return [_number(width, "band: width", NARROWEST, WIDEST) for width in widths]


def curve(points: Sequence[Point], widths: Sequence[float]) -> tuple[list[Point], list[float]]:
    """A smooth curve through the points with a width at each of its points.

    Centripetal Catmull-Rom (Catmull & Rom 1974; alpha 0.5 after Yuksel, Schaefer & Keyser 2011: no loops or
    cusps).
    """
    first, last = points[0], points[-1]
    before = (2 * first[0] - points[1][0], 2 * first[1] - points[1][1])
    after = (2 * last[0] - points[-2][0], 2 * last[1] - points[-2][1])
    padded = [before, *points, after]
    line, breadth = [first], [widths[0]]
    for i in range(len(points) - 1):
        corners = padded[i : i + 4]
        steps = max(4, ceil(hypot(corners[2][0] - corners[1][0], corners[2][1] - corners[1][1]) / STEP))
        for step in range(1, steps + 1):
            way = step / steps
            line.append(_between(corners, way))
            breadth.append(widths[i] + (widths[i + 1] - widths[i]) * way * way * (3 - 2 * way))
    return line, breadth


def _between(corners: Sequence[Point], way: float) -> Point:
    """The point at `way` (0..1) between the second and third of four corners (Barry & Goldman's pyramid)."""
    knots = [0.0]
    for a, b in zip(corners, corners[1:], strict=False):
        knots.append(knots[-1] + hypot(b[0] - a[0], b[1] - a[1]) ** 0.5)
    t0, t1, t2, t3 = knots
    t = t1 + way * (t2 - t1)
    a1, a2, a3 = (
        _mix(corners[i], corners[i + 1], (t - knots[i]) / (knots[i + 1] - knots[i])) for i in range(3)
    )
    b1, b2 = _mix(a1, a2, (t - t0) / (t2 - t0)), _mix(a2, a3, (t - t1) / (t3 - t1))
    return _mix(b1, b2, way)


def _mix(a: Point, b: Point, way: float) -> Point:
    return (a[0] + (b[0] - a[0]) * way, a[1] + (b[1] - a[1]) * way)


def _patch(words: Mapping[str, Any], view: str, body: Body) -> Area:
    size = words["size"]
    if not isinstance(size, list) or len(size) != 2:
        raise ShapeError("patch: size is [width, height]")
    a, b = (_number(value, "patch: size", NARROWEST, WIDEST) / 2 for value in size)
    turn = radians(_number(words.get("turn", 0), "patch: turn", -360, 360))
    cx, cy = point(words["at"], view, body)
    steps = max(24, ceil(2 * pi * max(a, b) / STEP))
    around = [(a * cos(t), b * sin(t)) for t in (2 * pi * step / steps for step in range(steps))]
    return geometry.area_from_rings(
        [[(cx + u * cos(turn) - v * sin(turn), cy + u * sin(turn) + v * cos(turn)) for u, v in around]]
    )


def _part(words: Mapping[str, Any], view: str, body: Body) -> Area:
    start, end = (_number(words.get(k, d), f"part: {k}", 0, 1) for k, d in (("from", 0), ("to", 1)))
    if start >= end:
        raise ShapeError(f"part: from {start:g} is not before to {end:g}")
    region = _region(words["of"], view, body)
    piece = geometry.slice_between(region, _axis(words.get("axis", "long"), region, view), start, end)
    inner = geometry.widen(piece, -PART_INSET)
    if inner.is_empty:
        raise ShapeError(f"part: nothing is left of {words['of']} between {start:g} and {end:g}")
    return inner


def _region(region_id: object, view: str, body: Body) -> Area:
    if not isinstance(region_id, str) or not region_id.startswith(f"{view}:"):
        raise ShapeError(f"part: {region_id!r} is not a region of the {view} view")
    try:
        return body.region(region_id)
    except KeyError:
        raise ShapeError(f"part: there is no region {region_id!r}") from None


def _axis(word: object, region: Area, view: str) -> Point:
    """Unit vector from fraction 0 to fraction 1: down the body, or from the midline outwards."""
    if word == "long":
        return geometry.long_axis(region)
    if word == "down":
        return (0.0, 1.0)
    if word == "lat":
        return (-1.0, 0.0) if view == "front" else (1.0, 0.0)
    raise ShapeError(f"part: axis {word!r} is not long, down or lat")


def smooth(areas: Sequence[Area]) -> Area:
    """The shapes of one zone and view as one area with rounded corners, not yet clipped to the figure."""
    return geometry.rounded(geometry.unite(areas), ROUNDING)

"""What the pen did: one frozen Stroke per touch, read once from JSON and trusted from then on."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from bodymaps import geometry, kinds, regions

VIEWS = ("front", "back")
MODES = ("shade", "area", "erase", "spot")
# The modes that show no kind, and why.
KINDLESS = {"erase": "the eraser takes away every kind", "spot": "the worst spot is a place, not a kind"}
# Points of a line closer than this to the point before carry no shape a nib of any size could show.
THIN_MM = 1.0


class Limits(NamedTuple):
    """What one visit may hold; chosen far above any real drawing and far below what would slow the server."""

    strokes_per_visit: int = 400
    points_per_stroke: int = 1_000
    points_per_visit: int = 20_000
    # Of the line round an area: what it surrounds is found in about 1.5 s, and no hand comes near.
    crossings_per_stroke: int = 50_000
    bytes_per_request: int = 256 * 1024
    smallest_nib_mm: float = 1.0
    largest_nib_mm: float = 60.0
    # A pen may run off the figure, but not far: the frames are 1,000 by 1,700 mm.
    farthest_mm: float = 5_000.0
    longest_ms: float = 24 * 3600 * 1000.0
    largest_seq: int = 2**31 - 1

    def as_json(self) -> dict[str, float]:
        """The limits by name, for a board that keeps to them while drawing."""
        return dict(self._asdict())


LIMITS = Limits()

# RFC 4122 version 4, as crypto.randomUUID() writes it.
UUID4 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


class StrokeError(ValueError):
    """The message says in plain words what is wrong with the stroke."""


class Point(NamedTuple):
    """Figure millimetres, pen pressure 0..1, milliseconds since the stroke began."""

    x: float
    y: float
    pressure: float
    t_ms: float


@dataclass(frozen=True)
class Stroke:
    """One touch of the pen. `kind` is None when the mode is erase or spot; a spot has exactly one point.

    `layer` says whose drawing it is, "" where only one is kept; `region` is "<region id> <side>" when an area
    was chosen from the list of regions and not drawn, "" otherwise.
    """

    id: str
    seq: int
    view: str
    kind: str | None
    mode: str
    nib_mm: float
    points: tuple[Point, ...]
    layer: str = ""
    region: str = ""


def parse(data: object, shown: tuple[str, ...] = kinds.ALL_IDS) -> Stroke:
    """Read one stroke from decoded JSON; raises StrokeError naming the member to mend. Other members are
    ignored, the layer too: whose drawing it is the server knows, not the device. `shown` is what a stroke of
    this board can show.
    """
    if not isinstance(data, Mapping):
        raise StrokeError("A stroke must be an object with id, seq, view, kind, mode, nib_mm and points.")
    mode = _choice(data, "mode", MODES)
    view = _choice(data, "view", VIEWS)
    points = _points(data.get("points"))
    if mode == "spot" and len(points) != 1:
        raise StrokeError(f"points of a spot must be exactly one, not {len(points)}.")
    if mode == "area":
        check_crossings(thinned([(point.x, point.y) for point in points]), LIMITS.crossings_per_stroke)
    return Stroke(
        id=_uuid(data.get("id")),
        seq=_seq(data.get("seq")),
        view=view,
        kind=_kind(data, mode, shown),
        mode=mode,
        nib_mm=number(data.get("nib_mm"), "nib_mm", LIMITS.smallest_nib_mm, LIMITS.largest_nib_mm),
        points=points,
        region=_region(data, mode, view),
    )


def check_crossings(line: list[tuple[float, float]], most: int) -> None:
    """Raise StrokeError when a closed line crosses itself more than `most` times."""
    if geometry.crosses_itself_more_than(line, most):
        raise StrokeError(
            f"A line round an area can cross itself {most:,} times; this one does so more often."
        )


def thinned(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Leave out points closer than 1 mm to the last one kept; a real end of the line is always kept.

    >>> thinned([(0, 0), (0.4, 0), (2, 0), (2.3, 0)])
    [(0, 0), (2, 0), (2.3, 0)]
    >>> thinned([(5, 5), (5, 5), (5, 5)])
    [(5, 5)]
    """
    kept = [points[0]]
    for x, y in points[1:]:
        if hypot(x - kept[-1][0], y - kept[-1][1]) >= THIN_MM:
            kept.append((x, y))
    if points[-1] != kept[-1]:
        kept.append(points[-1])
    return kept


def check_total(strokes: Iterable[Stroke]) -> None:
    """Raise StrokeError when the strokes of one visit are more than the limits allow."""
    held = list(strokes)
    check_room(len(held), sum(len(stroke.points) for stroke in held))


def check_room(strokes: int, points: int) -> None:
    """Raise StrokeError when a visit of so many strokes and points in all is more than the limits allow."""
    if strokes > LIMITS.strokes_per_visit:
        raise StrokeError(f"A visit can hold {LIMITS.strokes_per_visit} strokes; this would be {strokes}.")
    if points > LIMITS.points_per_visit:
        raise StrokeError(f"A visit can hold {LIMITS.points_per_visit:,} points; this would be {points:,}.")


def number(value: object, name: str, low: float, high: float) -> float:
    """A finite number from `low` to `high`; true, false and text are no numbers."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise StrokeError(f"{name} must be a number, not {_shown(value)}.")
    if isinstance(value, float) and not math.isfinite(value):
        raise StrokeError(f"{name} must be a finite number, not {value}.")
    if not low <= value <= high:
        raise StrokeError(f"{name} must be from {low:g} to {high:g}, not {_shown(value)}.")
    return float(value)


def choice(value: object, name: str, allowed: tuple[str, ...]) -> str:
    """One of the allowed words."""
    if not isinstance(value, str) or value not in allowed:
        raise StrokeError(f"{name} must be one of {', '.join(allowed)}, not {_shown(value)}.")
    return value


def _choice(data: Mapping[str, object], name: str, allowed: tuple[str, ...]) -> str:
    return choice(data.get(name), name, allowed)


def _shown(value: object) -> str:
    text = (
        str(value)
        if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 1e30
        else repr(value)
    )
    return text if len(text) <= 40 else text[:37] + "..."


def _uuid(value: object) -> str:
    if not isinstance(value, str) or not UUID4.fullmatch(value):
        raise StrokeError(f"id must be a random (version 4) UUID in lower case, not {_shown(value)}.")
    return value


def _seq(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= LIMITS.largest_seq:
        raise StrokeError(f"seq must be a whole number from 1, not {_shown(value)}.")
    return value


def _kind(data: Mapping[str, object], mode: str, shown: tuple[str, ...]) -> str | None:
    if mode not in KINDLESS:
        return _choice(data, "kind", shown)
    if data.get("kind") is not None:
        raise StrokeError(f"kind must be null when the mode is {mode}: {KINDLESS[mode]}.")
    return None


def _region(data: Mapping[str, object], mode: str, view: str) -> str:
    """ "" when there is none; a region of the figure on a side it has, in the view of the stroke."""
    value = data.get("region", "")
    if value in ("", None):
        return ""
    if mode != "area":
        raise StrokeError(f"region goes with the mode area only, not with {mode}.")
    if not isinstance(value, str) or value not in regions.known():
        raise StrokeError(f"region must be one of the figure's with its side, not {_shown(value)}.")
    if not value.startswith(f"{view}:"):
        raise StrokeError(f"region must lie on the view of the stroke, {view}, not {_shown(value)}.")
    return value


def _points(value: object) -> tuple[Point, ...]:
    if not isinstance(value, (list, tuple)) or not value:
        raise StrokeError("points must be a list of at least one [x, y, pressure, t_ms].")
    if len(value) > LIMITS.points_per_stroke:
        raise StrokeError(
            f"A stroke can hold {LIMITS.points_per_stroke:,} points; this one has {len(value):,}."
        )
    return tuple(_point(entry, index) for index, entry in enumerate(value))


def _point(entry: object, index: int) -> Point:
    if not isinstance(entry, (list, tuple)) or len(entry) != 4:
        raise StrokeError(f"points[{index}] must be [x, y, pressure, t_ms].")
    x, y, pressure, t_ms = entry
    far = LIMITS.farthest_mm
    return Point(
        number(x, f"points[{index}] x", -far, far),
        number(y, f"points[{index}] y", -far, far),
        number(pressure, f"points[{index}] pressure", 0, 1),
        number(t_ms, f"points[{index}] t_ms", 0, LIMITS.longest_ms),
    )

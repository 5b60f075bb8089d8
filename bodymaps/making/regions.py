"""Cut the skin into its regions: python -m bodymaps.making.regions

Reads the borders of regions.toml and the figure, and writes bodymaps/data/figure/regions.json.

The curves and the outline of one half are noded into a planar mesh of faces; a face belongs to the region
that names a place in it. So neighbours share their edges point for point and nothing is left over.
"""

from __future__ import annotations

import json
import sys
import tomllib
from pathlib import Path

import numpy as np
import shapely
from shapely import Geometry, LineString, Point, Polygon
from shapely.geometry import box

from bodymaps import figure, regions
from bodymaps.making import landmarks, outline
from bodymaps.making.outline import FRAME, MIDLINE

SOURCE = Path(__file__).with_name("regions.toml")
OUT = figure.FOLDER / "regions.json"
VERSION = "regions-1"

GRID = 0.1
CURVE_STEP = 2.5
BEND_REACH = 8.0
# Faces smaller than this (mm2) between two curves that nearly meet go to the neighbour they touch most.
CRUMB = 12.0


class BorderError(ValueError):
    """Borders that leave a face without a region or a region without a face; the message says where."""


def main() -> int:
    source = tomllib.loads(SOURCE.read_text())
    entries = [entry for view in figure.VIEWS for entry in cut(view, source[view])]
    data = {"version": VERSION, "source": "bodymaps/making/regions.toml", "licence": "CC0-1.0"}
    OUT.write_text(json.dumps({**data, "regions": entries}, separators=(",", ":")) + "\n")
    return 0


def cut(view: str, source: dict) -> list[dict]:
    """All regions of a view, both sides, as entries of regions.json. Raises BorderError."""
    half = right_half(view)
    places = named_places(view)
    curves = [curve(border, places, half, view) for border in source["border"]]
    faces = list(shapely.polygonize(list(shapely.get_parts(noded(curves, half)))).geoms)
    inside = [face for face in faces if half.contains(face.representative_point())]
    seeds = {
        name: [landmarks.place(words, places, half, view) for words in where]
        for name, where in source["regions"].items()
    }
    found = owned(inside, seeds, view)
    return [entry for name, shape in found.items() for entry in both_sides(f"{view}:{name}", view, shape)]


def right_half(view: str) -> Geometry:
    """The patient's right half of a view's outline, with the right sole in the back view."""
    width, height = FRAME
    window = box(0, 0, MIDLINE, height) if view == "front" else box(MIDLINE, 0, width, height)
    return shapely.set_precision(figure.load().view(view).outline.intersection(window), GRID)


def named_places(view: str) -> dict[str, landmarks.Place]:
    """Landmarks by name, and centres of joints as "j:elbow"."""
    drawn = figure.load()
    joints = {f"j:{name}": place for name, place in drawn.joints[view].items()}
    return {**drawn.landmarks[view], **joints}


def curve(border: dict, places: dict[str, landmarks.Place], half: Geometry, view: str) -> LineString:
    """A border's smooth curve; where it meets the outline it goes through a point of the outline."""
    knots = np.array([landmarks.place(words, places, half, view) for words in border["along"]])
    line = LineString(splined(knots, bool(border.get("closed"))))
    return ended_on_points(line, half)


def splined(knots: np.ndarray, closed: bool) -> np.ndarray:
    """Centripetal Catmull-Rom curve through the knots (n, 2), a point every CURVE_STEP mm or less."""
    if closed:
        knots = np.concatenate([knots[-1:], knots, knots[:2]])
    else:
        knots = np.concatenate([[2 * knots[0] - knots[1]], knots, [2 * knots[-1] - knots[-2]]])
    pieces = [_between(*knots[k : k + 4]) for k in range(len(knots) - 3)]
    return np.concatenate([*pieces, knots[-2:-1]])


def _between(a: np.ndarray, b: np.ndarray, c: np.ndarray, d: np.ndarray) -> np.ndarray:
    times = np.cumsum([0.0, *(np.linalg.norm(q - p) ** 0.5 for p, q in ((a, b), (b, c), (c, d)))])
    steps = max(int(np.linalg.norm(c - b) / CURVE_STEP), 1)
    t = np.linspace(times[1], times[2], steps, endpoint=False)[:, None]

    def mix(p: np.ndarray, q: np.ndarray, start: float, end: float) -> np.ndarray:
        return ((end - t) * p + (t - start) * q) / (end - start)

    t0, t1, t2, t3 = times
    ab, bc, cd = mix(a, b, t0, t1), mix(b, c, t1, t2), mix(c, d, t2, t3)
    return mix(mix(ab, bc, t0, t2), mix(bc, cd, t1, t3), t1, t2)


def ended_on_points(line: LineString, half: Geometry) -> LineString:
    """The line bent by a hair so that it crosses the outline at points the outline already has.

    Otherwise the crossing would have to be rounded to the grid and would pull the outline with it.
    """
    corners = shapely.get_coordinates(shapely.boundary(half))
    corners = corners[corners[:, 0] != MIDLINE]
    for crossing in shapely.get_coordinates(line.intersection(shapely.boundary(half))):
        if abs(crossing[0] - MIDLINE) > GRID:
            line = _through(line, crossing, corners[np.argmin(np.hypot(*(corners - crossing).T))])
    return line


def _through(line: LineString, crossing: np.ndarray, corner: np.ndarray) -> LineString:
    """The line drawn over from the crossing to the corner, less and less with the distance from it."""
    points = shapely.get_coordinates(line)
    nearness = np.exp(-((np.hypot(*(points - crossing).T) / BEND_REACH) ** 2))
    points = points + nearness[:, None] * (corner - crossing)
    here = line.project(Point(crossing))
    along = np.array([line.project(Point(point)) for point in shapely.get_coordinates(line)])
    before, after = points[along < here - GRID], points[along > here + GRID]
    return LineString(np.concatenate([before, corner[None], after]))


def noded(curves: list[LineString], half: Geometry) -> Geometry:
    """Outline and curves cut at every crossing, on the grid."""
    lines = [*curves, *shapely.get_parts(shapely.boundary(half))]
    return shapely.union_all(lines, grid_size=GRID)


def owned(faces: list[Polygon], seeds: dict[str, list[landmarks.Place]], view: str) -> dict[str, Geometry]:
    """Faces gathered by the region that names a place in them. Raises BorderError, with every fault found."""
    owner: dict[int, str] = {}
    faults = []
    for name, place in ((name, place) for name, places in seeds.items() for place in places):
        hit = next((i for i, face in enumerate(faces) if face.contains(Point(place))), None)
        if hit is None:
            faults.append(f"{name}: the place {place} lies in no face")
        elif owner.setdefault(hit, name) != name:
            faults.append(f"{name} and {owner[hit]} share one face near {place}")
    unnamed = [i for i in range(len(faces)) if i not in owner]
    for i in unnamed:
        if faces[i].area > CRUMB:
            centre = faces[i].representative_point()
            faults.append(f"no region names a place in the face near {centre} ({faces[i].area:.1f} mm2)")
    if faults:
        raise BorderError(f"{view}:\n" + "\n".join(faults))
    for i in unnamed:
        shared = {k: faces[i].boundary.intersection(faces[k].boundary).length for k in owner}
        owner[i] = owner[max(shared, key=lambda k: shared[k])]
    return {
        name: outline.rounded(shapely.union_all([faces[i] for i, who in owner.items() if who == name]))
        for name in seeds
    }


def both_sides(name: str, view: str, shape: Geometry) -> list[dict]:
    """A region that reaches the midline along an edge is one with its mirror image; others stand twice."""
    if any(one.id == name and one.midline for one in regions.names()):
        whole = outline.rounded(shapely.union_all([shape, outline.mirrored(shape)]))
        return [_entry(name, view, "midline", whole)]
    return [_entry(name, view, "right", shape), _entry(name, view, "left", outline.mirrored(shape))]


def _entry(name: str, view: str, side: str, shape: Geometry) -> dict:
    parts = [outline.rings(part) for part in shapely.get_parts(shape)]
    key, value = ("polygon", parts[0]) if len(parts) == 1 else ("multipolygon", parts)
    return {"id": name, "view": view, "side": side, key: value}


if __name__ == "__main__":
    sys.exit(main())

"""The first model of how patients draw, to test the ranking with: areas that are bent, shifted and brushed.

Three steps. What is felt: one site of a muscle, its core and a part of the spillover. What is covered of it:
30 to 100 %, grown from places in the core. How it is drawn: moved, scaled, with wandering edges, filled with
brush strokes, beside stray marks. The same patient a minute later takes the third step anew.

That step is tuned to the yardstick: patients who draw the same pain again a minute later reach a mean
Jaccard index of 0.62 (SD 0.18; Leoni D et al., 2013, 52 patients with tablet and stylus). `python -m
bodymaps.making.quality` prints what is reached. Everything moves with the size of a patch, because a hand
that aims at a finger is nearer to it than one that aims at a back; the second model (redraw_second) counts
in mm instead. No study gives the single numbers: they are estimates, held together by the yardstick.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.affinity import scale, translate

from bodymaps import geometry, marks
from bodymaps.geometry import Area
from bodymaps.marks import Mark

KIND = "ache"
Zones = Mapping[tuple[str, str], Area]
Pain = dict[str, Area]

# --- What is felt, and how much of it is covered ---

# Which site of a muscle hurts: how often one is met for one that is rare.
COMMON = {"very common": 8.0, "common": 4.0, "occasional": 2.0, "rare": 1.0}
# Share of the spillover that is felt, what adjoins the core first.
SPILLOVER = (0.0, 1.0)
# Share of what is felt that is drawn (issue of the benchmark: 30 to 100 %).
COVERAGE = (0.3, 1.0)
# This often whole patches are left out for it, never the last one with core; otherwise parts of each.
LEAVES_OUT = 0.5

# --- How it is drawn ---

# How unsteady this patient is: lognormal, median and SD of the logarithm. All that follows grows with it.
UNSTEADY = (0.26, 1.0)
# Sizes (mm: root of the area of a patch) below and above which nothing gets steadier or less steady.
SIZES = (20.0, 160.0)
# SD along each axis, in sizes: the whole of a view moved; a patch moved besides.
VIEW_OFF = 0.075
PATCH_OFF = 0.1
# SD of the logarithm of the scale along each axis; SD in sizes of an edge drawn too wide or too narrow.
STRETCHED = 0.08
WIDER = 0.05
# The edge wanders: SD of each of three waves along each axis, and their lengths, in sizes.
WANDERS = 0.055
WAVES = (0.6, 2.0)
# Width of the brush (mm), at most this share of a patch's size and at least the narrowest; the distance of
# its strokes in widths; how far a stroke ends beyond or short of the edge, SD in widths.
NIBS = (8.0, 12.0, 16.0, 24.0)
NIB_SHARE = 0.25
NARROWEST = 4.0
APART = (0.5, 0.9)
ENDS = 0.2
# A drawing has stray strokes this often, up to so many, of this length (sizes), so far from it (SD in mm);
# this share of them lies anywhere in the view.
STRAYS = 0.2
MOST_STRAYS = 3
STRAY_LENGTH = (0.1, 0.6)
STRAY_FAR = 110.0
STRAY_ANYWHERE = 0.15

# A drawing that misses the body is tried again, at most this often.
TRIES = 20
# Halvings in the search for a share of an area: to about a hundredth of it.
STEPS = 6
# mm: what an outline may lose without anybody seeing it in a drawing.
THINNED = 0.7


class Patient:
    """One patient with one pain (areas by view). `drawn` gives another drawing of it each time."""

    def __init__(self, pain: Mapping[str, Area], rng: random.Random) -> None:
        self.pain, self.rng = pain, rng
        median, spread = UNSTEADY
        self.unsteady = median * math.exp(rng.gauss(0, spread))
        self.nib = rng.choice(NIBS)
        self.apart = rng.uniform(*APART)
        self.angle = rng.uniform(0, math.pi)

    def drawn(self) -> list[Mark]:
        """Marks of kind "ache", at most one a view, front first; none when there is no pain."""
        outlines = marks.body_outlines()
        for _ in range(TRIES if self.pain else 0):
            found = [
                Mark(view, KIND, area)
                for view in sorted(self.pain, key=lambda view: view != "front")
                if not (area := marks.clipped(self._ink(view, outlines[view]), outlines[view])).is_empty
            ]
            if found:
                return found
        return []

    def _ink(self, view: str, outline: Area) -> Area:
        """The ink of one view, not yet clipped to the body."""
        pain, rng = self.pain[view], self.rng
        if pain.is_empty:
            return geometry.EMPTY
        far = VIEW_OFF * self.unsteady * _size(pain)
        shift = (rng.gauss(0, far), rng.gauss(0, far))
        bent = [self._bent(patch, shift) for patch in geometry.patches_of(pain)]
        ink = [self._brushed(patch) for patch in bent if not patch.is_empty]
        return geometry.unite([*ink, *self._strays(pain, outline)])

    def _bent(self, patch: Area, shift: tuple[float, float]) -> Area:
        """A patch off its place, out of scale, too wide or too narrow, with a wandering edge."""
        rng, size, loose = self.rng, _size(patch), self.unsteady
        off = PATCH_OFF * loose * size
        stretched = scale(patch, *(math.exp(rng.gauss(0, STRETCHED * loose)) for _ in range(2)))
        moved = translate(stretched, shift[0] + rng.gauss(0, off), shift[1] + rng.gauss(0, off))
        wider = geometry.widen(moved, rng.gauss(0, WIDER * loose * size))
        return self._wandering(moved if wider.is_empty else wider, size)

    def _wandering(self, patch: Area, size: float) -> Area:
        rng, high = self.rng, WANDERS * self.unsteady * size
        waves = [
            (
                2 * math.pi / (size * rng.uniform(*WAVES)),
                rng.uniform(0, 2 * math.pi),
                rng.uniform(0, 2 * math.pi),
                np.array([rng.gauss(0, high), rng.gauss(0, high)]),
            )
            for _ in range(3)
        ]

        def displaced(points: np.ndarray) -> np.ndarray:
            moved = points.copy()
            for number, turn, phase, by in waves:
                along = points @ np.array([math.cos(turn), math.sin(turn)])
                moved += np.outer(np.sin(number * along + phase), by)
            return moved

        dense = shapely.segmentize(patch, max(3.0, size / 10))
        return geometry.repaired(geometry.as_area(shapely.transform(dense, displaced)))

    def _brushed(self, patch: Area) -> Area:
        """Strokes side by side over a patch; a patch too small for any is a dab of its own shape."""
        nib = max(NARROWEST, min(self.nib, NIB_SHARE * _size(patch)))
        inner = geometry.widen(patch, -0.4 * nib)
        lines = [self._stroke(line, nib) for line in self._hatching(inner, nib * self.apart) if line]
        if not lines:
            return patch
        return geometry.as_area(shapely.buffer(shapely.MultiLineString(lines), nib / 2, quad_segs=4))

    def _hatching(self, area: Area, apart: float) -> list[list[tuple[float, float]]]:
        """Parallel lines over an area, cut off at its edge."""
        if area.is_empty:
            return []
        dx, dy = math.cos(self.angle), math.sin(self.angle)
        left, top, right, bottom = area.bounds
        x, y, reach = (left + right) / 2, (top + bottom) / 2, math.hypot(right - left, bottom - top)
        count = int(reach / 2 / apart) + 1
        first = self.rng.uniform(-0.5, 0.5)
        offs = [(first + step) * apart for step in range(-count, count + 1)]
        return geometry.lines_inside(
            [
                [
                    (x - dy * off - dx * reach, y + dx * off - dy * reach),
                    (x - dy * off + dx * reach, y + dx * off + dy * reach),
                ]
                for off in offs
            ],
            area,
        )

    def _stroke(self, line: Sequence[tuple[float, float]], nib: float) -> list[tuple[float, float]]:
        (x1, y1), (x2, y2) = line[0], line[-1]
        length = math.dist(line[0], line[-1]) or 1.0
        dx, dy = (x2 - x1) / length, (y2 - y1) / length
        before, after = (max(-0.4 * length, self.rng.gauss(0, ENDS * nib)) for _ in range(2))
        return [(x1 - dx * before, y1 - dy * before), (x2 + dx * after, y2 + dy * after)]

    def _strays(self, pain: Area, outline: Area) -> list[Area]:
        """Strokes that belong to nothing."""
        rng, ink, size = self.rng, [], _size(pain)
        if rng.random() >= STRAYS:
            return []
        middle = shapely.centroid(pain)
        left, top, right, bottom = outline.bounds
        for _ in range(rng.randint(1, MOST_STRAYS)):
            place = (middle.x + rng.gauss(0, STRAY_FAR), middle.y + rng.gauss(0, STRAY_FAR))
            if rng.random() < STRAY_ANYWHERE:
                place = (rng.uniform(left, right), rng.uniform(top, bottom))
            length, turn = size * rng.uniform(*STRAY_LENGTH), rng.uniform(0, 2 * math.pi)
            end = (place[0] + length * math.cos(turn), place[1] + length * math.sin(turn))
            ink.append(geometry.paint_line([place, end], min(self.nib, NIB_SHARE * size)))
        return ink


def patient(zones: Zones, rng: random.Random) -> Patient:
    """A patient who feels pain in these zones (view and "core" or "spillover"; figure mm) and shows 30 to
    100 % of it.
    """
    return Patient(covered(felt(zones, rng.uniform(*SPILLOVER)), zones, rng.uniform(*COVERAGE), rng), rng)


def redrawn(zones: Zones, rng: random.Random) -> list[Mark]:
    """One drawing of one patient with pain in these zones; the same state of `rng` gives the same marks."""
    return patient(zones, rng).drawn()


def felt(zones: Zones, share: float) -> Pain:
    """Core and the given share (0..1) of the spillover of each view, what adjoins the core first."""
    zones = {key: geometry.thinned_outline(area, THINNED) for key, area in zones.items()}
    found = {}
    for view in ("front", "back"):
        core = zones.get((view, "core"), geometry.EMPTY)
        spillover = zones.get((view, "spillover"), geometry.EMPTY)
        near = _spread(spillover, core, share)
        if not (area := geometry.unite([core, near])).is_empty:
            found[view] = area
    return found or {view: area for (view, _), area in zones.items() if not area.is_empty}


def _spread(spillover: Area, core: Area, share: float) -> Area:
    if spillover.is_empty or core.is_empty:
        # Without a core in this view there is nothing to spread from: it comes with the far half.
        return spillover if share > 0.5 else geometry.EMPTY
    left, top, right, bottom = geometry.unite([spillover, core]).bounds
    return _near(spillover, core, share, math.hypot(right - left, bottom - top))


def covered(pain: Mapping[str, Area], zones: Zones, share: float, rng: random.Random) -> Pain:
    """About `share` (0..1) of the pain: some patches left out and the rest in part, grown from a place in the
    core where a patch has one.
    """
    cores = {view: zones.get((view, "core"), geometry.EMPTY) for view in pain}
    pieces = [(view, patch) for view, area in pain.items() for patch in geometry.patches_of(area)]
    whole = sum(patch.area for _, patch in pieces)
    if not pieces:
        return {}
    kept = _some(pieces, cores, share * whole, rng) if rng.random() < LEAVES_OUT else pieces
    left = min(1.0, share * whole / sum(patch.area for _, patch in kept))
    parts = [(view, _part(patch, cores[view], left, rng)) for view, patch in kept]
    return {
        view: geometry.unite(part for where, part in parts if where == view)
        for view in pain
        if any(where == view for where, _ in parts)
    }


def _some(
    pieces: Sequence[tuple[str, Area]], cores: Mapping[str, Area], wanted: float, rng: random.Random
) -> list[tuple[str, Area]]:
    """Patches in chance order until they hold what is wanted; one with core comes first."""
    order = rng.sample(pieces, len(pieces))
    order.sort(key=lambda one: geometry.gap(one[1], cores[one[0]]) > 0)
    lead, rest = order[:1], rng.sample(order[1:], len(order) - 1)
    kept, held = list(lead), lead[0][1].area
    for one in rest:
        if held >= wanted:
            break
        kept.append(one)
        held += one[1].area
    return kept


def _part(patch: Area, core: Area, share: float, rng: random.Random) -> Area:
    """About `share` of a patch, as far as it lies round one of its places."""
    if share > 0.98:
        return patch
    inside = geometry.overlap(patch, core)
    x, y = _place(patch if inside.is_empty else inside, rng)
    left, top, right, bottom = patch.bounds
    seed = geometry.as_area(shapely.buffer(shapely.Point(x, y), 0.5))
    return _near(patch, seed, share, math.hypot(right - left, bottom - top))


def _place(area: Area, rng: random.Random) -> tuple[float, float]:
    """A place inside an area, each as likely."""
    left, top, right, bottom = area.bounds
    places = [(rng.uniform(left, right), rng.uniform(top, bottom)) for _ in range(100)]
    inside = np.flatnonzero(shapely.contains_xy(area, places))
    return places[inside[0]] if len(inside) else geometry.inner_place(area)


def _near(area: Area, to: Area, share: float, far: float) -> Area:
    """The part of `area` within some reach (mm, at most `far`) of another that makes about `share` of it."""
    low, high = 0.0, far
    for _ in range(STEPS):
        reach = (low + high) / 2
        if geometry.overlap(area, _wide(to, reach)).area < share * area.area:
            low = reach
        else:
            high = reach
    return geometry.overlap(area, _wide(to, high))


def _wide(area: Area, reach: float) -> Area:
    return geometry.as_area(shapely.buffer(area, reach, quad_segs=4))


def _size(area: Area) -> float:
    """The size of a patch (mm) that all unsteadiness goes by."""
    return min(max(math.sqrt(area.area), SIZES[0]), SIZES[1])

"""A second model of how patients draw, to test the ranking with: strokes of a finger or a stylus.

It was written without having seen any pattern, so that the ranking is not tested with the ideas it was built
on. The first model bends areas; this one lays strokes: it decides what the patient draws of the pain, where
the hand puts it, and how the hand fills it. What comes out is clipped to the body by the rule of the board.

Whose pain it is stays the same, everything else is drawn anew each time, as by another patient with that
pain. The yardstick: the same patient one minute later draws with a mean Jaccard index of 0.62 (SD 0.18; Leoni
D et al., 2013, 52 patients with tablet and stylus); 34 patients after days, and doctor against patient, 0.63
(SD 0.18; JKARM 2003;27:404-409). Two drawings of this model must not be more alike than that: its numbers are
set so that discs of 60 to 120 mm and bands 30 to 60 mm wide come to about 0.52 (SD 0.17), the large ones to
0.6 and the small ones to less, as edges weigh more there. No study gives the single numbers below: they are
estimates from what pain drawings look like, and the yardstick holds them together.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from typing import TypeVar

import numpy as np
import shapely
from shapely.affinity import scale, translate

from bodymaps import geometry, marks
from bodymaps.geometry import Area
from bodymaps.marks import Mark

KIND = "ache"

Choice = TypeVar("Choice")

# --- What is drawn of the pain ---

# Pain in both views: the view with less of it is forgotten this often. Turning the figure over is a step that
# patients skip, mostly for the smaller part.
FORGETS_A_VIEW = 0.15
# The spillover is drawn at all this often: pain that comes and goes, or is weak, is left out.
DRAWS_SPILLOVER = 0.5
# ... and then as far as this (mm) from the core: people shade what adjoins what hurts most, and stop
# somewhere.
SPILLOVER_REACH = (20.0, 160.0)
# A patch is drawn whole this often, otherwise only the part of its length given by the range, at either end
# or between: the worst of it, the end that bothers today.
WHOLE_PATCH = 0.8
PART_OF_PATCH = (0.5, 0.9)
# One of several patches is left out this often, never the last.
LEAVES_A_PATCH = 0.1
# A patch is drawn generously this often, by so many mm all round: "it is all here".
GENEROUS = 0.15
GENEROUS_MM = (4.0, 12.0)

# --- Where the hand puts it ---

# The whole of a view is off by this much (mm, SD along each axis), as by eye from one's own body to a figure
# of about 30 cm on a tablet; each patch by this much besides. Nib, turns of the hand and parts left out add
# to it; with 6 and 5 two drawings were far less alike (0.42) than those of patients are.
VIEW_OFF = 3.5
PATCH_OFF = 2.5
# A patch is drawn larger or smaller by this (SD of the factor), and drawn out so much (SD of the ratio of its
# sides).
SIZE_OFF = 0.08
STRETCH_OFF = 0.06
# The edge wanders by this (mm, SD of each of three waves along each axis) in waves of this length (mm).
WANDER = 2.5
WAVES = (40.0, 140.0)
# Some keep off the edge of the body by this much (mm): a finger near the line fears to go over it.
KEEPS_OFF_EDGE = 0.3
OFF_EDGE_MM = 6.0

# --- How the hand fills it ---

# Width of the ink (mm on the figure) and how often: stylus or small nib, usual nib, finger or large nib.
NIBS = ((6.0, 0.25), (12.0, 0.45), (24.0, 0.3))
# Who finds the nib wider than the pain takes a smaller one, or enlarges the figure, this often.
FITS_NIB = 0.7
# One way of filling a drawing: to and fro without lifting, single lines with gaps, or a line round it.
STYLES = (("shade", 0.6), ("hatch", 0.15), ("encircle", 0.25))
# Distance of the lines in nibs: shading overlaps or just about, hatching leaves most of a nib between.
SHADE_LINES = (0.6, 0.95)
HATCH_LINES = (1.15, 1.7)
# Direction of the lines (degrees from the horizontal): mean and SD of a hand that pulls from upper right to
# lower left; left-handers, one in ten, the other way.
SLANT = (50.0, 20.0)
LEFT_HANDED = 0.1
# Where a line ends beyond (or short of) the edge of what is meant, in mm: mean and SD. Half the nib lies
# beyond the end of the line anyway, so the hand turns a little before the edge.
TURNS = (-1.0, 3.0)
# A hatched line is missing this often.
MISSING_LINE = 0.08
# A ring runs along the edge, off by this (mm, mean and SD; half of its ink lies outside of it), and rounds
# off what is narrower than twice RING_ROUNDS.
RING_OUT = (0.0, 4.0)
RING_ROUNDS = 12.0
# A patch narrower than this many nibs is not filled but drawn with one line along its middle.
ONE_LINE = 1.3

# --- What does not belong to it ---

# A drawing has stray marks this often, up to so many: a touch of the ball of the hand, a slip, an old pain
# pointed at. Each is a short line of this length (mm), mostly not far from the drawing (SD in mm).
STRAY = 0.25
MOST_STRAY = 3
STRAY_LENGTH = (0.0, 40.0)
STRAY_FAR = 120.0
# Another pain, a round one of this radius (mm) anywhere in the view, is drawn along this often.
OTHER_PAIN = 0.05
OTHER_RADIUS = (12.0, 35.0)

# A drawing that misses the body altogether is no drawing: the patient tries again, at most this often.
TRIES = 20


def redrawn(zones: Mapping[tuple[str, str], Area], rng: random.Random) -> list[Mark]:
    """Marks of kind "ache", at most one a view, front first, as a patient with pain in exactly these zones
    (keys: view and "core" or "spillover"; figure mm) may draw them. The same state of `rng` gives the same
    marks. No zone with any area is no mark.
    """
    outlines = marks.body_outlines()
    if all(area.is_empty for area in zones.values()):
        return []
    for _ in range(TRIES):
        felt = _felt(zones, rng)
        hand = _Hand(rng, max(_width(area) for area in felt.values()))
        found = [
            Mark(view, KIND, area)
            for view in sorted(felt, key=lambda view: view != "front")
            if not (area := marks.clipped(hand.drawn(felt[view], outlines[view]), outlines[view])).is_empty
        ]
        if found:
            return found
    return []


def _felt(zones: Mapping[tuple[str, str], Area], rng: random.Random) -> dict[str, Area]:
    """What the patient means to draw, by view."""
    spills, reach = rng.random() < DRAWS_SPILLOVER, rng.uniform(*SPILLOVER_REACH)
    found = {}
    for view in ("front", "back"):
        core = zones.get((view, "core"), geometry.EMPTY)
        spillover = zones.get((view, "spillover"), geometry.EMPTY)
        if spills and not spillover.is_empty:
            # A view with spillover alone is drawn as far as the spillover itself goes.
            near = spillover if core.is_empty else geometry.overlap(spillover, geometry.widen(core, reach))
            core = geometry.unite([core, near])
        if not core.is_empty:
            found[view] = core
    if not found:
        # Nothing but spillover is left of the pain, and it is the pain the patient came with.
        found = {view: area for (view, _), area in zones.items() if not area.is_empty}
    forgets = rng.random() < FORGETS_A_VIEW
    if forgets and len(found) == 2:
        del found[min(found, key=lambda view: (found[view].area, view))]
    return found


class _Hand:
    """One patient at one drawing: nib, style and slant stay as they are while it is drawn."""

    def __init__(self, rng: random.Random, width: float) -> None:
        """`width` (mm) of the widest place of the pain."""
        self.rng = rng
        nib, fits = _one_of(NIBS, rng), rng.random() < FITS_NIB
        self.nib = (
            min(nib, max((one for one, _ in NIBS if one <= width), default=NIBS[0][0])) if fits else nib
        )
        self.style = _one_of(STYLES, rng)
        slant = rng.gauss(*SLANT)
        self.slant = math.radians(180 - slant if rng.random() < LEFT_HANDED else slant)
        self.lines = self.nib * rng.uniform(*(HATCH_LINES if self.style == "hatch" else SHADE_LINES))
        self.off_edge = rng.random() < KEEPS_OFF_EDGE

    def drawn(self, meant: Area, outline: Area) -> Area:
        """The ink of one view, not yet clipped to the body."""
        shift = (self.rng.gauss(0, VIEW_OFF), self.rng.gauss(0, VIEW_OFF))
        allowed = geometry.widen(outline, -OFF_EDGE_MM) if self.off_edge else outline
        ink = [
            self.filled(shape)
            for patch in self.kept(geometry.patches_of(meant))
            if not (shape := geometry.overlap(self.placed(patch, shift), allowed)).is_empty
        ]
        return geometry.unite([*ink, *self.strays(meant, outline)])

    def kept(self, patches: Sequence[Area]) -> list[Area]:
        """The patches that are drawn, each whole or in part."""
        left = [patch for patch in patches if self.rng.random() >= LEAVES_A_PATCH]
        return [self.part(patch) for patch in left or [max(patches, key=lambda patch: patch.area)]]

    def part(self, patch: Area) -> Area:
        if self.rng.random() < WHOLE_PATCH:
            return patch
        share = self.rng.uniform(*PART_OF_PATCH)
        start = self.rng.choice((0.0, 1 - share, self.rng.uniform(0, 1 - share)))
        return geometry.slice_between(patch, geometry.long_axis(patch), start, start + share)

    def placed(self, patch: Area, shift: tuple[float, float]) -> Area:
        """The patch as the hand puts it on the figure: off its place, of another size, with a wandering
        edge.
        """
        rng = self.rng
        if rng.random() < GENEROUS:
            patch = geometry.widen(patch, rng.uniform(*GENEROUS_MM))
        size = max(0.5, rng.gauss(1, SIZE_OFF))
        stretch = max(0.7, rng.gauss(1, STRETCH_OFF))
        moved = translate(
            scale(patch, size * stretch, size / stretch),
            shift[0] + rng.gauss(0, PATCH_OFF),
            shift[1] + rng.gauss(0, PATCH_OFF),
        )
        return geometry.repaired(self.wandering(moved))

    def wandering(self, patch: Area) -> Area:
        """The patch with every point displaced by slow waves."""
        rng = self.rng
        waves = [
            (
                2 * math.pi / rng.uniform(*WAVES),
                rng.uniform(0, 2 * math.pi),
                rng.uniform(0, 2 * math.pi),
                rng.gauss(0, WANDER),
                rng.gauss(0, WANDER),
            )
            for _ in range(3)
        ]

        def displaced(points: np.ndarray) -> np.ndarray:
            moved = points.copy()
            for number, direction, phase, x, y in waves:
                along = points[:, 0] * math.cos(direction) + points[:, 1] * math.sin(direction)
                wave = np.sin(number * along + phase)
                moved[:, 0] += x * wave
                moved[:, 1] += y * wave
            return moved

        return geometry.as_area(shapely.transform(shapely.segmentize(patch, 8.0), displaced))

    def filled(self, shape: Area) -> Area:
        """The ink that fills the shape in the patient's way."""
        if geometry.widen(shape, -ONE_LINE * self.nib / 2).is_empty:
            return self.one_line(shape)
        if self.style == "encircle":
            return self.ring(shape)
        return self.swept(shape)

    def one_line(self, shape: Area) -> Area:
        """A line along the middle of a narrow shape, or a touch on a small one."""
        ink = [self.stroke(self._middle(patch)) for patch in geometry.patches_of(shape)]
        return geometry.unite(ink)

    def _middle(self, patch: Area) -> list[tuple[float, float]]:
        axis = geometry.long_axis(patch)
        slices = (geometry.slice_between(patch, axis, at / 6, (at + 1) / 6) for at in range(6))
        middles = [shapely.centroid(one) for one in slices if not one.is_empty]
        return [(middle.x + self.rng.gauss(0, 1.5), middle.y + self.rng.gauss(0, 1.5)) for middle in middles]

    def ring(self, shape: Area) -> Area:
        """What a line round the shape surrounds, with the line itself: the rule of the board."""
        round_it = geometry.rounded(geometry.widen(shape, self.rng.gauss(*RING_OUT)), RING_ROUNDS)
        ink = []
        for patch in geometry.patches_of(round_it):
            line = geometry.rings_of(geometry.thinned_outline(patch, 1.0), 3)[0][0]
            places = [(x, y) for x, y in line]
            ink.append(geometry.unite([self.stroke(places, thin=True), geometry.ring_repaired(places)]))
        # A shape that rounding makes vanish is smaller than a ring can be drawn: it is filled.
        return geometry.unite(ink) if ink else self.swept(shape)

    def stroke(self, places: Sequence[tuple[float, float]], thin: bool = False) -> Area:
        return geometry.paint_line(places, min(self.nib, 12.0) if thin else self.nib)

    def swept(self, shape: Area) -> Area:
        """Lines side by side, each to about the edge: to and fro without lifting, or one by one."""
        ink = [self.stroke(line) for line in self.sweeps(shape)]
        return geometry.unite(ink)

    def sweeps(self, shape: Area) -> list[list[tuple[float, float]]]:
        dx, dy = math.cos(self.slant), -math.sin(self.slant)
        x0, y0 = shapely.centroid(shape).coords[0]
        left, top, right, bottom = shape.bounds
        reach = math.hypot(right - left, bottom - top)
        # The nib covers half of itself beyond the end of each line.
        inner = geometry.widen(shape, -self.nib / 3)
        count = int(reach / self.lines) + 1
        first = self.rng.uniform(-0.5, 0.5) * self.lines
        found: list[list[tuple[float, float]]] = []
        for number in range(-count, count + 1):
            off = first + number * self.lines + self.rng.gauss(0, 0.08 * self.lines)
            middle = (x0 - dy * off, y0 + dx * off)
            whole = [
                (middle[0] - dx * reach, middle[1] - dy * reach),
                (middle[0] + dx * reach, middle[1] + dy * reach),
            ]
            for line in geometry.lines_inside([whole], inner):
                if not line or self.style == "hatch" and self.rng.random() < MISSING_LINE:
                    continue
                found.append(self.ended(line[0], line[-1], (dx, dy)))
        return found if self.style == "hatch" else self.joined(found)

    def ended(
        self, start: tuple[float, float], end: tuple[float, float], along: tuple[float, float]
    ) -> list[tuple[float, float]]:
        """The line with both ends a little beyond or short of the edge; never turned round."""
        length = math.dist(start, end)
        before, after = (max(self.rng.gauss(*TURNS), -0.45 * length) for _ in range(2))
        dx, dy = along
        return [(start[0] - dx * before, start[1] - dy * before), (end[0] + dx * after, end[1] + dy * after)]

    def joined(self, lines: Sequence[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
        """Neighbouring lines as one line to and fro; where the next lies farther off, the pen is lifted."""
        found: list[list[tuple[float, float]]] = []
        for line in lines:
            turned = line if not found or len(found[-1]) % 4 == 0 else line[::-1]
            if found and math.dist(found[-1][-1], turned[0]) <= 2.5 * self.lines + 10:
                found[-1].extend(turned)
            else:
                found.append(list(line))
        return found

    def strays(self, meant: Area, outline: Area) -> list[Area]:
        """Ink that belongs to something else, or to nothing."""
        rng, ink = self.rng, []
        if rng.random() < STRAY:
            x, y = shapely.centroid(meant).coords[0]
            for _ in range(rng.randint(1, MOST_STRAY)):
                start = (x + rng.gauss(0, STRAY_FAR), y + rng.gauss(0, STRAY_FAR))
                length, turn = rng.uniform(*STRAY_LENGTH), rng.uniform(0, 2 * math.pi)
                end = (start[0] + length * math.cos(turn), start[1] + length * math.sin(turn))
                ink.append(self.stroke([start, end]))
        if rng.random() < OTHER_PAIN:
            left, top, right, bottom = outline.bounds
            place = (rng.uniform(left, right), rng.uniform(top, bottom))
            ink.append(geometry.paint_line([place], 2 * rng.uniform(*OTHER_RADIUS)))
        return ink


def _width(area: Area) -> float:
    """mm across the largest circle that fits inside."""
    return 2 * float(shapely.maximum_inscribed_circle(area, tolerance=1.0).length)


def _one_of(choices: Sequence[tuple[Choice, float]], rng: random.Random) -> Choice:
    """One of the choices by its chance."""
    return rng.choices([one for one, _ in choices], [chance for _, chance in choices])[0]

"""Speeds of the geometry: `python -m bodymaps.making.bench` prints them; `make bench` joins them with the
others.
"""

from __future__ import annotations

import math
import random
import time
import uuid
from collections.abc import Callable, Sequence
from functools import cache, partial
from statistics import mean, median

from bodymaps import (
    areas,
    atlas,
    candidates,
    compare,
    explain,
    figure,
    geometry,
    marks,
    matching,
    skin,
    spine,
)
from bodymaps.atlas import SIDES
from bodymaps.geometry import Area
from bodymaps.making import bits, exact, redraw
from bodymaps.marks import Mark
from bodymaps.reasoning import case, evidence, examine_next
from bodymaps.reasoning import drawn as drawings
from bodymaps.reasoning.conditions import Facts
from bodymaps.strokes import Point, Stroke

ROUNDS = 40
# A story and a neuro screen, for the evidence.
TOLD = {
    "age": 50,
    "history": {"onset": "gradual", "brings_on": ["arm_overhead", "carry"], "eases": ["heat", "arm_support"]},
    "findings": {
        "touch:C6": {"right": "1", "left": "2"},
        "strength:C6": {"right": "4", "left": "5"},
        "reflex:brachioradialis": {"right": "1", "left": "2"},
        "tension:median": {"right": "positive"},
        "neck:spurling": {"right": "positive"},
        "neck:distraction": {"right": "positive"},
        "neck:rotation": {"right": 50},
    },
}
# Drawings of the trials whose scores are held against exact geometry.
TRIED = 10


def drawing(vertices: int = 200) -> tuple[Mark, ...]:
    """A drawing of about `vertices` vertices: a wavy patch on the front of the shoulder and arm, one behind
    it.
    """
    x, y = _landmark("front", "humeral_head")
    bx, by = _landmark("back", "scapula_centre")
    edges = marks.body_outlines()
    patches = [
        ("front", _wavy(x, y + 50, 45, 110, vertices // 2)),
        ("back", _wavy(bx, by, 60, 60, vertices // 2)),
    ]
    return tuple(Mark(view, "ache", marks.clipped(area, edges[view])) for view, area in patches)


def _landmark(view: str, landmark: str) -> tuple[float, float]:
    return figure.load().landmark(view, landmark)


def _wavy(x: float, y: float, wide: float, high: float, count: int) -> Area:
    turns = [2 * math.pi * n / count for n in range(count)]
    swell = [1 + 0.12 * math.sin(9 * turn) for turn in turns]
    ring = [
        (x + wide * s * math.cos(turn), y + high * s * math.sin(turn))
        for turn, s in zip(turns, swell, strict=True)
    ]
    return geometry.area_from_rings([ring])


def strokes(count: int = 12, points: int = 120) -> list[Stroke]:
    """Shading to and fro over the shoulder blade, as a hand does it."""
    x, y = _landmark("back", "scapula_centre")
    return [
        Stroke(
            id=str(uuid.UUID(int=seq, version=4)),
            seq=seq,
            view="back",
            kind="ache",
            mode="shade",
            nib_mm=16,
            points=tuple(
                Point(x - 60 + n + 4 * seq, y + 40 * math.sin(n / 2) + 3 * seq, 0.5, 16.0 * n)
                for n in range(points)
            ),
        )
        for seq in range(1, count + 1)
    ]


def _apart() -> list[tuple[Mark, ...]]:
    """Three areas: shoulder and arm, shoulder blade, and the side of the head."""
    front, back = drawing()
    x, y = _landmark("front", "temple")
    edges = marks.body_outlines()
    head = Mark("front", "ache", marks.clipped(_wavy(x, y, 40, 50, 100), edges["front"]))
    return [(front,), (back,), (head,)]


def scribble(points: int = 205) -> tuple[Mark, ...]:
    """A dense scribble over the whole back: lines to and fro that leave gaps, some 2,400 vertices."""
    x, y = _landmark("back", "scapula_centre")
    line = [
        (x - 110 + 60 * math.sin(n / 9) + 190 * (n % 2), y - 60 + 1.9 * n + 6 * math.sin(n))
        for n in range(points)
    ]
    ink = geometry.paint_line(line, 4)
    return (Mark("back", "ache", marks.clipped(ink, marks.body_outlines()["back"])),)


def vertices(drawn: Sequence[Mark]) -> int:
    return sum(
        len(ring) - 1 for mark in drawn for polygon in geometry.rings_of(mark.area) for ring in polygon
    )


@cache
def all_zones() -> list[tuple[str, Area]]:
    """Every zone of every pattern of every layer, on every side it has: view and area (mm)."""
    held = atlas.load()
    muscles = [
        (zone.view, zone.area) for one in held.muscles for side in SIDES for zone in held.zones(one, side)
    ]
    roots = [item for one in held.dermatomes for side in SIDES for item in held.dermatome(one, side).items()]
    others = [
        (zone.view, zone.area)
        for layer, structures in held.structures.items()
        for one in structures.values()
        for side in one.held_sides
        for zone in held.structure_zones(layer, one.id, side)
    ]
    return [*muscles, *roots, *others]


def plain_loop(drawn: Sequence[Mark]) -> float:
    """The simplest thing that could rank: every zone against every mark, mm² they share. No score yet."""
    return sum(
        float(geometry.overlap(mark.area, area).area)
        for view, area in all_zones()
        for mark in drawn
        if mark.view == view
    )


def errors(drawings: Sequence[Sequence[Mark]]) -> tuple[float, float]:
    """How far the scores of the cells are from exact geometry, all sites that score: greatest and mean."""
    held, found = atlas.load(), []
    index = matching.index(held, skin.load())
    for drawn in drawings:
        whole, right = matching.counted(drawn, index), exact.scores(drawn, held)
        if whole is None:
            continue
        for one, score in zip(index.candidates, whole.scores, strict=True):
            wanted = right.get((one.id, one.side, one.site), 0.0) if one.layer == candidates.PATTERN else 0.0
            if wanted > 0:
                found.append(abs(float(score) - wanted))
    return max(found), mean(found)


def timed(work: Callable[[], object], rounds: int = ROUNDS) -> tuple[float, float]:
    """Median and 95th percentile in ms, after one round that fills the caches."""
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return median(times), sorted(times)[math.ceil(0.95 * rounds) - 1]


def lines() -> list[str]:
    """What is printed: one line for each speed."""
    start = time.perf_counter()
    held = atlas.load()
    loading = 1000 * (time.perf_counter() - start)
    start = time.perf_counter()
    matching.warm_up(held)
    indexing = 1000 * (time.perf_counter() - start)
    pen, long, three = strokes(), strokes(60), _apart()
    paint, paint_slow = timed(lambda: marks.paint(pen))
    group, group_slow = timed(lambda: areas.group(long), rounds=10)
    whole, whole_slow = timed(lambda: explain.explain(three, held))
    return [
        f"atlas: loaded and checked {loading:.0f} ms cold, as cells {indexing:.0f} ms, each once per process",
        *ranking_lines(held),
        f"painting {len(pen)} strokes of 120 points: median {paint:.1f} ms, p95 {paint_slow:.1f} ms",
        f"grouping {len(long)} strokes of 120 points: median {group:.1f} ms, p95 {group_slow:.1f} ms",
        f"explaining {len(three)} areas: median {whole:.1f} ms, p95 {whole_slow:.1f} ms",
        judging_line(held),
        proposing_line(held),
        comparing_line(held),
    ]


def judging_line(held: atlas.Atlas) -> str:
    """How long story and findings take beside a ranking that is there."""
    pain = drawing()
    ranking, facts = matching.rank(list(pain), held), Facts(case.read(TOLD), drawings.of(pain))
    start = time.perf_counter()
    evidence.warm_up(held)
    reading = 1000 * (time.perf_counter() - start)
    judging, slow = timed(lambda: evidence.judge(ranking, facts, held))
    count = len(evidence.judge(ranking, facts, held).order)
    return (
        f"story and findings against all candidates, {count} in the order: median {judging:.1f} ms, p95 "
        f"{slow:.1f} ms; {len(evidence.rules())} rules read in {reading:.0f} ms, once per process"
    )


def proposing_line(held: atlas.Atlas) -> str:
    """How long it takes to say what to examine next, beside judging in the same run."""
    pain = drawing()
    ranking, facts = matching.rank(list(pain), held), Facts(case.read(TOLD), drawings.of(pain))
    examine_next.warm_up(held)
    judged = evidence.judge(ranking, facts, held)
    proposing, slow = timed(lambda: examine_next.proposals(judged, facts, held, ranking))
    judging, _ = timed(lambda: evidence.judge(ranking, facts, held))
    count = len(examine_next.proposals(judged, facts, held, ranking))
    return (
        f"what to examine next, {count} proposals: median {proposing:.1f} ms, p95 {slow:.1f} ms, "
        f"{proposing / judging:.1f} times as long as judging story and findings"
    )


def comparing_line(held: atlas.Atlas) -> str:
    """Two drawings laid over each other, beside ranking one of them in the same run."""
    first, second = drawing(), moved()
    start = time.perf_counter()
    spine.ways(skin.load())
    walking = 1000 * (time.perf_counter() - start)
    laying, slow = timed(lambda: compare.compare(first, second))
    ranking, _ = timed(lambda: matching.rank(list(first), held))
    return (
        f"laying two drawings of {vertices(first)} and {vertices(second)} vertices over each other: median "
        f"{laying:.1f} ms, p95 {slow:.1f} ms, {laying / ranking:.1f} times as long as ranking one; the ways "
        f"from the spine {walking:.0f} ms, once per process"
    )


def moved(by: float = 22.0) -> tuple[Mark, ...]:
    """The drawing with another kind behind and all of it lower by so many mm, as at a later visit."""
    edges, kinds = marks.body_outlines(), {"front": "ache", "back": "tingling"}
    return tuple(
        Mark(one.view, kinds[one.view], marks.clipped(_lower(one.area, by), edges[one.view]))
        for one in drawing(240)
    )


def _lower(area: Area, by: float) -> Area:
    rings = geometry.rings_of(area, 3)
    return geometry.area_from_polygons(
        [[[(x, y + by) for x, y in ring] for ring in polygon] for polygon in rings]
    )


def ranking_lines(held: atlas.Atlas) -> list[str]:
    """The ranking as shipped beside two other ways to count, and how far its scores are from exact."""
    index = matching.index(held, skin.load())
    start = time.perf_counter()
    packed = bits.masks(index)
    packing = 1000 * (time.perf_counter() - start)
    found = []
    drawings = (drawing(), scribble())
    for drawn in drawings:
        here = list(drawn)
        middle, slow = timed(partial(matching.rank, here, held))
        score, _ = timed(partial(matching.counted, here, index))
        masked, _ = timed(partial(packed.scores, here))
        loop, _ = timed(partial(plain_loop, here), rounds=3)
        found += [
            f"ranking a drawing of {vertices(here):,} vertices against {len(index.candidates)} patterns, with"
            f" reasons and notices: median {middle:.1f} ms, p95 {slow:.1f} ms",
            f"  scores alone: cells {score:.1f} ms; packed bits {masked:.1f} ms; intersections of all "
            f"{len(all_zones())} zones, no score yet, {loop:.1f} ms",
        ]
    worst, usual = errors([*drawings, *trial_drawings(held)])
    return [
        *found,
        f"  packed bits take {packed.bits.nbytes / 1e6:.0f} MB and {packing:.0f} ms to make, the cells "
        f"{(index.entries.nbytes + index.starts.nbytes) / 1e6:.0f} MB",
        f"  scores against exact geometry, {len(drawings) + TRIED} drawings: greatest error {worst:.4f}, "
        f"mean {usual:.5f}",
    ]


def trial_drawings(held: atlas.Atlas) -> list[list[Mark]]:
    """Drawings as the benchmark of the ranking makes them, of muscles from head to foot."""
    step = max(1, len(held.muscles) // TRIED)
    chosen = list(held.muscles.values())[::step][:TRIED]
    return [redraw.redrawn(one.sites[0].zones, random.Random(one.id)) for one in chosen]  # noqa: S311 - fixed


if __name__ == "__main__":
    print("\n".join(lines()))

"""Speeds of the geometry: `python -m bodymaps.making.bench` prints them; `make bench` joins them with the
others.
"""

from __future__ import annotations

import math
import time
import uuid
from collections.abc import Callable
from statistics import median

from bodymaps import areas, atlas, explain, figure, geometry, marks, matching
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.strokes import Point, Stroke

ROUNDS = 40


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


def plain_loop(drawn: tuple[Mark, ...], held: atlas.Atlas) -> float:
    """The simplest thing that could rank: every zone of every muscle and side against every mark."""
    total = 0.0
    for zone in _all_zones(held):
        total += sum(
            float(geometry.overlap(mark.area, zone.area).area) for mark in drawn if mark.view == zone.view
        )
    return total


def _all_zones(held: atlas.Atlas) -> list[atlas.Zone]:
    if not _ZONES:
        _ZONES.extend(
            zone for muscle in held.muscles for side in atlas.SIDES for zone in held.zones(muscle, side)
        )
    return _ZONES


_ZONES: list[atlas.Zone] = []


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
    drawn, pen = drawing(), strokes()
    vertices = sum(len(r) - 1 for mark in drawn for polygon in geometry.rings_of(mark.area) for r in polygon)
    middle, slow = timed(lambda: matching.rank(drawn, held))
    loop, _ = timed(lambda: plain_loop(drawn, held))
    paint, paint_slow = timed(lambda: marks.paint(pen))
    long = strokes(60)
    group, group_slow = timed(lambda: areas.group(long), rounds=10)
    three = _apart()
    whole, whole_slow = timed(lambda: explain.explain(three, held))
    return [
        f"atlas: load and check {loading:.0f} ms, cut up by patches {indexing:.0f} ms, each once per process",
        f"ranking a drawing of {vertices} vertices: median {middle:.1f} ms, p95 {slow:.1f} ms",
        f"  plain loop over {len(_ZONES)} zones: median {loop:.1f} ms, ratio {middle / loop:.2f}",
        f"painting {len(pen)} strokes of 120 points: median {paint:.1f} ms, p95 {paint_slow:.1f} ms",
        f"grouping {len(long)} strokes of 120 points: median {group:.1f} ms, p95 {group_slow:.1f} ms",
        f"explaining {len(three)} areas: median {whole:.1f} ms, p95 {whole_slow:.1f} ms",
    ]


if __name__ == "__main__":
    print("\n".join(lines()))

"""The painting rule paint-2: what strokes mean, whatever the order they arrive in."""

from __future__ import annotations

import math
import random
import uuid
from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodymaps import geometry, marks
from bodymaps.marks import Mark
from bodymaps.strokes import Point, Stroke
from tests.bodymaps.pictures import area, rows, shown

# A body 300 mm wide and 200 mm high, the same in both views.
BODY = {"front": geometry.box(0, 0, 300, 200), "back": geometry.box(0, 0, 300, 200)}


def stroke(
    points: list[tuple[float, float]],
    seq: int = 1,
    mode: str = "shade",
    nib: float = 20,
    kind: str | None = "ache",
    view: str = "front",
    pressure: float = 0.5,
    layer: str = "",
) -> Stroke:
    return Stroke(
        id=str(uuid.UUID(int=seq, version=4)),
        seq=seq,
        view=view,
        kind=None if mode in ("erase", "spot") else kind,
        mode=mode,
        nib_mm=nib,
        points=tuple(Point(x, y, pressure, float(n)) for n, (x, y) in enumerate(points)),
        layer=layer,
    )


def paint(*strokes: Stroke) -> tuple[Mark, ...]:
    return marks.paint(strokes, BODY)


def only(*strokes: Stroke) -> Mark:
    painted = paint(*strokes)
    assert len(painted) == 1
    return painted[0]


def test_a_line_is_as_wide_as_the_nib_with_round_ends() -> None:
    mark = only(stroke([(50, 100), (150, 100)], nib=20))
    assert mark.area.area == pytest.approx(100 * 20 + pi * 10**2, rel=0.002)
    assert mark.area.bounds == pytest.approx((40, 90, 160, 110), abs=0.01)


def test_a_tap_is_a_disc_and_is_known_as_a_tap() -> None:
    mark = only(stroke([(100, 100)], nib=20))
    assert mark.tap
    assert mark.area.area == pytest.approx(pi * 100, rel=0.01)


def test_a_pen_that_never_moves_is_a_tap() -> None:
    assert only(stroke([(100, 100)] * 30)).tap
    assert not only(stroke([(100, 100), (103, 100)])).tap


def test_two_taps_of_a_kind_are_no_lone_tap() -> None:
    assert not only(stroke([(100, 100)]), stroke([(200, 100)], seq=2)).tap


def test_a_tap_repeated_in_one_place_is_still_one_tap() -> None:
    assert only(stroke([(100, 100)]), stroke([(100.4, 100)], seq=2)).tap


def test_an_encircled_area_is_filled() -> None:
    mark = only(stroke([(50, 50), (150, 50), (150, 150), (50, 150)], mode="area", nib=1))
    assert shown(mark.area, 20, 20) == rows(RING_FILLED)


RING_FILLED = "\n".join(
    "".join("#" if 5 <= x < 15 and 5 <= y < 15 else "." for x in range(20)) for y in range(20)
)


def test_a_ring_that_crosses_itself_fills_both_loops() -> None:
    bow_tie = [(50, 50), (150, 150), (150, 50), (50, 150)]
    mark = only(stroke(bow_tie, mode="area", nib=1))
    for x in (60, 140):
        assert geometry.holds_point(mark.area, x, 100)


def test_a_loop_gone_round_twice_stays_filled() -> None:
    twice = [(150 + 60 * math.cos(t / 10), 100 + 60 * math.sin(t / 10)) for t in range(126)]
    assert geometry.holds_point(only(stroke(twice, mode="area", nib=1)).area, 150, 100)


def test_an_area_of_two_points_is_the_line() -> None:
    line = [(50.0, 100.0), (150.0, 100.0)]
    assert only(stroke(line, mode="area")).area.equals(only(stroke(line)).area)


def test_nothing_is_painted_beside_the_body() -> None:
    assert paint(stroke([(-500, 100), (-400, 100)])) == ()
    half = only(stroke([(0, 100), (100, 100)]))
    assert half.area.bounds[0] == 0


def test_the_kinds_and_views_are_kept_apart_in_a_fixed_order() -> None:
    line = [(50.0, 100.0), (150.0, 100.0)]
    painted = paint(
        stroke(line, seq=1, kind="numbness"),
        stroke(line, seq=2, kind="ache", view="back"),
        stroke(line, seq=3, kind="ache"),
    )
    assert [(mark.view, mark.kind) for mark in painted] == [
        ("front", "ache"),
        ("front", "numbness"),
        ("back", "ache"),
    ]


def test_pressure_and_time_never_change_the_area() -> None:
    line = [(50.0, 100.0), (150.0, 100.0)]
    assert only(stroke(line, pressure=0.1)).area.equals_exact(only(stroke(line, pressure=1)).area, 0)


def test_the_eraser_takes_away_from_every_kind_of_its_view() -> None:
    line = [(50.0, 100.0), (250.0, 100.0)]
    painted = paint(
        stroke(line, seq=1),
        stroke(line, seq=2, kind="burning"),
        stroke(line, seq=3, view="back"),
        stroke([(150, 0), (150, 200)], seq=4, mode="erase", nib=40),
    )
    for mark in painted:
        assert geometry.holds_point(mark.area, 150, 100) is (mark.view == "back")
        assert geometry.holds_point(mark.area, 100, 100)


def test_what_is_drawn_after_the_eraser_stays() -> None:
    line = [(50.0, 100.0), (250.0, 100.0)]
    eraser = stroke([(0, 100), (300, 100)], seq=2, mode="erase", nib=60)
    assert paint(stroke(line, seq=1), eraser) == ()
    assert only(stroke(line, seq=3), eraser).area.area > 0


def test_the_order_of_the_eraser_is_that_of_the_numbers_not_of_arrival() -> None:
    line = stroke([(50, 100), (250, 100)], seq=1)
    eraser = stroke([(150, 0), (150, 200)], seq=2, mode="erase", nib=40)
    again = stroke([(140, 100), (160, 100)], seq=3)
    in_order, shuffled = only(line, eraser, again), only(again, line, eraser)
    assert in_order.area.equals_exact(shuffled.area, 0)


ACROSS = [(50.0, 100.0), (250.0, 100.0)]
DOWN = [(150.0, 0.0), (150.0, 200.0)]


def test_the_eraser_only_reaches_its_own_layer() -> None:
    painted = paint(
        stroke(ACROSS, 1, layer="patient"),
        stroke(ACROSS, 2, layer="helper"),
        stroke(ACROSS, 3, kind="tender_spot", layer="clinician"),
        stroke(DOWN, 4, "erase", 40, layer="helper"),
    )
    left = {mark.layer: geometry.holds_point(mark.area, 150, 100) for mark in painted}
    assert left == {"patient": True, "helper": False, "clinician": True}


def test_each_layer_has_its_own_mark_and_the_findings_come_last() -> None:
    painted = paint(
        stroke(ACROSS, 1, kind="less_feeling", layer="clinician"),
        stroke(ACROSS, 2, layer="patient"),
        stroke(ACROSS, 3, layer="helper"),
        stroke(ACROSS, 4, kind="burning", layer="helper"),
    )
    assert [(mark.kind, mark.layer) for mark in painted] == [
        ("ache", "helper"),
        ("ache", "patient"),
        ("burning", "helper"),
        ("less_feeling", "clinician"),
    ]
    assert [mark.kind for mark in marks.symptoms(painted)] == ["ache", "ache", "burning"]
    assert [mark.kind for mark in marks.findings(painted)] == ["less_feeling"]


def test_a_worst_spot_paints_nothing() -> None:
    assert paint(stroke([(150, 100)], mode="spot")) == ()
    line = stroke(ACROSS, 1)
    assert paint(line, stroke([(150, 100)], 2, "spot")) == paint(line)


def test_the_latest_worst_spot_of_each_layer_counts() -> None:
    found = marks.spots(
        [
            stroke([(20, 30)], 5, "spot", layer="patient", view="back"),
            stroke([(99, 99)], 2, "spot", layer="patient"),
            stroke([(40, 50)], 3, "spot", layer="helper"),
            stroke([(1, 1)], 9, layer="helper"),
        ]
    )
    assert found == (marks.Spot("helper", "front", 40, 50), marks.Spot("patient", "back", 20, 30))
    assert marks.spots([]) == ()


def paint_1(drawn: list[Stroke], kind: str) -> geometry.Area:
    """The rule before there were layers, written down once more: in order, united, the eraser takes away."""
    area, run = geometry.EMPTY, []
    for one in sorted(drawn, key=lambda one: (one.seq, one.id)):
        if one.mode == "erase":
            area, run = geometry.take_away(geometry.unite([area, *run]), marks.stroke_area(one)), []
        elif one.kind == kind:
            run.append(marks.stroke_area(one))
    return geometry.on_grid(geometry.overlap(geometry.unite([area, *run]), BODY["front"]))


@pytest.mark.parametrize("layer", ["", "patient"])
@pytest.mark.parametrize("seed", range(4))
def test_a_drawing_of_one_layer_is_painted_as_before_there_were_layers(seed: int, layer: str) -> None:
    drawn = [replace(one, layer=layer) for one in scribble(seed, 14)]
    before = {kind: paint_1(drawn, kind) for kind in ("ache", "burning")}
    now = {mark.kind: mark.area for mark in paint(*drawn)}
    assert now.keys() == {kind for kind, area in before.items() if not area.is_empty}
    assert all(area.equals_exact(before[kind], 0) for kind, area in now.items())


def scribble(seed: int, count: int, points: int = 40) -> list[Stroke]:
    dice = random.Random(seed)
    found = []
    for seq in range(1, count + 1):
        x, y = dice.uniform(20, 280), dice.uniform(20, 180)
        line = []
        for _ in range(points):
            x, y = x + dice.uniform(-12, 12), y + dice.uniform(-12, 12)
            line.append((x, y))
        mode = dice.choice(["shade", "shade", "area", "erase"])
        found.append(stroke(line, seq, mode, dice.choice([8, 16, 32]), dice.choice(["ache", "burning"])))
    return found


@pytest.mark.parametrize("seed", range(6))
def test_shuffled_resends_paint_the_same_bytes(seed: int) -> None:
    drawn = scribble(seed, 12)
    first = [(m.view, m.kind, geometry.rings_of(m.area, 3)) for m in paint(*drawn)]
    random.Random(seed + 100).shuffle(drawn)
    assert [(m.view, m.kind, geometry.rings_of(m.area, 3)) for m in paint(*drawn)] == first


lines = st.lists(
    st.tuples(st.floats(-50, 350, allow_nan=False), st.floats(-50, 250, allow_nan=False)),
    min_size=1,
    max_size=60,
)
some_strokes = st.lists(
    st.tuples(lines, st.sampled_from(["shade", "area", "erase"]), st.floats(1, 60)), min_size=1, max_size=5
)


def made(drawn: list[tuple[list[tuple[float, float]], str, float]]) -> list[Stroke]:
    return [stroke(line, seq, mode, nib) for seq, (line, mode, nib) in enumerate(drawn, start=1)]


@settings(max_examples=40, deadline=None)
@given(some_strokes)
def test_no_painting_covers_more_than_the_body(
    drawn: list[tuple[list[tuple[float, float]], str, float]],
) -> None:
    for mark in paint(*made(drawn)):
        assert not geometry.why_not_valid(mark.area)
        assert geometry.is_inside(mark.area, BODY["front"], 1e-3)


@settings(max_examples=30, deadline=None)
@given(some_strokes, lines, st.floats(1, 60))
def test_erasing_never_adds_and_shading_never_takes_away(
    drawn: list[tuple[list[tuple[float, float]], str, float]], line: list[tuple[float, float]], nib: float
) -> None:
    painted = paint(*made(drawn))
    # Snapping to the grid may move an edge by a grid step along its whole length.
    before, slack = total(painted), geometry.GRID * sum(float(mark.area.length) for mark in painted) + 1e-3
    seq = len(drawn) + 1
    assert total(paint(*made(drawn), stroke(line, seq, "erase", nib))) <= before + slack
    assert total(paint(*made(drawn), stroke(line, seq, "shade", nib))) >= before - slack


def total(painted: tuple[Mark, ...]) -> float:
    return sum(float(mark.area.area) for mark in painted)


def hatching(seq: int) -> Stroke:
    """120 points to and fro, as a hand shades."""
    line = [(60 + n + 10 * seq, 100 + 40 * math.sin(n / 2) + seq) for n in range(120)]
    return stroke(line, seq, nib=16)


def test_an_ascii_picture_and_its_area_agree() -> None:
    picture = """
    .##.
    .#..
    """
    assert shown(area(picture), 4, 2) == [".##.", ".#.."]


def test_a_number_too_small_to_see_is_no_trouble() -> None:
    plain, odd = [(0.0, 0.0), (100.0, 100.0)], [(0.0, -5e-219), (100.0, 100.0)]
    assert only(stroke(odd)).area.equals(only(stroke(plain)).area)

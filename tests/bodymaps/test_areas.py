"""Strokes grouped into numbered areas, on the real figure."""

from __future__ import annotations

import random
import uuid
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodymaps import areas, figure, geometry, marks
from bodymaps.areas import Decision
from bodymaps.making import bench
from bodymaps.strokes import Point, Stroke

Line = Sequence[tuple[float, float]]


def name(number: int) -> str:
    return str(uuid.UUID(int=number, version=4))


def stroke(
    number: int,
    points: Line,
    kind: str = "ache",
    view: str = "front",
    mode: str = "shade",
    layer: str = "patient",
    nib: float = 14,
) -> Stroke:
    return Stroke(
        id=name(number),
        seq=number,
        view=view,
        kind=None if mode in ("erase", "spot") else kind,
        mode=mode,
        nib_mm=nib,
        points=tuple(Point(x, y, 0.5, 0) for x, y in points),
        layer=layer,
    )


def level(number: int, y: float, x: float = 400, **more: object) -> Stroke:
    """A level line 60 mm long on the chest or the belly, its ink 14 mm high."""
    return stroke(number, [(x, y), (x + 60, y)], **more)  # type: ignore[arg-type]


def decision(seq: int, *strokes: int, together: bool) -> Decision:
    return Decision(seq, name(1000 + seq), tuple(name(number) for number in strokes), together)


def together(seq: int, *strokes: int) -> Decision:
    return decision(seq, *strokes, together=True)


def apart(seq: int, *strokes: int) -> Decision:
    return decision(seq, *strokes, together=False)


def grouped(strokes: Sequence[Stroke], *decisions: Decision) -> list[list[int]]:
    """The numbers of the strokes of each area."""
    numbers = {one.id: one.seq for one in strokes}
    found = areas.group(strokes, decisions)
    assert [area.number for area in found] == list(range(1, len(found) + 1))
    return [[numbers[one] for one in area.strokes] for area in found]


# What comes near is together.


def test_hatching_with_gaps_smaller_than_the_pen_is_one_area() -> None:
    assert grouped([level(1, 500), level(2, 528), level(3, 556)]) == [[1, 2, 3]]


def test_what_lies_farther_apart_is_two_areas_in_the_order_in_which_they_were_begun() -> None:
    assert grouped([level(1, 600), level(2, 500), level(3, 620)]) == [[1, 3], [2]]


def test_a_later_stroke_between_two_areas_makes_them_one() -> None:
    assert grouped([level(1, 500), level(2, 556)]) == [[1], [2]]
    assert grouped([level(1, 500), level(2, 556), level(3, 528)]) == [[1, 2, 3]]


def test_kinds_and_layers_of_one_place_are_one_area() -> None:
    drawn = [level(1, 500), level(2, 500, kind="burning"), level(3, 505, layer="helper")]
    assert grouped(drawn) == [[1, 2, 3]]


def test_findings_and_the_worst_spot_are_in_no_area() -> None:
    drawn = [
        level(1, 500, kind="tender_spot", layer="clinician"),
        stroke(2, [(430, 500)], mode="spot"),
        level(3, 700),
    ]
    assert grouped(drawn) == [[3]]


def test_nothing_drawn_is_no_area() -> None:
    assert areas.group([]) == ()
    assert areas.group([], [together(1, 2)]) == ()
    assert grouped([stroke(1, [(-300, 100), (-200, 100)])]) == []


# Round the edge of the figure. The right outer arm is at x = 225..270 in front, at 728..775 behind.

OUTER_ARM_IN_FRONT = [(240.0, 500.0), (232.0, 570.0)]
OUTER_ARM_BEHIND = [(760.0, 500.0), (768.0, 570.0)]


def test_the_silhouettes_of_the_two_views_are_mirror_images() -> None:
    """What uniting round the edge rests on."""
    front = geometry.mirrored(geometry.as_area(figure.load().view("front").body), 500)
    back = geometry.as_area(figure.load().view("back").body)
    differs = geometry.take_away(front, back).area + geometry.take_away(back, front).area
    assert differs < 0.004 * back.area
    assert geometry.is_inside(front, geometry.widen(back, 8), 0)
    assert geometry.is_inside(back, geometry.widen(front, 8), 0)


def test_the_outer_arm_shaded_in_front_and_behind_is_one_area() -> None:
    assert grouped([stroke(1, OUTER_ARM_IN_FRONT), stroke(2, OUTER_ARM_BEHIND, view="back")]) == [[1, 2]]


def test_the_other_arm_is_another_area() -> None:
    left_behind = [(1000 - x, y) for x, y in OUTER_ARM_BEHIND]
    assert grouped([stroke(1, OUTER_ARM_IN_FRONT), stroke(2, left_behind, view="back")]) == [[1], [2]]


def test_front_and_back_that_do_not_reach_the_edge_are_two_areas() -> None:
    assert grouped([level(1, 500), level(2, 500, x=540, view="back")]) == [[1], [2]]


def test_another_height_of_the_edge_is_another_area() -> None:
    forearm = [(815.0, 720.0), (825.0, 790.0)]
    assert grouped([stroke(1, OUTER_ARM_IN_FRONT), stroke(2, forearm, view="back")]) == [[1], [2]]


def test_a_sole_has_no_other_side() -> None:
    """The right sole stands at x = 822..913 of the back frame; a hand in front is no neighbour of it."""
    sole = geometry.as_area(figure.load().view("back").soles["right"])
    left, top, right, bottom = sole.bounds
    drawn = [
        stroke(1, [(left, top), (right, bottom)], view="back", nib=60),
        stroke(2, [(660, 1400), (680, 1590)], view="front"),
    ]
    assert grouped(drawn) == [[1], [2]]
    edge = geometry.strip_along_edges([sole], 1)
    assert geometry.overlap(edge, areas._rim("back")).is_empty


# What somebody decided.


def test_areas_are_put_together_with_all_they_hold() -> None:
    drawn = [level(1, 500), level(2, 520), level(3, 700), level(4, 720), level(5, 800)]
    assert grouped(drawn, together(6, 1, 4)) == [[1, 2, 3, 4], [5]]


def test_strokes_are_taken_out_as_an_area_of_their_own() -> None:
    drawn = [level(1, 500), level(2, 520), level(3, 540)]
    assert grouped(drawn, apart(4, 1, 3)) == [[1, 3], [2]]


def test_taken_apart_strokes_of_several_areas_are_one_area() -> None:
    drawn = [level(1, 500), level(2, 520), level(3, 700), level(4, 720)]
    assert grouped(drawn, apart(5, 2, 3)) == [[1], [2, 3], [4]]


def test_the_last_decision_counts() -> None:
    drawn = [level(1, 500), level(2, 520)]
    assert grouped(drawn, apart(3, 2), together(4, 1, 2)) == [[1, 2]]
    assert grouped(drawn, together(3, 1, 2), apart(4, 2)) == [[1], [2]]


def test_decisions_are_replayed_by_their_numbers_not_by_their_names() -> None:
    drawn = [level(1, 500), level(2, 520)]
    first, last = replace(apart(3, 2), id=name(9)), replace(together(4, 1, 2), id=name(8))
    assert grouped(drawn, last, first) == [[1, 2]]
    assert grouped(drawn, replace(last, seq=3), replace(first, seq=4)) == [[1], [2]]


def test_a_later_stroke_joins_the_area_it_overlaps_most_and_unites_nothing_that_was_taken_apart() -> None:
    drawn = [level(1, 500), level(2, 520)]
    assert grouped([*drawn, level(4, 504)], apart(3, 2)) == [[1, 4], [2]]
    assert grouped([*drawn, level(4, 516)], apart(3, 2)) == [[1], [2, 4]]


def test_a_later_stroke_near_both_joins_the_nearer() -> None:
    drawn = [level(1, 500), level(2, 540)]
    joined = [*drawn, level(3, 520)]
    assert grouped([*joined, level(5, 536, x=476)], apart(4, 2)) == [[1, 3], [2, 5]]
    assert grouped([*joined, level(5, 524, x=476)], apart(4, 2)) == [[1, 3, 5], [2]]


def test_a_later_stroke_still_unites_it_with_a_third() -> None:
    drawn = [level(1, 500), level(2, 520), level(3, 576)]
    assert grouped([*drawn, level(5, 548)], apart(4, 1)) == [[1], [2, 3, 5]]


def test_put_together_again_a_later_stroke_may_touch_all_of_it() -> None:
    drawn = [level(1, 500), level(2, 520), level(5, 510)]
    assert grouped(drawn, apart(3, 2), together(4, 1, 2)) == [[1, 2, 5]]


def test_decisions_leave_out_strokes_they_do_not_know() -> None:
    drawn = [level(1, 500), level(3, 700)]
    assert grouped(drawn, together(4, 1, 2, 3)) == [[1, 3]]
    assert grouped(drawn, apart(4, 2)) == [[1], [3]]


def test_without_the_stroke_between_them_two_areas_are_two_again() -> None:
    assert grouped([level(1, 500), level(3, 556)]) == [[1], [3]]


def test_a_decision_numbered_too_early_by_another_device_is_not_lost() -> None:
    assert grouped([level(5, 500), level(6, 520)], apart(2, 6)) == [[5], [6]]


# The eraser.


def test_a_stroke_rubbed_out_whole_is_in_no_area_and_unites_nothing() -> None:
    rubbed = stroke(4, [(350, 528), (520, 528)], mode="erase", nib=15)
    drawn = [level(1, 500), level(2, 556), level(3, 528), rubbed]
    assert grouped(drawn) == [[1], [2]]


def test_the_eraser_of_another_layer_takes_nothing() -> None:
    rubbed = stroke(2, [(350, 500), (520, 500)], mode="erase", nib=30, layer="helper")
    assert grouped([level(1, 500), rubbed]) == [[1]]


def test_what_the_eraser_took_off_an_end_no_longer_reaches() -> None:
    """A long upright line whose lower half is rubbed out, beside one near that half."""
    long, beside = stroke(1, [(420, 480), (420, 700)]), level(2, 690, x=440)
    assert grouped([long, beside]) == [[1, 2]]
    half = stroke(3, [(420, 620), (420, 710)], mode="erase", nib=30)
    assert grouped([long, half, replace(beside, seq=4)]) == [[1], [4]]


# Pieces.


def test_pieces_are_strokes_of_one_kind_and_view_that_touch() -> None:
    drawn = [level(1, 500), level(2, 510), level(3, 505, kind="burning"), level(4, 536)]
    (area,) = areas.group(drawn)
    assert [(piece.strokes, piece.kind, piece.view) for piece in area.pieces] == [
        ((name(1), name(2)), "ache", "front"),
        ((name(3),), "burning", "front"),
        ((name(4),), "ache", "front"),
    ]


def test_every_stroke_of_an_area_is_in_one_piece() -> None:
    for area in areas.group(scattered(5, 40)):
        assert sorted(one for piece in area.pieces for one in piece.strokes) == sorted(area.strokes)


def test_an_area_taken_apart_along_its_pieces_falls_into_them() -> None:
    drawn = [level(1, 500), level(2, 510), level(3, 536)]
    (area,) = areas.group(drawn)
    first, second = area.pieces
    assert grouped(drawn, Decision(4, name(99), second.strokes, False)) == [[1, 2], [3]]
    assert first.strokes == (name(1), name(2))


# What holds of every drawing.


def scattered(seed: int, count: int, points: int = 12) -> list[Stroke]:
    """Wandering lines all over the body, some of them erasers, on two layers."""
    dice = random.Random(seed)
    found = []
    for number in range(1, count + 1):
        x, y, line = dice.uniform(340, 660), dice.uniform(60, 1500), []
        for _ in range(points):
            x, y = x + dice.uniform(-9, 9), y + dice.uniform(-9, 9)
            line.append((x, y))
        found.append(
            stroke(
                number,
                line,
                kind=dice.choice(["ache", "burning"]),
                view=dice.choice(["front", "back"]),
                mode=dice.choice(["shade", "shade", "area", "erase"]),
                layer=dice.choice(["patient", "helper"]),
            )
        )
    return found


def decided(seed: int, count: int, until: int) -> list[Decision]:
    dice = random.Random(seed)
    return [
        decision(
            dice.randint(1, until),
            *dice.sample(range(1, until + 1), min(3, until)),
            together=dice.random() < 0.5,
        )
        for _ in range(count)
    ]


def whole(found: Sequence[marks.Mark]) -> dict[tuple[str, str, str], geometry.Area]:
    keys = {(mark.view, mark.kind, mark.layer) for mark in found}
    return {
        key: geometry.unite(m.area for m in found if (m.view, m.kind, m.layer) == key) for key in sorted(keys)
    }


small_lines = st.lists(st.tuples(st.floats(380, 560), st.floats(420, 640)), min_size=1, max_size=8)
drawings = st.lists(
    st.tuples(
        small_lines,
        st.sampled_from(["shade", "area", "erase"]),
        st.sampled_from(["ache", "tingling", "tender_spot"]),
        st.sampled_from(["front", "back"]),
        st.sampled_from(["patient", "helper"]),
        st.floats(2, 50),
    ),
    max_size=9,
)
decisions = st.lists(
    st.tuples(st.integers(1, 12), st.lists(st.integers(1, 10), max_size=4), st.booleans()), max_size=4
)


@settings(max_examples=60, deadline=None)
@given(drawings, decisions)
def test_the_areas_together_are_the_pain_of_the_whole_drawing(drawn: list, made: list) -> None:  # type: ignore[type-arg]
    strokes = [
        stroke(n, line, kind, view, mode, layer, nib)
        for n, (line, mode, kind, view, layer, nib) in enumerate(drawn, start=1)
    ]
    found = areas.group(strokes, [decision(seq, *of, together=how) for seq, of, how in made])
    expected = whole(marks.symptoms(marks.paint(strokes)))
    painted = whole([mark for area in found for mark in area.marks])
    for key in expected.keys() | painted.keys():
        one, other = expected.get(key, geometry.EMPTY), painted.get(key, geometry.EMPTY)
        differs = geometry.take_away(one, other).area + geometry.take_away(other, one).area
        # Two grid steps along the edge, and what is too small to be ink.
        assert differs <= 2 * geometry.GRID * (one.length + other.length) + 0.02


@pytest.mark.parametrize("seed", range(5))
def test_every_standing_stroke_is_in_exactly_one_area(seed: int) -> None:
    strokes = scattered(seed, 30)
    found = areas.group(strokes, decided(seed, 6, 30))
    held = [one for area in found for one in area.strokes]
    assert len(held) == len(set(held))
    assert all(area.strokes and area.marks and area.pieces for area in found)
    begun = [min(int(uuid.UUID(one)) & 0xFFFF for one in area.strokes) for area in found]
    assert all(one < later for one, later in pairwise(begun))


@pytest.mark.parametrize("seed", range(5))
def test_they_are_the_same_in_whatever_order_strokes_and_decisions_arrive(seed: int) -> None:
    strokes, made = scattered(seed, 30), decided(seed + 50, 8, 30)
    first = areas.group(strokes, made)
    random.Random(seed).shuffle(strokes)
    random.Random(seed).shuffle(made)
    again = areas.group(strokes, made)
    assert [area.strokes for area in again] == [area.strokes for area in first]
    assert [area.pieces for area in again] == [area.pieces for area in first]
    for one, other in zip(first, again, strict=True):
        assert all(a.area.equals_exact(b.area, 0) for a, b in zip(one.marks, other.marks, strict=True))


def test_an_area_alone_is_painted_to_the_last_digit_as_the_drawing() -> None:
    strokes = [*bench.strokes(6), replace(bench.strokes(7)[6], mode="erase", kind=None, nib_mm=8)]
    (area,) = areas.group(strokes)
    drawn = marks.paint(strokes)
    assert [mark.area.equals_exact(other.area, 0) for mark, other in zip(area.marks, drawn, strict=True)] == [
        True
    ]

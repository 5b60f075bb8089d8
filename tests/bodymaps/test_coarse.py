"""Drawings as coarse cells: what is covered, what is kept, and how people are counted over each other."""

import numpy as np
import pytest

from bodymaps import coarse, figure, geometry, heat, kinds, marks, parts
from bodymaps.coarse import COLUMNS, cells
from bodymaps.strokes import Point, Stroke


def stroke(view, places, *, kind="ache", nib=40.0, seq=1):
    points = tuple(Point(x, y, 0.5, 0.0) for x, y in places)
    return Stroke(id=str(seq), seq=seq, view=view, kind=kind, mode="shade", nib_mm=nib, points=points)


def on(view, *names, **more):
    return stroke(view, [figure.load().landmark(view, name) for name in names], **more)


def square(x, y, size):
    return geometry.area_from_rings([[[x, y], [x + size, y], [x + size, y + size], [x, y + size], [x, y]]])


def test_a_square_of_four_whole_cells_is_those_four():
    # By hand: 40 mm from (480, 500) is columns 24 and 25 of rows 25 and 26.
    assert list(cells("front", square(480, 500, 40))) == [25 * COLUMNS + 24, 25 * COLUMNS + 25] + [
        26 * COLUMNS + 24,
        26 * COLUMNS + 25,
    ]


def test_a_cell_counts_from_three_tenths_of_it_on():
    # By hand: 4 mm into a cell of 20 mm is a fifth of it, 8 mm are two fifths.
    narrow = geometry.area_from_rings([[[480, 500], [504, 500], [504, 520], [480, 520], [480, 500]]])
    wider = geometry.area_from_rings([[[480, 500], [508, 500], [508, 520], [480, 520], [480, 500]]])
    assert len(cells("front", narrow)) == 1 and len(cells("front", wider)) == 2


@pytest.mark.parametrize("shift", range(0, 20, 3))
def test_the_smallest_nib_leaves_no_gap_wherever_it_runs(shift):
    # The smallest nib is 13 mm: bodymaps/data/parts.toml, margin of two smallest nibs is 26.
    line = geometry.area_from_rings(
        [[[480 + shift, 500], [493 + shift, 500], [493 + shift, 700], [480 + shift, 700], [480 + shift, 500]]]
    )
    assert {int(cell) // COLUMNS for cell in cells("front", line)} == set(range(25, 35))


def test_a_dot_is_one_cell():
    assert len(cells("front", square(486, 506, 4))) == 1


def test_every_kind_has_its_own_rows_and_the_parts_are_told_once():
    painted = marks.paint(
        [
            on("back", "l2", "l5"),
            on("back", "neck_mid", kind="burning", seq=2),
            on("front", "thumb_tip", seq=3),
        ]
    )
    rows = coarse.rows(painted)
    assert set(rows) == {
        (coarse.PARTS, coarse.ANY_KIND),
        (coarse.PARTS, "ache"),
        (coarse.PARTS, "burning"),
        ("back", "ache"),
        ("back", "burning"),
        ("front", "ache"),
    }
    told = {parts.KEYS[number] for number in coarse.read(rows[coarse.PARTS, coarse.ANY_KIND])}
    assert told == set(parts.parts_drawn(painted)) >= {"low_back", "neck", "hand right"}


def test_a_finding_is_no_pain():
    found = on("front", "thumb_tip", kind=kinds.FINDINGS[0])
    assert coarse.rows(marks.paint([found])) == {(coarse.PARTS, coarse.ANY_KIND): b""}


def test_nothing_drawn_has_an_empty_row_that_says_so():
    assert coarse.rows([]) == {(coarse.PARTS, coarse.ANY_KIND): b""}


def test_what_is_cut_off_is_refused():
    with pytest.raises(ValueError, match="cut off"):
        coarse.read(b"\x01")


def test_left_and_right_are_mirrored():
    right = cells("front", square(380, 600, 60))
    left = cells("front", square(560, 600, 60))
    mirrored = sorted(int(cell) // COLUMNS * COLUMNS + COLUMNS - 1 - int(cell) % COLUMNS for cell in right)
    assert mirrored == sorted(int(cell) for cell in left)


def test_a_person_with_five_drawings_is_counted_once_and_both_views_apart():
    row = np.array([7, 8], "<u2").tobytes()
    other = np.array([8], "<u2").tobytes()
    drawn = heat.Drawn([0] * 5 + [1, 1], ["front"] * 6 + ["back"], [row] * 5 + [other, other])
    counted = heat.count(drawn, [10, 300])
    assert counted["front"][7] == heat.Here(1, 10)
    assert counted["front"][8] == heat.Here(2, 10)
    assert counted["back"][8] == heat.Here(1, 300)
    assert counted["back"][7] == heat.Here(0, heat.NO_KEY)
    assert sum(one.people for view in counted.values() for one in view) == 4


def test_counting_is_the_same_as_with_sets():
    dice = np.random.default_rng(3)
    people = dice.integers(0, 1300, 3000)
    rows = [np.unique(dice.integers(0, coarse.SIZE, 30)).astype("<u2") for _ in people]
    views = ["front" if one % 2 else "back" for one in range(len(rows))]
    keys = [int(key) for key in dice.integers(0, 2**32, 1300)]
    sets = {view: [set() for _ in range(coarse.SIZE)] for view in figure.VIEWS}
    for person, view, row in zip(people, views, rows, strict=True):
        for cell in row:
            sets[view][cell].add(int(person))
    counted = heat.count(heat.Drawn(people.tolist(), views, [row.tobytes() for row in rows]), keys)
    for view in figure.VIEWS:
        told = [
            heat.Here(len(one), min((keys[person] for person in one), default=heat.NO_KEY))
            for one in sets[view]
        ]
        assert list(counted[view]) == told


def test_nobody_at_all_is_no_error():
    assert {one.people for one in heat.count(heat.Drawn([], [], []), [])["front"]} == {0}

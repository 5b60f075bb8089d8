"""The indices of likeness against published definitions and worked values.

Definitions: Jaccard P, New Phytol 1912;11:37-50; Dice LR, Ecology 1945;26:297-302; Tversky A, Psychol Rev
1977;84:327-352. The numbers are worked from those formulas by hand.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bodymaps import geometry, overlap
from bodymaps.overlap import Costs
from tests.bodymaps.pictures import area

# Two rectangles of 24 cells that share 12: A alone, B alone, X both.
TWO = """
AAAXXXBBB
AAAXXXBBB
AAAXXXBBB
AAAXXXBBB
"""
FIRST, SECOND = area(TWO, "AX"), area(TWO, "XB")
# A drawing of 6 cells inside a zone of 24.
INSIDE = """
ZZZZZZ
ZDDDZZ
ZDDDZZ
ZZZZZZ
"""
DRAWING, ZONE = area(INSIDE, "D"), area(INSIDE, "ZD")


def test_jaccard_of_two_rectangles_is_a_third() -> None:
    assert overlap.jaccard_of(FIRST, SECOND) == pytest.approx(12 / 36)


def test_dice_of_two_rectangles_is_a_half() -> None:
    assert overlap.dice_of(FIRST, SECOND) == pytest.approx(24 / 48)


def test_dice_follows_from_jaccard() -> None:
    j = overlap.jaccard_of(FIRST, SECOND)
    assert overlap.dice_of(FIRST, SECOND) == pytest.approx(2 * j / (1 + j))


@pytest.mark.parametrize(
    ("outside", "missing", "expected"),
    [(1, 1, 0.25), (0.5, 0.5, 0.4), (1, 0, 1.0), (0, 1, 0.25), (0.8, 0.2, 0.625)],
)
def test_tversky_of_a_drawing_inside_a_zone(outside: float, missing: float, expected: float) -> None:
    assert overlap.tversky_of(DRAWING, ZONE, outside, missing) == pytest.approx(expected)


def points(*places: tuple[float, float]) -> geometry.Area:
    """Specks of a thousandth of a millimetre."""
    return geometry.unite(geometry.box(x, y, x + 0.001, y + 0.001) for x, y in places)


def test_hausdorff_is_the_greater_of_the_two_directed_distances() -> None:
    """P = {(0, 0), (1, 0)}, Q = {(0, 0), (4, 3)}: 1 from P to Q, 4.2426 back; by hand."""
    first, second = points((0, 0), (1, 0)), points((0, 0), (4, 3))
    assert overlap.hausdorff_mm(first, second) == pytest.approx(4.2426, abs=0.002)
    assert overlap.hausdorff_mm(second, first) == pytest.approx(4.2426, abs=0.002)
    assert overlap.hausdorff_mm(first, first) == 0
    assert overlap.hausdorff_mm(first, geometry.EMPTY) == math.inf


def test_two_empty_areas_are_like_nothing() -> None:
    assert overlap.jaccard_of(geometry.EMPTY, geometry.EMPTY) == 0
    assert overlap.tversky(0, 0, 0, 0.8, 0.2) == 0


COSTS = Costs(outside=0.8, missing=0.2, spillover_drawn=0.5, spillover_missing=0.1, near=0.5)


def graded(
    drawn: float = 0,
    core_drawn: float = 0,
    spillover_drawn: float = 0,
    near_drawn: float = 0,
    core_missing: float = 0,
    spillover_missing: float = 0,
) -> float:
    found = overlap.graded(
        COSTS,
        drawn=drawn,
        core_drawn=core_drawn,
        spillover_drawn=spillover_drawn,
        near_drawn=near_drawn,
        core_missing=core_missing,
        spillover_missing=spillover_missing,
    )
    return float(found)


def test_the_graded_index_without_spillover_is_tversky() -> None:
    found = graded(drawn=600, core_drawn=600, core_missing=1800)
    assert found == pytest.approx(0.625)


def test_the_whole_pattern_and_nothing_else_scores_one() -> None:
    assert graded(drawn=500, core_drawn=300, spillover_drawn=200) == 1


def test_a_missing_part_costs_less_than_the_same_area_drawn_outside() -> None:
    missing = graded(drawn=100, core_drawn=100, core_missing=50)
    outside = graded(drawn=150, core_drawn=100)
    assert missing > outside


def test_drawn_spillover_counts_half_of_drawn_core() -> None:
    """By hand: shared 50, outside 100 at 0.8, missing 100 of the core at 0.2."""
    found = graded(drawn=200, spillover_drawn=100, core_missing=100)
    assert found == pytest.approx(50 / (50 + 80 + 20))


def test_core_counts_more_than_spillover() -> None:
    core = graded(drawn=200, core_drawn=100, spillover_missing=100)
    spill = graded(drawn=200, spillover_drawn=100, core_missing=100)
    assert core > spill


def test_a_near_miss_costs_half_of_a_far_one() -> None:
    near = graded(drawn=200, core_drawn=100, near_drawn=100)
    assert near == pytest.approx(100 / (100 + 0.8 * 50))


sizes = st.floats(min_value=0, max_value=1e6, allow_nan=False)


@given(sizes, sizes, sizes, sizes, sizes, sizes)
def test_the_graded_index_stays_between_nothing_and_one(
    core: float, spill: float, near: float, beside: float, core_missing: float, spill_missing: float
) -> None:
    found = graded(core + spill + near + beside, core, spill, near, core_missing, spill_missing)
    assert 0 <= found <= 1


@given(sizes.filter(lambda size: size > 1e-3), sizes, sizes, st.floats(min_value=1e-3, max_value=1e3))
def test_the_index_does_not_know_the_scale(shared: float, first: float, second: float, scale: float) -> None:
    small = overlap.tversky(shared, first, second, 0.8, 0.2)
    large = overlap.tversky(shared * scale, first * scale, second * scale, 0.8, 0.2)
    assert small == pytest.approx(large)

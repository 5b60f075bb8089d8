"""The verbs every area goes through."""

import doctest
import math

import pytest

from bodymaps import geometry, overlap, strokes
from tests.bodymaps.pictures import area, shown


@pytest.mark.parametrize("module", [geometry, overlap, strokes])
def test_the_examples_in_the_docstrings_hold(module: object) -> None:
    result = doctest.testmod(module)  # type: ignore[arg-type]
    assert result.failed == 0
    assert result.attempted > 0


def test_the_bow_tie_keeps_both_wings() -> None:
    """The old trick buffer(0) silently loses one of them; the area of this one is 50 by hand."""
    wings = geometry.ring_repaired([(0, 0), (10, 10), (10, 0), (0, 10)])
    assert wings.area == pytest.approx(50)


def test_a_ring_gone_round_twice_is_filled_not_hollow() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    assert geometry.ring_repaired([*square, *square]).area == pytest.approx(100)


def test_a_ring_without_inside_has_no_area() -> None:
    assert geometry.ring_repaired([(0, 0), (10, 0)]).is_empty
    assert geometry.ring_repaired([(0, 0), (10, 0), (20, 0)]).is_empty


def test_the_mirror_of_the_mirror_is_the_same_area() -> None:
    shape = area("##.\n#..")
    assert geometry.mirrored(geometry.mirrored(shape, 500), 500).equals(shape)
    assert shown(geometry.mirrored(shape, 15), 3, 2) == [".##", "..#"]


def test_a_line_painted_in_pieces_equals_the_line_painted_at_once() -> None:
    line = [(float(n), 30.0 * (n % 2)) for n in range(70)]
    once = geometry.as_area(geometry.shapely.LineString(line).buffer(4, quad_segs=geometry.QUARTER))
    assert geometry.paint_line(line, 8).symmetric_difference(once).area < 0.05 * once.area


def test_overlap_sizes_are_those_of_the_overlaps() -> None:
    drawn = area("###.\n###.")
    others = [area("#..."), area("..##"), area("...#"), area("####\n####\n####")]
    assert geometry.overlap_sizes(drawn, others) == pytest.approx([100, 100, 0, 600])


def test_crumbs_and_pinholes_go() -> None:
    shape = geometry.unite([area("####\n#.##\n####"), geometry.box(90, 0, 91, 1)])
    assert shown(geometry.without_crumbs(shape, 150), 10, 3) == ["####......"] * 3


def test_a_slice_runs_along_its_axis() -> None:
    column = geometry.box(0, 0, 10, 100)
    assert geometry.slice_between(column, (0, 1), 0.2, 0.5).bounds == pytest.approx((0, 20, 10, 50))
    assert geometry.long_axis(column) == pytest.approx((0, 1))


def test_the_long_axis_points_down_the_body() -> None:
    leaning = geometry.area_from_rings([[(0, 0), (10, 0), (60, 100), (50, 100)]])
    assert geometry.long_axis(leaning)[1] > 0


BOW_TIE = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]
SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]


def test_a_bow_tie_crosses_itself_once_and_a_square_never() -> None:
    assert geometry.crosses_itself_more_than(BOW_TIE, 0)
    assert not geometry.crosses_itself_more_than(BOW_TIE, 1)
    assert not geometry.crosses_itself_more_than(SQUARE, 0)


def test_the_sides_of_a_star_of_many_points_cross_as_often_as_they_should() -> None:
    # The star {n/k}: each of its n sides crosses 2 (k - 1) others (Coxeter, Regular Polytopes, 1948).
    n, k = 251, 40
    turns = [2 * math.pi * k * step / n for step in range(n)]
    star = [(100 * math.cos(turn), 100 * math.sin(turn)) for turn in turns]
    assert geometry.crosses_itself_more_than(star, n * (k - 1) - 1)
    assert not geometry.crosses_itself_more_than(star, n * (k - 1))

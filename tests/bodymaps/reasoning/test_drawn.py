"""What rules may ask of a drawing: on which patches of skin it lies, on which side, of which kind."""

import pytest

from bodymaps import geometry, kinds, regions
from bodymaps.marks import Mark
from bodymaps.reasoning import drawn
from bodymaps.reasoning.drawn import Drawn
from tests.bodymaps import drawn as made


def test_nothing_drawn_is_empty():
    assert drawn.of([]) == Drawn() and Drawn().is_empty


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_region_drawn_is_named_with_its_side_and_kind(side):
    found = drawn.of(made.marks("burning", side, front__pectoral_upper=0.8))
    assert found.places == {("front:pectoral_upper", side, "burning")}


def test_every_region_that_is_filled_is_found():
    for one in regions.load():
        found = drawn.of([Mark(one.view, "ache", geometry.as_area(one.area))])
        assert (one.id, one.side, "ache") in found.places, one.key


def test_skin_that_both_views_show_has_both_names():
    found = drawn.of(made.marks(front__arm_lateral=0.8))
    assert {region for region, _, _ in found.places} == {"front:arm_lateral", "back:arm_lateral"}


def test_a_fingertip_on_a_large_region_is_a_drawing_there_and_a_slip_over_the_border_is_not():
    """From 8 percent of a region or 400 mm² (this product's judgement)."""
    area = made.region("back:scapula_body")
    x, y = area.representative_point().coords[0]
    tip = Mark("back", "ache", geometry.paint_line([(x, y)], 24))
    slip = Mark("back", "ache", geometry.paint_line([(x, y)], 14))
    assert tip.area.area > drawn.LEAST_MM2 > slip.area.area
    assert drawn.of([tip]).touched(["back:scapula_body"])
    assert not drawn.of([slip]).touched(["back:scapula_body"])


def test_a_part_of_a_small_region_is_a_drawing_there():
    share = drawn.of(made.marks(front__thumb_palmar=0.3))
    assert share.touched(["front:thumb_palmar"])


def test_findings_of_the_examination_are_no_pain():
    for kind in kinds.FINDINGS:
        assert drawn.of(made.marks(kind, front__temple=0.8)).is_empty


def test_kinds_drawn_in_one_place_are_all_named():
    found = drawn.of((*made.marks("ache", front__temple=0.8), *made.marks("tingling", front__temple=0.5)))
    assert found.kinds() == {"ache", "tingling"}
    assert found.touched(["front:temple"], kinds=["tingling"]) == (("front:temple", "right"),)
    assert not found.touched(["front:temple"], kinds=["burning"])


def test_strokes_of_one_kind_count_together():
    """Two halves of a slip make a drawing."""
    area = made.region("back:scapula_body")
    x, y = area.representative_point().coords[0]
    halves = [Mark("back", "ache", geometry.box(x + d, y - 11, x + d + 11, y + 11)) for d in (-11, 0)]
    assert all(half.area.area < drawn.LEAST_MM2 for half in halves)
    assert drawn.of(halves).touched(["back:scapula_body"])


def test_the_midline_is_on_both_sides_and_a_side_is_not_on_the_other():
    places = Drawn(frozenset({("front:sternal", "midline", "ache"), ("front:temple", "left", "burning")}))
    both = ["front:sternal", "front:temple"]
    assert places.touched(both, side="right") == (("front:sternal", "midline"),)
    assert len(places.touched(both, side="left")) == 2 == len(places.touched(both))
    assert places.kinds(side="right") == {"ache"}


def test_places_come_in_one_order_whatever_the_order_of_asking():
    places = Drawn(frozenset({("front:temple", "right", "ache"), ("front:forehead", "left", "ache")}))
    assert places.touched(["front:temple", "front:forehead"]) == places.touched(
        ["front:forehead", "front:temple"]
    )


def test_widespread_is_the_area_of_both_arms_both_legs_and_the_spine():
    wide = [
        Mark(one.view, "ache", geometry.as_area(one.area))
        for one in regions.load()
        if "arm_" in one.id or "thigh" in one.id or "lumbar" in one.id or one.id == "back:neck_posterior"
    ]
    assert drawn.of(wide).widespread
    assert not drawn.of(made.marks(front__pectoral_upper=0.8)).widespread
    assert not drawn.of([Mark(one.view, kinds.FINDINGS[0], one.area) for one in wide]).widespread

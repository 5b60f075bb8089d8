"""What is said of a drawing's extent before any ranking. Limits with their sources: data/extent.toml."""

import pytest

from bodymaps import geometry, kinds, notices, reach, regions, skin
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy

SAID = {name: entry["words"].strip() for name, entry in reach.tables()["notices"].items() if "_" not in name}
SAID["both_sides"] = reach.tables()["notices"]["both_sides"]["words"].strip()
WIDE, ALIKE, BOTH = SAID["widespread"], SAID["mirrored"], SAID["both_sides"]


def said(*marks: Mark) -> tuple[str, ...]:
    return notices.of_extent(marks, skin.load())


def disc(view: str, x: float, y: float, reach_mm: float = 30, kind: str = "ache") -> Mark:
    return Mark(view, kind, geometry.paint_line([(x, y)], 2 * reach_mm))


def mirrored(mark: Mark, right: float = 0.0) -> Mark:
    """The mark on the other side, `right` mm farther to the viewer's right."""
    area: Area = geometry.mirrored(mark.area, 500 + right / 2)
    return Mark(mark.view, mark.kind, area)


SHOULDER = disc("back", 680, 330, 35)


def test_pain_on_one_side_says_nothing():
    assert said(SHOULDER) == ()
    assert said(*drawn.marks(front__thigh_anterior_upper=0.8)) == ()


def test_nothing_drawn_says_nothing():
    assert said() == ()


def test_both_sides_much_alike_are_called_so():
    assert said(SHOULDER, mirrored(SHOULDER)) == (ALIKE,)


def test_two_drawings_of_one_pain_as_alike_as_patients_draw_them_count_as_alike():
    """Discs of 70 mm whose centres lie 15 mm apart share a Jaccard index of 0.57, within one deviation of
    the mean 0.62 of Leoni D et al., 2013; 30 mm apart it is 0.28."""
    near, far = mirrored(SHOULDER, 15), mirrored(SHOULDER, 30)
    assert said(SHOULDER, near) == (ALIKE,)
    assert said(SHOULDER, far) == (BOTH,)


def test_both_sides_in_different_places_are_pain_on_both_sides():
    assert said(SHOULDER, disc("front", 600, 1200)) == (BOTH,)


def test_the_sides_are_the_patients_in_both_views():
    """Right elbow in front and right shoulder behind: one side, though the pictures mirror each other."""
    assert said(disc("front", 236, 600), SHOULDER) == ()
    assert said(disc("front", 764, 600), SHOULDER) == (BOTH,)


def test_a_stray_mark_on_the_other_side_is_not_pain_on_both_sides():
    assert said(SHOULDER, disc("back", 320, 330, 12)) == ()


def test_pain_in_the_middle_is_on_neither_side():
    assert said(disc("back", 500, 640, 40)) == ()
    assert said(disc("back", 500, 640, 40), SHOULDER) == ()


def test_a_band_across_the_low_back_reaches_both_sides():
    band = Mark("back", "ache", geometry.box(390, 600, 610, 680))
    assert said(band) == (ALIKE,)


def test_widespread_pain_is_said_first():
    everywhere = [
        Mark(one.view, "ache", geometry.as_area(one.area))
        for one in regions.load()
        if "arm_" in one.id or "thigh" in one.id or "lumbar" in one.id or one.id == "back:neck_posterior"
    ]
    found = said(*everywhere)
    assert found[0] == WIDE
    assert found[1] == ALIKE


def test_widespread_pain_of_one_side_and_the_middle_is_not_both_sides():
    """Right arm, right leg and spine lie in three parts only, so it is not widespread either."""
    one_side = [
        Mark(one.view, "ache", geometry.as_area(one.area))
        for one in regions.load()
        if one.side == "right" and ("arm_" in one.id or "thigh" in one.id or "leg_" in one.id)
    ]
    assert said(*one_side) == ()


def test_findings_say_nothing():
    for kind in kinds.FINDINGS:
        one = disc("back", 680, 330, 35, kind)
        assert said(one, mirrored(one)) == ()
        assert said(SHOULDER, mirrored(one)) == ()


def test_what_was_counted_already_need_not_be_counted_again():
    marks = [SHOULDER, mirrored(SHOULDER)]
    body = skin.load()
    union = geometry.unite(mark.area for mark in marks)
    covered = {patch: area.area for patch, area in body.cut({"back": union}).items()}
    assert notices.of_extent(marks, body, covered) == said(*marks)


def test_a_body_of_boxes_can_be_asked_too():
    right = toy.ache("front", geometry.box(300, 0, 400, 100))
    left = toy.ache("front", geometry.mirrored(right.area, 500))
    assert notices.of_extent([right], toy.SKIN) == ()
    assert notices.of_extent([right, left], toy.SKIN) == (ALIKE,)


@pytest.mark.parametrize("name", SAID)
def test_each_gives_a_hint_for_the_examination_and_names_no_disease_as_found(name):
    words = SAID[name].lower()
    assert "examine" in words or "consider" in words
    assert "diagnos" not in words
    assert "  " not in words and "\n" not in words
    assert reach.tables()["notices"][name]["source"]

"""Which muscle to press next, on patterns of boxes that are reckoned by hand (see tests/bodymaps/toy.py)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodymaps import geometry, matching
from bodymaps.atlas import Atlas
from bodymaps.patterns import Muscle
from bodymaps.reasoning import gain, next_areas, next_muscles
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence import Evidence, Judged
from bodymaps.reasoning.felt import Felt
from bodymaps.reasoning.possible import Possible
from bodymaps.reasoning.standing import Standing
from tests.bodymaps import toy

BOX = geometry.box
# All of the front of the arm, so that every pattern is named.
DRAWN = (toy.ache("front", BOX(300, 0, 500, 200)),)
UPPER, LOWER = BOX(300, 0, 400, 100), BOX(300, 100, 400, 200)
MIDDLE = BOX(300, 50, 400, 150)


def muscle(name: str, area: geometry.Area, down_mm: float = 0) -> Muscle:
    """A muscle that refers to an area, pressed so many mm below the usual place."""
    made = toy.muscle(name, {("front", "core"): area})
    site = made.sites[0]
    return replace(made, sites=(replace(site, at=replace(site.at, y=site.at.y + down_mm)),))


def judged(layer: str, name: str, place: int = 1, total: float = 0.5, side: str = "right") -> Judged:
    return Judged(layer, name, name, side, total, "", 0.0, total, place, place, ())


def possible(atlas: Atlas, *order: Judged, felt: tuple[Felt, ...] = ()) -> dict[str, Possible]:
    ranking = matching.rank(DRAWN, atlas, something_drawn=True, skin=toy.SKIN)
    assert ranking.held
    standing = Standing(Evidence(order), Facts(Case(felt=felt), Drawn()), atlas)
    areas = next_areas.of(
        ranking.held, [("muscle", one.id, one.side) for one in order if one.layer == "muscle"]
    )
    return {one.id: one for one in next_muscles.possible(standing, areas)}


def two(first: geometry.Area, second: geometry.Area, apart_mm: float = 0) -> Possible:
    atlas = toy.atlas(muscle("one", first), muscle("other", second, apart_mm))
    return possible(atlas, judged("muscle", "one"), judged("muscle", "other", 2))["one"]


# An active trigger point counts 2 for its muscle, no sign of one 1 / 1.5 (evidence_muscles.toml), so the
# known pain is expected in
#   2 x (1 - 2/3) / (2 - 2/3) = 1/2   when the muscle is the source,
#       (1 - 2/3) / (2 - 2/3) = 1/4   when it is not.


def test_example_three_two_muscles_with_areas_apart() -> None:
    # Known pain at all (1/2 + 1/4) / 2 = 0.375;  H(0.375) = 0.9544, H(1/2) = 1, H(1/4) = 0.8113
    # gain 0.9544 - (1 + 0.8113) / 2 = 0.0488 bits
    found = two(UPPER, LOWER)
    assert found.positive == pytest.approx((0.5, 0.25))
    assert gain.gain((0.5, 0.5), found.positive) == pytest.approx(0.0488, abs=0.0001)


def test_example_three_half_of_the_area_shared_under_one_finger() -> None:
    # With the other as source 1/4 + (1/2 - 1/4) x 1/2 = 0.375; at all (0.5 + 0.375) / 2 = 0.4375
    # H(0.4375) = 0.9887; gain 0.9887 - (1 + 0.9544) / 2 = 0.0115 bits
    found = two(UPPER, MIDDLE)
    assert found.positive == pytest.approx((0.5, 0.375))
    assert gain.gain((0.5, 0.5), found.positive) == pytest.approx(0.0115, abs=0.0001)


def test_example_three_the_same_area_under_one_finger_tells_nothing_between_them() -> None:
    found = two(UPPER, UPPER)
    assert found.positive == pytest.approx((0.5, 0.5))
    assert gain.gain((0.5, 0.5), found.positive) == pytest.approx(0.0, abs=1e-9)


def test_a_shared_area_counts_half_when_the_other_muscle_is_pressed_elsewhere() -> None:
    # 1/4 + (1/2 - 1/4) x 1/2 x 1/2 = 0.3125
    assert two(UPPER, MIDDLE, apart_mm=80).positive == pytest.approx((0.5, 0.3125))


def test_the_less_two_muscles_share_the_more_pressing_one_tells() -> None:
    shared = [BOX(300, 0, 400, 100), BOX(300, 20, 400, 120), BOX(300, 60, 400, 160), LOWER]
    gains = [gain.gain((0.5, 0.5), two(UPPER, area).positive) for area in shared]
    assert gains == sorted(gains) and gains[0] < gains[-1]


def test_of_two_muscles_with_the_same_area_under_one_finger_one_is_proposed() -> None:
    atlas = toy.atlas(muscle("one", UPPER), muscle("other", UPPER), muscle("third", UPPER, 80))
    order = [judged("muscle", name, place) for place, name in enumerate(("one", "other", "third"), 1)]
    found = possible(atlas, *order)
    assert not found["other"].adds_to([found["one"]])
    assert found["third"].adds_to([found["one"]])


def test_the_reasons_name_where_only_this_muscle_refers() -> None:
    atlas = toy.atlas(muscle("one", BOX(300, 0, 400, 100)), muscle("other", BOX(200, 0, 300, 100), 80))
    told = possible(atlas, judged("muscle", "one"), judged("muscle", "other", 2))["one"].tell()
    assert any("other does not reach: " in why for why in told.why)


def test_the_reasons_say_what_pressing_does_not_tell_apart() -> None:
    atlas = toy.atlas(muscle("one", UPPER), muscle("other", UPPER), muscle("third", UPPER, 80))
    order = [judged("muscle", name, place) for place, name in enumerate(("one", "other", "third"), 1)]
    said = " ".join(possible(atlas, *order)["one"].tell().why)
    assert "Other lies beside it" in said and "Third refers to most of the same area from elsewhere" in said


def test_an_examined_muscle_is_not_proposed_again_but_its_other_side_is() -> None:
    atlas = toy.atlas(muscle("one", UPPER), muscle("other", LOWER))
    order = (judged("muscle", "one"), judged("muscle", "other", 2), judged("muscle", "one", 3, side="left"))
    found = possible(atlas, *order, felt=(Felt("one", "right", "", {"band": "NT"}),))
    assert set(found) == {"one", "other"} and found["one"].side == "left"


def test_a_finger_never_presses_both_sides_at_once() -> None:
    held = matching.rank(DRAWN, toy.atlas(muscle("one", UPPER)), something_drawn=True, skin=toy.SKIN).held
    assert held
    right, left = ("muscle", "one", "right"), ("muscle", "one", "left")
    areas = next_areas.of(held, [right, left])
    assert areas.apart_mm(right, right) == 0 and areas.apart_mm(right, left) == math.inf


def test_pressing_says_the_same_of_everything_that_is_no_muscle() -> None:
    atlas = toy.atlas(muscle("one", UPPER))
    order = (judged("muscle", "one"), judged("root", "C6", 2), judged("joint_referral", "elbow", 3))
    assert possible(atlas, *order)["one"].positive == pytest.approx((0.5, 0.25, 0.25))

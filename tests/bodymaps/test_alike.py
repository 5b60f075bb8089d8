"""Muscles of the same area, on a body of boxes where every share can be reckoned by hand (see toy.py)."""

from __future__ import annotations

import pytest

from bodymaps import alike, atlas, matching
from bodymaps.atlas import Muscle
from bodymaps.geometry import Area, box
from tests.bodymaps import toy

# All in one region, so that every mm² weighs the same.
FIRST = toy.muscle("biceps_brachii", {("front", "core"): box(300, 0, 400, 100)})


def likeness(one: Muscle, other: Muscle) -> float:
    found = alike.likenesses(toy.atlas(one, other), toy.SKIN)
    there, back = found.get((one.id, other.id), 0.0), found.get((other.id, one.id), 0.0)
    assert there == pytest.approx(back)
    return there


def other(*cores: Area) -> Muscle:
    return toy.muscle("brachialis", *({("front", "core"): core} for core in cores))


def test_equal_patterns_are_wholly_alike() -> None:
    assert likeness(FIRST, other(box(300, 0, 400, 100))) == pytest.approx(1)


def test_patterns_that_share_no_skin_are_like_nothing() -> None:
    assert likeness(FIRST, other(box(400, 0, 500, 100))) == 0


def test_half_of_each_shared_is_a_third() -> None:
    """Jaccard of two rectangles that share half of each: 12 of 36 cells (worked from the formula)."""
    assert likeness(FIRST, other(box(350, 0, 450, 100))) == pytest.approx(1 / 3)


def test_spillover_weighs_as_in_the_ranking() -> None:
    spill = toy.muscle(
        "brachialis",
        {("front", "core"): box(450, 0, 500, 100), ("front", "spillover"): box(300, 0, 400, 100)},
    )
    weight = matching.parameters().spillover_drawn
    assert likeness(FIRST, spill) == pytest.approx(weight * 10_000 / (10_000 + 5_000))


def test_the_sites_that_are_most_alike_count() -> None:
    assert likeness(FIRST, other(box(440, 0, 500, 100), box(300, 0, 400, 100))) == pytest.approx(1)


def test_the_other_side_is_another_area() -> None:
    assert likeness(FIRST, other(box(600, 0, 700, 100))) == 0


REAL = atlas.load()
SAME = alike.same_area(REAL)


def test_every_muscle_of_the_atlas_has_its_line_and_the_relation_goes_both_ways() -> None:
    assert list(SAME) == list(REAL.muscles)
    for muscle, others in SAME.items():
        assert muscle not in others
        assert all(muscle in SAME[one] for one in others)


def test_some_muscles_are_of_one_area_and_most_are_not() -> None:
    """The scalenes share one area in every handbook (Simons, Travell & Simons 1999, ch. 20; from memory)."""
    assert "scalenus_medius" in SAME["scalenus_anterior"]
    assert sum(bool(others) for others in SAME.values()) < len(SAME) / 3


def test_it_is_reckoned_once_for_each_atlas() -> None:
    assert alike.same_area(REAL) is SAME

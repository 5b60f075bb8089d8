"""The fewest sources that explain a whole drawing, on a body of boxes where shares are reckoned by hand."""

from __future__ import annotations

import pytest

from bodymaps import atlas, fewest, geometry, matching
from bodymaps.fewest import Fewest
from bodymaps.geometry import box
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy
from tests.bodymaps.toy import ache

FRONT = "front"
# Three neighbours: two halves of a square, and one in the middle that is larger than either (the case of
# Nemhauser GL, Wolsey LA, Fisher ML, Math Program 1978;14:265, in which greed takes the middle one).
UPPER = toy.muscle("biceps_brachii", {(FRONT, "core"): box(300, 0, 400, 100)})
LOWER = toy.muscle("brachialis", {(FRONT, "core"): box(300, 100, 400, 200)})
MIDDLE = toy.muscle("anconeus", {(FRONT, "core"): box(300, 40, 400, 160)})
ATLAS = toy.atlas(MIDDLE, UPPER, LOWER, dermatomes=(toy.dermatome("C5", front=box(400, 0, 500, 200)),))


def found(*marks: Mark, known: atlas.Atlas = ATLAS) -> Fewest:
    ranking = matching.rank(marks, known, something_drawn=True, skin=toy.SKIN)
    assert ranking.fewest is not None
    return ranking.fewest


def named(one: Fewest) -> set[tuple[str, str]]:
    return {(part.id, part.side) for part in one.parts}


def test_two_halves_are_taken_before_the_greater_middle() -> None:
    whole = found(ache(FRONT, box(300, 0, 400, 200)))
    assert named(whole) == {("biceps_brachii", "right"), ("brachialis", "right")}
    assert (whole.share, whole.pruned) == (pytest.approx(1), False)
    assert sorted(part.adds for part in whole.parts) == pytest.approx([0.5, 0.5])


def test_one_source_is_enough_when_it_explains_nine_tenths() -> None:
    enough = found(ache(FRONT, box(300, 0, 400, 110)))
    assert named(enough) == {("biceps_brachii", "right")}
    assert enough.share == pytest.approx(100 / 110)
    short = found(ache(FRONT, box(300, 0, 400, 114)))
    assert len(short.parts) == 2


def test_tingling_is_explained_by_a_root_and_the_ache_beside_it_by_a_muscle() -> None:
    both = found(ache(FRONT, box(400, 0, 500, 200), "tingling"), ache(FRONT, box(300, 0, 400, 100)))
    assert named(both) == {("C5", "right"), ("biceps_brachii", "right")}
    assert "ight C5 nerve root" in both.sentence


def test_a_root_explains_no_ache() -> None:
    aching = found(ache(FRONT, box(300, 0, 500, 100)))
    assert named(aching) == {("biceps_brachii", "right")}
    assert aching.share == pytest.approx(0.5)


def test_what_is_left_is_said_and_outlined() -> None:
    marks = [ache(FRONT, box(300, 0, 400, 100)), ache("back", box(500, 0, 600, 100))]
    one = found(*marks)
    assert one.places == ("back of right upper arm",)
    assert "unexplained: parts of back of right upper arm" in one.sentence
    left = fewest.outlines(one, marks)
    assert list(left) == ["back"]
    assert left["back"].area == pytest.approx(10_000)


def test_an_outline_of_what_is_left_lies_in_the_drawing_and_outside_what_explains_it() -> None:
    marks = drawn.marks(front__shoulder_anterior=0.9, front__arm_lateral=0.9, back__calf_central=0.8)
    one = found_on_figure(marks)
    for view, area in fewest.outlines(one, marks).items():
        pain = geometry.unite(mark.area for mark in marks if mark.view == view)
        assert geometry.is_inside(area, pain, 1.0)
        for part in one.parts:
            for zone in atlas.load().zones(part.id, part.side):
                if zone.view == view and zone.site == part.site:
                    assert geometry.overlap(area, zone.area).area < 0.1 * area.area + 30


def found_on_figure(marks: tuple[Mark, ...]) -> Fewest:
    ranking = matching.rank(marks, atlas.load())
    assert ranking.fewest is not None
    return ranking.fewest


TWIN = toy.muscle("teres_major", {(FRONT, "core"): box(300, 0, 400, 96)})


def test_what_would_do_in_the_place_of_one_is_named_beside_it() -> None:
    one = found(ache(FRONT, box(300, 0, 400, 100)), known=toy.atlas(UPPER, TWIN, LOWER))
    (part,) = one.parts
    (other,) = part.others
    assert {part.id, other.id} == {"biceps_brachii", "teres_major"}
    assert len(one.doubts) == 1
    assert one.doubts[0].startswith("Right ") and "; or " in one.doubts[0]
    assert one.as_json()["sources"][0]["or"] == [{"id": other.id, "side": "right", "name": other.name}]


def test_what_explains_too_little_of_it_would_not_do() -> None:
    half = toy.muscle("teres_major", {(FRONT, "core"): box(300, 0, 350, 100)})
    one = found(ache(FRONT, box(300, 0, 400, 100)), known=toy.atlas(UPPER, half))
    assert (one.parts[0].id, one.parts[0].others, one.doubts) == ("biceps_brachii", (), ())


def test_of_two_equal_sets_the_one_that_fits_what_it_explains_is_taken() -> None:
    """Both cover the strip; of the wide one nearly all stays undrawn."""
    wide = toy.muscle("anconeus", {(FRONT, "core"): box(300, 0, 500, 200)})
    assert named(found(ache(FRONT, box(300, 0, 400, 100)), known=toy.atlas(wide, UPPER))) == {
        ("biceps_brachii", "right")
    }


def test_of_two_pains_each_has_its_own_source_not_one_that_reaches_far_into_both() -> None:
    """By hand: the far one scores 1.5 / (1.5 + 0.8 * 0.5 + 0.2 * 2) = 0.65 of the whole, two exact ones 0.56
    each; but it fits what lies inside it only by 1.5 / 1.9 = 0.79, they wholly.
    """
    behind = toy.muscle("triceps_brachii", {("back", "core"): box(500, 0, 600, 100)})
    far = toy.muscle(
        "anconeus",
        {
            (FRONT, "core"): geometry.unite([box(300, 0, 400, 100), box(400, 0, 500, 200)]),
            ("back", "core"): box(500, 0, 550, 100),
        },
    )
    marks = [ache(FRONT, box(300, 0, 400, 100)), ache("back", box(500, 0, 600, 100))]
    whole = found(*marks, known=toy.atlas(far, UPPER, behind))
    assert named(whole) == {("biceps_brachii", "right"), ("triceps_brachii", "right")}


def test_a_root_explains_the_tingling_in_its_own_skin_only() -> None:
    half = found(
        ache(FRONT, box(400, 0, 500, 100), "tingling"), ache("back", box(500, 0, 600, 100), "tingling")
    )
    assert named(half) == {("C5", "right")}
    assert (half.share, half.nerve_left) == (pytest.approx(0.5), pytest.approx(0.5))


def test_nothing_ranked_is_not_explained() -> None:
    assert matching.rank([], ATLAS, skin=toy.SKIN).fewest is None


def test_pain_that_nothing_refers_to_has_no_source() -> None:
    none = found(ache("back", box(500, 0, 600, 100)))
    assert (none.parts, none.share) == ((), 0)
    assert none.sentence == "Nothing in this atlas explains the drawing."


def test_as_json_it_adds_up() -> None:
    data = found(ache(FRONT, box(300, 0, 400, 200)), ache("back", box(500, 0, 540, 100))).as_json()
    assert sum(one["adds"] for one in data["sources"]) == pytest.approx(data["share"], abs=1e-3)
    assert data["left"]["share"] == pytest.approx(1 - data["share"], abs=1e-4)
    assert data["fewest"].startswith("fewest-")

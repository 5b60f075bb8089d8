"""Several areas: each ranked alone, and the whole by what explains it."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bodymaps import atlas, explain, geometry, matching, notices
from bodymaps.explain import Explanation
from bodymaps.geometry import box
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy
from tests.bodymaps.test_pains import WAYS
from tests.bodymaps.toy import ache

FOLDER = Path(__file__).parent
WHOLES = tomllib.loads((FOLDER / "wholes.toml").read_text())["whole"]
PAINS = tomllib.loads((FOLDER / "pains.toml").read_text())["pain"]

# Simons DG, Travell JG, Simons LS, The Trigger Point Manual, vol. 1, 2nd ed. 1999, the pattern at the head of
# each chapter; from memory. Ch. 22: infraspinatus, front of shoulder, outer arm. Ch. 9: temporalis, temple,
# brow, upper teeth. Ch. 8: masseter, lower jaw and teeth.
SHOULDER = drawn.marks(front__shoulder_anterior=0.8, front__arm_lateral=0.6)
HEADACHE = drawn.marks(side="left", front__temple=0.8, front__cheek_maxilla=0.3, front__forehead=0.3)
JAW = drawn.marks(front__jaw_mandible=0.7)
LOW_BACK = drawn.marks(back__lumbar_paraspinal=0.8)


def of(*areas: tuple[Mark, ...]) -> Explanation:
    return explain.explain(areas, atlas.load())


def told(*areas: tuple[Mark, ...]) -> str:
    """The sentence on the whole drawing, with the areas each muscle explains."""
    whole = matching.rank([mark for area in areas for mark in area], atlas.load())
    assert whole.fewest
    return explain.together(whole.fewest, of(*areas).whole, areas)


def test_a_shoulder_ache_and_a_headache_are_each_led_by_their_own_muscle() -> None:
    found = of(SHOULDER, HEADACHE)
    first = [(one.muscles[0].muscle, one.muscles[0].side) for one in found.rankings]
    assert first == [("infraspinatus", "right"), ("temporalis", "left")]
    assert {(line.muscle, line.side) for line in found.whole[:2]} == set(first)
    assert found.sentences == ()
    sentence = told(SHOULDER, HEADACHE)
    assert "ight infraspinatus (area 1)" in sentence
    assert "eft temporalis (area 2)" in sentence


def test_it_names_the_area_that_nothing_explains() -> None:
    known = atlas.load()
    few = replace(known, muscles={name: known.muscles[name] for name in ("infraspinatus", "masseter")})
    found = explain.explain((SHOULDER, LOW_BACK, JAW), few)
    assert found.unexplained == (2,)
    assert found.sentences[-1] == "No muscle of this atlas explains area 2."
    assert {line.muscle: line.explains for line in found.whole} == {"infraspinatus": (1,), "masseter": (3,)}


@pytest.mark.parametrize("whole", WHOLES, ids=lambda whole: whole["id"])
def test_a_muscle_that_refers_to_all_the_areas_comes_first_for_the_whole(whole: dict[str, Any]) -> None:
    found = of(*(marks_of(regions) for regions in whole["areas"]))
    assert (found.whole[0].muscle, found.whole[0].side) == (whole["expected"], "right")
    assert found.whole[0].explains == (1, 2)


def test_however_the_areas_are_drawn_it_is_one_of_the_first_two_and_mostly_the_first() -> None:
    places = [
        place(whole["expected"], [shaped(regions, way) for regions in whole["areas"]])
        for whole in WHOLES
        for way in WAYS
    ]
    assert max(places) <= 2
    assert places.count(1) >= 0.8 * len(places)


def place(muscle: str, areas: list[tuple[Mark, ...]]) -> int:
    return [(line.muscle, line.side) for line in of(*areas).whole].index((muscle, "right")) + 1


def shaped(regions: dict[str, float], way: str) -> tuple[Mark, ...]:
    return tuple(Mark(name.split(":")[0], "ache", WAYS[way](name, share)) for name, share in regions.items())


def test_no_area_alone_would_have_told_it() -> None:
    """In most of these rows another muscle leads one of the areas: the whole is no list of winners."""
    led = [
        {one.muscles[0].muscle for one in of(*(marks_of(r) for r in whole["areas"])).rankings}
        for whole in WHOLES
    ]
    assert sum(led_by != {whole["expected"]} for led_by, whole in zip(led, WHOLES, strict=True)) >= 4


def marks_of(regions: dict[str, float], side: str = "right") -> tuple[Mark, ...]:
    return drawn.marks(side=side, **{name.replace(":", "__"): share for name, share in regions.items()})


@pytest.mark.parametrize("pain", PAINS, ids=lambda pain: pain["id"])
def test_with_one_area_the_order_is_that_of_the_ranking(pain: dict[str, Any]) -> None:
    marks = marks_of(pain["regions"])
    alone = matching.rank(marks, atlas.load())
    found = of(marks)
    assert found.rankings == (alone,)
    assert [(line.muscle, line.side) for line in found.whole] == [(m.muscle, m.side) for m in alone.muscles]
    assert [line.score for line in found.whole] == pytest.approx([m.score for m in alone.muscles])


def test_a_small_area_counts_as_much_as_a_large_one() -> None:
    """The shoulder is ten times the temple; the muscle of the temple is not lost behind its neighbours."""
    found = of(drawn.marks(front__shoulder_anterior=1, front__arm_lateral=1), drawn.marks(front__temple=0.9))
    assert [line.muscle for line in found.whole[:2]] == ["temporalis", "infraspinatus"]


def test_an_area_the_fewest_leave_open_is_named() -> None:
    """Tingling in the sole weighs little, and no muscle of two is felt there: nine tenths are explained."""
    known = atlas.load()
    few = replace(
        known, muscles={name: known.muscles[name] for name in ("infraspinatus", "temporalis")}, dermatomes={}
    )
    areas = (SHOULDER, HEADACHE, drawn.marks("tingling", "right", back__heel_plantar=0.3))
    whole = matching.rank([mark for area in areas for mark in area], replace(few, structures={}))
    assert whole.fewest
    assert whole.fewest.unexplained(areas, 0.4) == (3,)
    assert "unexplained: area 3" in explain.together(whole.fewest, explain.explain(areas, few).whole, areas)
    assert "tingling or numb part stays unexplained" in whole.fewest.sentence


def test_areas_in_another_order_are_explained_the_same() -> None:
    one, other = of(SHOULDER, HEADACHE, JAW), of(JAW, SHOULDER, HEADACHE)
    assert [(line.muscle, line.side) for line in one.whole] == [
        (line.muscle, line.side) for line in other.whole
    ]


# On the body of boxes, where the shares can be reckoned by hand.

WIDE = toy.muscle(
    "biceps_brachii",
    {("front", "core"): box(300, 0, 400, 100), ("front", "spillover"): box(400, 0, 500, 200)},
)
NARROW = toy.muscle("brachialis", {("front", "core"): box(400, 100, 500, 200)})
ATLAS = toy.atlas(WIDE, NARROW)


def toy_of(*areas: list[Mark]) -> Explanation:
    return explain.explain(areas, ATLAS, skin=toy.SKIN)


def test_one_muscle_for_two_areas_is_taken_before_two_though_each_alone_is_fitted_better() -> None:
    """Wide has 0.54 for its lower corner, which is the whole of narrow (1.0), and 0.33 for its own strip."""
    wide = toy.muscle(
        "biceps_brachii",
        {("front", "core"): box(300, 0, 500, 100), ("front", "spillover"): box(300, 100, 500, 200)},
    )
    areas = [[ache("front", box(400, 100, 500, 200))], [ache("front", box(300, 0, 320, 100))]]
    found = explain.explain(areas, toy.atlas(wide, NARROW), skin=toy.SKIN)
    assert [one.muscles[0].score for one in found.rankings] == pytest.approx([1, 1 / 3])
    line = next(line for line in found.whole if line.muscle == "biceps_brachii")
    assert line.explains == (1, 2)
    both = matching.rank([mark for area in areas for mark in area], toy.atlas(wide, NARROW), skin=toy.SKIN)
    assert both.fewest
    sentence = explain.together(both.fewest, found.whole, areas)
    assert sentence.startswith("Right biceps brachii (areas 1 and 2) alone explains 100 % of the drawing")


def test_a_wide_pattern_that_another_fits_twice_as_well_explains_nothing_there() -> None:
    """The second area is the whole core of a small pattern, and a corner of the wide one's spillover."""
    corner = box(480, 100, 500, 200)
    small = toy.muscle("brachialis", {("front", "core"): corner})
    areas = [[ache("front", box(300, 0, 400, 100))], [ache("front", corner)]]
    found = explain.explain(areas, toy.atlas(WIDE, small), skin=toy.SKIN)
    wide = next(line for line in found.whole if line.muscle == "biceps_brachii" and line.side == "right")
    assert [share.explained for share in wide.shares] == pytest.approx([1, 1])
    assert wide.shares[1].score < explain.parameters().least_of_best * found.rankings[1].muscles[0].score
    assert wide.explains == (1,)


def test_less_than_the_share_is_not_explained() -> None:
    """Of a strip 100 mm high, so much lies in the core of the narrow muscle, the rest outside any pattern."""
    limit = explain.parameters().explains_share
    for inside, expected in ((limit + 0.05, True), (limit - 0.05, False)):
        left = 400 - 100 * (1 - inside) / inside
        found = explain.explain([[ache("front", box(left, 100, 500, 200))]], toy.atlas(NARROW), skin=toy.SKIN)
        assert found.whole[0].shares[0].explained == pytest.approx(inside, abs=0.005)  # cells of 2 mm
        assert found.unexplained == (() if expected else (1,))


def test_an_area_that_cannot_be_ranked_says_why_and_is_no_failure_of_the_muscles() -> None:
    tap = [Mark("front", "ache", geometry.paint_line([(450, 20)], 20), tap=True)]
    found = toy_of([ache("front", box(300, 0, 400, 100))], tap)
    assert (found.unexplained, found.unranked) == ((), (2,))
    assert found.sentences == (f"Area 2: {notices.LONE_TAP}",)
    assert found.whole[0].score == pytest.approx(found.rankings[0].muscles[0].score)


def test_findings_explain_nothing() -> None:
    pain = [ache("front", box(300, 0, 400, 100))]
    assert toy_of([*pain, ache("front", box(400, 100, 500, 200), "tender_spot")]) == toy_of(pain)


def test_no_areas_need_no_explanation() -> None:
    assert toy_of() == Explanation((), (), (), (), ())


def test_as_json_is_plain_and_names_its_version() -> None:
    data = of(SHOULDER, LOW_BACK).as_json()
    assert data["explanation"] == explain.parameters().version
    assert [one["area"] for one in data["areas"]] == [1, 2]
    assert data["areas"][0]["muscles"][0]["id"] == "infraspinatus"
    line = data["whole"][0]
    explains = (line["id"], line["areas"][0]["area"], line["areas"][0]["explains"])
    assert explains == ("longissimus_thoracis", 2, True)
    assert data["unexplained"] == []

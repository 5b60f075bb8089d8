"""The ranking, on a body of boxes where every number can be reckoned by hand (see toy.py)."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodymaps import candidates, geometry, kinds, matching, notices
from bodymaps.atlas import Atlas
from bodymaps.geometry import Area, box
from bodymaps.marks import Mark
from bodymaps.matching import Match, Ranking
from tests.bodymaps import toy
from tests.bodymaps.toy import ache

# biceps: core 300..400 x 0..100 (10,000 mm²), spillover the square below; brachialis: thumb and a far strip.
BICEPS = toy.muscle(
    "biceps_brachii",
    {("front", "core"): box(300, 0, 400, 100), ("front", "spillover"): box(300, 100, 400, 200)},
)
BRACHIALIS = toy.muscle(
    "brachialis",
    {("front", "core"): box(200, 200, 220, 220), ("front", "spillover"): box(450, 0, 500, 200)},
)
OUTER = toy.muscle(
    "deltoideus_medius", {("front", "core"): box(200, 0, 300, 200), ("back", "core"): box(700, 0, 800, 200)}
)
ATLAS = toy.atlas(
    BICEPS,
    BRACHIALIS,
    OUTER,
    dermatomes=(
        toy.dermatome("C5", front=box(300, 0, 400, 200)),
        toy.dermatome("C6", front=box(200, 200, 220, 220)),
    ),
)


def rank(*marks: Mark, atlas: Atlas = ATLAS, something_drawn: bool = True) -> Ranking:
    return matching.rank(marks, atlas, something_drawn=something_drawn, skin=toy.SKIN)


def line(ranking: Ranking, muscle: str, side: str = "right") -> Match:
    return next(match for match in ranking.muscles if (match.muscle, match.side) == (muscle, side))


def test_the_whole_core_and_half_outside_is_reckoned_as_by_hand() -> None:
    """Drawn: the core and as much again outside in the same region, a tenth of it within 10 mm."""
    match = line(
        rank(ache("front", box(300, 0, 400, 100)), ache("front", box(400, 0, 500, 100))), "biceps_brachii"
    )
    assert match.core_coverage == pytest.approx(1)
    assert match.explained == pytest.approx(0.5)
    shared, outside, missing = 10_000, 9_000 + 0.5 * 1_000, 0.1 * 10_000
    assert match.score == pytest.approx(shared / (shared + 0.8 * outside + 0.2 * missing))


def test_the_reasons_say_what_matched_in_plain_words() -> None:
    ranking = rank(ache("front", box(300, 0, 400, 80)), ache("front", box(420, 0, 464, 100)))
    match = line(ranking, "biceps_brachii")
    assert match.reasons == (
        "covers 80 % of the core zone",
        "explains 65 % of the drawing",
        "unexplained: front of right upper arm",
    )


def test_a_pattern_reached_in_the_spillover_only_says_so() -> None:
    match = line(rank(ache("front", box(300, 120, 400, 200))), "biceps_brachii")
    assert match.core_coverage == 0
    assert match.reasons[0] == "reaches the spillover zone only"


def test_the_whole_pattern_scores_one_and_leaves_nothing_unexplained() -> None:
    match = rank(ache("front", box(300, 0, 400, 200))).muscles[0]
    assert (match.muscle, match.side) == ("biceps_brachii", "right")
    assert match.score == pytest.approx(1)
    assert match.unexplained == ()


def test_core_drawn_scores_more_than_spillover_drawn() -> None:
    core = line(rank(ache("front", box(300, 0, 400, 100))), "biceps_brachii")
    spill = line(rank(ache("front", box(300, 100, 400, 200))), "biceps_brachii")
    assert core.score > spill.score


def test_a_missing_half_costs_less_than_pain_outside_it() -> None:
    half = line(rank(ache("front", box(300, 0, 350, 200))), "biceps_brachii")
    outside = line(
        rank(ache("front", box(300, 0, 400, 200)), ache("back", box(500, 0, 600, 100))), "biceps_brachii"
    )
    assert half.score > outside.score


def test_a_small_region_does_not_drown_under_a_large_one() -> None:
    """The thumb (400 mm²) and a patch of arm 25 times as large: by area the thumb has 4 % of the say."""
    both = rank(ache("front", box(200, 200, 220, 220)), ache("front", box(300, 0, 400, 100)))
    by_area = 400 / 10_400
    assert line(both, "brachialis").score > 2 * by_area
    assert line(both, "brachialis").explained == pytest.approx(by_area)


def test_skin_seen_in_both_views_counts_once() -> None:
    front = line(rank(ache("front", box(200, 0, 300, 200))), "deltoideus_medius")
    back = line(rank(ache("back", box(700, 0, 800, 200))), "deltoideus_medius")
    both = line(
        rank(ache("front", box(200, 0, 300, 200)), ache("back", box(700, 0, 800, 200))), "deltoideus_medius"
    )
    for match in (front, back, both):
        assert (match.explained, match.core_coverage, match.score) == pytest.approx((1, 1, 1))


def test_half_of_the_strip_in_each_view_covers_what_it_covers_together() -> None:
    upper, lower = ache("front", box(200, 0, 300, 100)), ache("back", box(700, 100, 800, 200))
    assert line(rank(upper, lower), "deltoideus_medius").core_coverage == pytest.approx(1)
    assert line(rank(upper), "deltoideus_medius").core_coverage == pytest.approx(0.5)


# Kinds.


def test_skin_that_is_core_in_one_view_is_no_spillover_in_the_other() -> None:
    """The outer strip is core seen from the front and spillover seen from behind: all of it is core."""
    strip = toy.muscle(
        "triceps_brachii",
        {("front", "core"): box(200, 0, 300, 200), ("back", "spillover"): box(700, 0, 800, 200)},
    )
    found = line(rank(ache("front", box(200, 0, 300, 200)), atlas=toy.atlas(strip)), "triceps_brachii")
    assert (found.score, found.explained) == (pytest.approx(1), pytest.approx(1))
    half = candidates.index(toy.atlas(strip), toy.SKIN, 10, 0.5).candidates[0]
    assert (half.core_mm2, half.spillover_mm2) == (20_000, 0)


def test_the_core_of_one_site_is_no_spillover_of_all_sites_together() -> None:
    sites = toy.muscle(
        "triceps_brachii",
        {("front", "core"): box(300, 0, 400, 100), ("front", "spillover"): box(400, 0, 500, 100)},
        {("front", "core"): box(400, 0, 500, 50)},
    )
    together = candidates.index(toy.atlas(sites), toy.SKIN, 10, 0.5).candidates[2]
    assert together.site == "all"
    assert (together.core_mm2, together.spillover_mm2) == (15_000, 5_000)


def test_overlapping_kinds_count_an_area_once_with_the_highest_weight() -> None:
    area = box(300, 0, 400, 100)
    alone, twice = rank(ache("front", area)), rank(ache("front", area), ache("front", area, "numbness"))
    assert twice.muscles == alone.muscles


def test_a_kind_of_less_weight_scores_less_and_explains_the_same() -> None:
    area = box(300, 0, 400, 100)
    aching, numb = (line(rank(ache("front", area, kind)), "biceps_brachii") for kind in ("ache", "numbness"))
    assert numb.score < aching.score
    assert numb.explained == aching.explained
    weight = kinds.kind("numbness").weight
    assert numb.score == pytest.approx(weight * 10_000 / (weight * 10_000 + 0.2 * 0.1 * 10_000))


def test_the_weights_of_the_kinds_are_printed_with_the_ranking() -> None:
    printed = rank(ache("front", box(300, 0, 400, 100))).as_json()["kind_weights"]
    assert printed == {kind.id: kind.weight for kind in kinds.symptoms()}


# One line per muscle and side, fixed order.


def test_a_muscle_has_one_line_a_side_the_best_of_its_sites_and_their_union() -> None:
    two = toy.muscle(
        "triceps_brachii",
        {("front", "core"): box(300, 0, 400, 100)},
        {("front", "core"): box(400, 0, 500, 100)},
    )
    atlas = toy.atlas(two)
    first = rank(ache("front", box(300, 0, 400, 100)), atlas=atlas)
    union = rank(ache("front", box(300, 0, 500, 100)), atlas=atlas)
    assert [(m.side, m.site) for m in first.muscles] == [("right", "site1")]
    assert [(m.side, m.site) for m in union.muscles] == [("right", "all")]
    assert union.muscles[0].score == pytest.approx(1)


def test_equal_scores_stand_in_the_order_of_the_atlas_right_before_left() -> None:
    zones = {("front", "core"): box(300, 0, 400, 100)}
    atlas = toy.atlas(toy.muscle("teres_major", zones), toy.muscle("anconeus", zones))
    drawn = [ache("front", box(300, 0, 400, 100)), ache("front", box(600, 0, 700, 100))]
    found = [(match.muscle, match.side) for match in rank(*drawn, atlas=atlas).muscles]
    assert found == [
        ("teres_major", "right"),
        ("teres_major", "left"),
        ("anconeus", "right"),
        ("anconeus", "left"),
    ]


def test_a_muscle_without_any_overlap_has_no_line() -> None:
    ranking = rank(ache("front", box(320, 20, 380, 80)))
    assert {match.muscle for match in ranking.muscles} == {"biceps_brachii"}


# Notices that stand alone.


def test_a_muscle_whose_score_would_be_printed_as_nothing_has_no_line() -> None:
    beside = box(300, 0, 449.9, 200)
    assert "brachialis" not in [match.muscle for match in rank(ache("front", beside)).muscles]
    grazing = ache("front", box(300, 0, 450.001, 200))
    assert "brachialis" not in [match.muscle for match in rank(grazing).muscles]
    reaching = ache("front", box(300, 0, 455, 200))
    assert all(one["score"] > 0 for one in rank(reaching).as_json()["muscles"])
    assert "brachialis" in [match.muscle for match in rank(reaching).muscles]


def test_an_empty_drawing_has_one_notice_and_no_muscles() -> None:
    assert rank(something_drawn=False) == Ranking((), (), (notices.EMPTY,))


def test_a_drawing_off_the_body_has_one_notice_and_no_muscles() -> None:
    assert rank() == Ranking((), (), (notices.OFF_BODY,))


def test_a_lone_tap_has_one_notice_however_wide_the_nib() -> None:
    for size in (5, 60):
        disc = geometry.paint_line([(350, 50)], size)
        assert rank(Mark("front", "ache", disc, tap=True)) == Ranking((), (), (notices.LONE_TAP,))


def test_a_dot_is_a_tap_even_when_drawn_as_an_area() -> None:
    assert rank(ache("front", box(350, 50, 358, 58))).notices == (notices.LONE_TAP,)


def test_a_small_area_that_was_drawn_is_ranked() -> None:
    assert rank(ache("front", box(200, 200, 220, 220))).muscles[0].muscle == "brachialis"


def test_two_taps_are_ranked() -> None:
    discs = [geometry.paint_line([(350, y)], 20) for y in (30, 70)]
    marks = Mark("front", "ache", geometry.unite(discs))
    assert rank(marks).muscles


def test_two_taps_of_two_kinds_in_two_places_are_ranked() -> None:
    taps = [
        Mark("front", kind, geometry.paint_line([(350, y)], 20), tap=True)
        for kind, y in (("ache", 30), ("burning", 70))
    ]
    assert rank(*taps).muscles


def test_a_covered_body_has_one_notice_and_no_muscles() -> None:
    drawn = [ache(view, outline) for view, outline in toy.OUTLINES.items()]
    assert rank(*drawn) == Ranking((), (), (notices.EVERYTHING,))


def test_a_covered_view_says_nothing_of_place_either() -> None:
    front = ache("front", toy.OUTLINES["front"])
    assert rank(front).notices == (notices.EVERYTHING,)
    assert rank(front, ache("back", box(200, 200, 220, 220))) == Ranking((), (), (notices.EVERYTHING,))


# Roots.


def test_nerve_like_kinds_are_held_against_the_roots() -> None:
    ranking = rank(ache("front", box(300, 0, 400, 150), "tingling"), ache("front", box(450, 0, 500, 200)))
    (root,) = ranking.roots
    assert (root.root, root.side, root.share) == ("C5", "right", pytest.approx(1))
    assert "consider a nerve root" in root.words.lower()
    assert "examine before needling" in root.words


def test_a_root_that_holds_a_small_part_only_is_not_named() -> None:
    fifth = ache("front", box(380, 0, 480, 150), "tingling")
    assert rank(fifth).roots == ()
    third = ache("front", box(360, 0, 480, 150), "tingling")
    assert [root.root for root in rank(third).roots] == ["C5"]


def test_ache_alone_names_no_root() -> None:
    assert rank(ache("front", box(300, 0, 400, 150))).roots == ()


def test_the_left_root_is_the_mirror_of_the_right() -> None:
    (root,) = rank(ache("front", box(600, 0, 700, 150), "burning")).roots
    assert (root.root, root.side) == ("C5", "left")


def test_nerve_like_pain_outside_all_roots_is_said() -> None:
    ranking = rank(ache("back", box(500, 0, 600, 100), "tingling"))
    assert ranking.roots == ()
    assert any("single nerves" in notice for notice in ranking.notices)


def test_no_wording_claims_a_diagnosis() -> None:
    drawn = [ache("front", box(300, 0, 400, 150), kind) for kind in ("ache", "numbness")]
    text = str(rank(*drawn, ache("front", box(200, 200, 220, 220), "burning")).as_json())
    assert not re.search(r"diagnos|\bcaused by\b|\byou have\b|\bis due to\b", text, re.IGNORECASE)


# Properties.

rectangles = st.tuples(
    st.integers(200, 480), st.integers(0, 180), st.integers(12, 200), st.integers(12, 200)
).map(lambda r: geometry.overlap(box(r[0], r[1], r[0] + r[2], r[1] + r[3]), toy.OUTLINES["front"]))
drawings = st.lists(st.tuples(rectangles, st.sampled_from(kinds.IDS)), min_size=1, max_size=4)


def front_marks(drawn: list[tuple[Area, str]], mirror: bool = False) -> list[Mark]:
    return [
        Mark("front", kind, geometry.mirrored(area, 500) if mirror else area)
        for area, kind in drawn
        if not area.is_empty
    ]


@settings(max_examples=50, deadline=None)
@given(drawings)
def test_a_mirrored_drawing_has_the_mirrored_ranking(drawn: list[tuple[Area, str]]) -> None:
    swap = {"right": "left", "left": "right"}
    right, left = rank(*front_marks(drawn)), rank(*front_marks(drawn, mirror=True))
    one = sorted((match.muscle, match.side, round(match.score, 6)) for match in right.muscles)
    other = sorted((match.muscle, swap[match.side], round(match.score, 6)) for match in left.muscles)
    assert one == other


@settings(max_examples=50, deadline=None)
@given(drawings)
def test_all_shares_stay_between_nothing_and_one(drawn: list[tuple[Area, str]]) -> None:
    for match in rank(*front_marks(drawn)).muscles:
        assert 0 < match.score <= 1
        assert 0 <= match.explained <= 1
        assert 0 <= match.core_coverage <= 1


@settings(max_examples=25, deadline=None)
@given(drawings, st.randoms(use_true_random=False))
def test_the_order_of_the_marks_does_not_matter(drawn: list[tuple[Area, str]], dice: random.Random) -> None:
    marks = front_marks(drawn)
    first = rank(*marks).as_json()
    dice.shuffle(marks)
    assert rank(*marks).as_json() == first


# Findings on examination, and layers.

PAIN = ache("front", box(300, 0, 400, 100))
TINGLING = ache("front", box(400, 0, 450, 50), "tingling")


def test_findings_change_nothing_of_a_ranking() -> None:
    findings = [ache("front", box(200, 0, 500, 200), kind) for kind in kinds.FINDINGS]
    pain = rank(PAIN, TINGLING)
    assert pain.muscles and pain.notices
    assert rank(*findings, PAIN, TINGLING) == pain


def test_numbness_found_on_testing_names_no_root() -> None:
    numb = rank(ache("front", box(300, 0, 400, 100), "numbness"))
    found = rank(PAIN, ache("front", box(300, 0, 400, 100), "less_feeling"))
    assert (bool(numb.roots), bool(found.roots)) == (True, False)


def test_findings_alone_are_not_ranked_and_it_says_why() -> None:
    found = rank(ache("front", box(300, 0, 400, 100), "tender_spot"))
    assert (found.muscles, found.roots, found.notices) == ((), (), (notices.FINDINGS_ONLY,))


def test_the_same_pain_on_two_layers_counts_once() -> None:
    twice = [replace(mark, layer=name) for name in ("patient", "helper") for mark in (PAIN, TINGLING)]
    assert rank(*twice) == rank(PAIN, TINGLING)


def test_the_kinds_of_a_ranking_are_the_seven_pains() -> None:
    assert tuple(rank(PAIN).as_json()["kind_weights"]) == kinds.IDS

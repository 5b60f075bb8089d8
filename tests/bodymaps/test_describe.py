"""A drawing in plain sentences."""

from bodymaps import describe, regions, words
from bodymaps.geometry import EMPTY, box
from tests.bodymaps import toy
from tests.bodymaps.toy import ache


def test_a_kind_has_a_sentence_with_places_sides_and_sizes() -> None:
    drawn = [
        ache("front", box(300, 0, 400, 100)),
        ache("front", box(200, 0, 300, 40)),
        ache("back", box(300, 0, 400, 100), "tingling"),
    ]
    assert describe.drawing(drawn, toy.SKIN) == (
        "Ache: front of right upper arm (100 cm²) and right outer upper arm (40 cm²); 140 cm² in all.",
        "Tingling: back of left upper arm (100 cm²).",
    )


def test_a_strip_drawn_in_both_views_is_told_once() -> None:
    drawn = [ache("front", box(200, 0, 300, 200)), ache("back", box(700, 0, 800, 200))]
    assert describe.drawing(drawn, toy.SKIN) == ("Ache: right outer upper arm (200 cm²).",)


def test_a_sliver_beside_a_large_area_is_not_named_but_a_small_region_is() -> None:
    drawn = [ache("front", box(297, 0, 400, 100)), ache("front", box(200, 200, 220, 220))]
    (sentence,) = describe.drawing(drawn, toy.SKIN)
    assert "outer" not in sentence
    assert "palm side of right thumb (4 cm²)" in sentence


def test_a_spot_is_never_nothing() -> None:
    assert describe.cm2(40) == "under 1 cm²"
    assert describe.drawing([ache("front", EMPTY)], toy.SKIN) == ()


def test_shares_are_never_rounded_to_none_or_all() -> None:
    assert [words.percent(share) for share in (0, 0.001, 0.8, 0.999, 1)] == [
        "0 %",
        "under 1 %",
        "80 %",
        "over 99 %",
        "100 %",
    ]


def test_every_region_has_words() -> None:
    for name in regions.names():
        said = words.region_on(name.id, "midline" if name.midline else "left")
        assert ("left" in said) is not name.midline
        assert "," not in said  # they stand in lists


def test_silence_is_only_announced_outside_the_groups_the_atlas_holds() -> None:
    assert words.comes_later("back:lumbar_paraspinal") == "back"
    assert words.comes_later("front:palm_central") == "wrist and hand"
    assert words.comes_later("front:temple") is None
    assert words.comes_later("back:neck_posterior") is None

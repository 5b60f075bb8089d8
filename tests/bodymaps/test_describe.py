"""A drawing in plain sentences."""

from dataclasses import replace

from bodymaps import describe, figure, regions, words
from bodymaps.geometry import EMPTY, box
from bodymaps.marks import Spot
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


# Symptom areas, the worst spot, findings, parts free of pain.


def test_an_area_has_one_sentence_with_number_places_strengths_and_size() -> None:
    drawn = [
        ache("front", box(300, 0, 400, 100)),
        ache("front", box(200, 0, 300, 40)),
        ache("front", box(300, 0, 400, 50), "burning"),
    ]
    assert describe.area(1, drawn, {"ache": 6, "burning": 0}, toy.SKIN) == (
        "Area 1, front of right upper arm and right outer upper arm: "
        "ache 6 of 10 and burning 0 of 10; 140 cm²."
    )


def test_a_strength_that_was_not_said_is_not_told_nor_one_of_a_kind_that_is_gone() -> None:
    drawn = [ache("front", box(300, 0, 400, 100))]
    assert describe.area(3, drawn, {"numbness": 4}, toy.SKIN) == (
        "Area 3, front of right upper arm: ache; 100 cm²."
    )


def test_an_area_over_many_regions_names_the_largest_and_says_how_many_more() -> None:
    every = [ache(one.view, one.area) for one in toy.REGIONS]
    said = describe.area(1, every, {}, toy.SKIN)
    assert said.count("upper arm") == 4 and "and 4 more: ache" in said


def test_an_area_of_findings_only_is_no_area() -> None:
    assert describe.area(1, [ache("front", box(300, 0, 400, 100), "tender_spot")], {}, toy.SKIN) == ""


def test_findings_say_how_they_were_found() -> None:
    drawn = [
        ache("front", box(300, 0, 400, 100)),
        ache("front", box(200, 0, 300, 40), "less_feeling"),
        ache("front", box(200, 200, 220, 220), "tender_spot"),
    ]
    told = (
        "Less feeling on testing: right outer upper arm (40 cm²).",
        "Tender spot on pressing: palm side of right thumb (4 cm²).",
    )
    assert describe.findings(drawn, toy.SKIN) == told
    assert describe.drawing(drawn, toy.SKIN)[1:] == told


def test_findings_are_no_part_of_the_painful_skin() -> None:
    drawn = [ache("front", box(300, 0, 400, 100)), ache("front", box(200, 0, 300, 40), "less_feeling")]
    assert describe.total_cm2(drawn) == 100


def test_two_layers_of_one_kind_are_told_once() -> None:
    pain = ache("front", box(300, 0, 400, 100))
    both = [replace(pain, layer="patient"), replace(pain, layer="helper")]
    assert describe.drawing(both, toy.SKIN) == describe.drawing([pain], toy.SKIN)
    assert describe.area(1, both, {}, toy.SKIN) == describe.area(1, [pain], {}, toy.SKIN)


def test_the_worst_spot_is_told_by_its_region() -> None:
    x, y = figure.load().landmark("front", "humeral_head")
    assert describe.spot(Spot("patient", "front", x, y)) == "Worst spot: front of right shoulder."
    assert describe.spot(Spot("patient", "back", x, y)) == "Worst spot: back of left shoulder."


def test_a_worst_spot_beside_the_body_is_told_by_the_nearest_region() -> None:
    assert describe.spot(Spot("", "front", 190, 530)) == "Worst spot: right outer upper arm."


def test_parts_free_of_pain_are_told_in_the_order_of_the_body() -> None:
    assert describe.cleared(["shoulder right", "neck"]) == "Nothing here: neck, right shoulder."
    assert describe.cleared([]) == ""

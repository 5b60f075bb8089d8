"""Coarse parts of the body, the places to look closer at, and the rings of the regions."""

from __future__ import annotations

import copy
import json
import tomllib
import uuid
from typing import Any

import pytest

from bodymaps import figure, geometry, marks, parts, regions, strokes
from bodymaps.geometry import box
from bodymaps.marks import Mark
from bodymaps.parts import PartsError
from bodymaps.regions import Region
from bodymaps.strokes import Stroke
from tests.bodymaps import drawn

FILE = tomllib.loads(parts.FILE.read_text())


def test_every_region_of_every_side_is_in_exactly_one_part() -> None:
    held = [region for part in parts.load().parts for region in part.regions]
    assert len(held) == len(set(held)) == len(regions.load()) == 223
    assert set(held) == {(one.id, one.side) for one in regions.load()}


def test_a_part_holds_the_regions_of_its_own_side_only() -> None:
    for part in parts.load().parts:
        if part.side != "midline":
            assert {side for _, side in part.regions} == {part.side}


def test_parts_have_keys_and_words_of_a_patient() -> None:
    assert parts.part("neck").label == "Neck"
    assert parts.part("shoulder right").label == "Right shoulder"
    assert parts.part_of("front:shoulder_anterior", "left").key == "shoulder left"
    assert parts.part_of("back:neck_angle", "left").key == "neck"
    assert len(set(parts.KEYS)) == len(parts.KEYS) == len({part.label for part in parts.load().parts})


def broken(**changes: Any) -> dict[str, Any]:
    """The file with members of its first part changed: the head."""
    data = copy.deepcopy(FILE)
    data["part"][0].update(changes)
    return data


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (broken(regions=["front:head_vertex"]), "is in no part"),
        (broken(regions=[*FILE["part"][0]["regions"], "back:neck_posterior"]), "is in head and neck"),
        (broken(regions=["front:tail"]), "front:tail is not a region"),
        (broken(id="neck"), "neck is there twice"),
        (broken(label="{side} head"), "the label"),
        ({**FILE, "place": [{**FILE["place"][0], "parts": ["tail"]}]}, "tail is not a part"),
    ],
)
def test_a_file_that_cannot_be_used_names_what_to_mend(data: dict[str, Any], told: str) -> None:
    with pytest.raises(PartsError, match=told):
        parts.checked(data, regions.load())


# Which parts a drawing touches.


def ache(view: str, area: geometry.Area, kind: str = "ache") -> Mark:
    return Mark(view, kind, area)


def test_a_drawing_touches_the_part_it_lies_in() -> None:
    assert parts.parts_drawn(drawn.marks(front__shoulder_anterior=0.5)) == ("shoulder right",)
    assert parts.parts_drawn(drawn.marks(side="left", back__neck_angle=0.9, back__sacrum=0.5)) == (
        "neck",
        "low_back",
    )
    assert parts.parts_drawn([]) == ()


def test_a_drawing_touches_a_side_of_a_part_that_lies_on_both() -> None:
    assert parts.sides_drawn(drawn.marks(side="left", back__neck_angle=0.9)) == {("neck", "left")}
    assert parts.sides_drawn(drawn.marks(front__shoulder_anterior=0.5)) == {("shoulder", "right")}
    assert parts.sides_drawn([ache("front", drawn.region("front:temple"), "tender_spot")]) == frozenset()
    for one in regions.load():
        half = parts.part_of(one.id, one.side).id, one.side
        assert half in parts.sides_drawn([ache(one.view, one.area)]), one.key


def test_a_tap_on_a_thumb_touches_the_hand() -> None:
    assert parts.parts_drawn([ache("front", geometry.paint_line([(100, 915)], 8))]) == ("hand right",)


def test_a_line_that_overruns_a_border_is_no_pain_in_the_next_part() -> None:
    """The upper end of the right forearm is shaded, and a finger's breadth too far up."""
    forearm = drawn.region("front:forearm_middle_volar")
    top = forearm.bounds[1]
    area = geometry.overlap(marks.body_outlines()["front"], box(183, top - 3, 253, 835))
    elbow = sum(geometry.overlap_sizes(area, [drawn.region("front:elbow_anterior")]))
    assert elbow > 0
    assert parts.parts_drawn([ache("front", area)]) == ("forearm right",)


def test_a_large_area_touches_the_part_in_which_it_ends() -> None:
    """A whole thigh and a third of the kneecap: little of the ink, but much of the knee."""
    thigh = [
        drawn.region(f"front:thigh_{name}")
        for name in ("anterior_upper", "anterior_lower", "medial", "lateral")
    ]
    area = geometry.unite([*thigh, drawn.end("front:knee_anterior", "right", 0.35)])
    knee = sum(geometry.overlap_sizes(area, [drawn.region("front:knee_anterior")]))
    assert knee < parts.load().of_patch * area.area
    assert parts.parts_drawn([ache("front", area)]) == ("thigh right", "knee right")


def test_a_finding_is_not_the_patients_word() -> None:
    assert parts.parts_drawn([ache("front", drawn.region("front:temple"), "tender_spot")]) == ()


def test_what_is_drawn_on_is_no_longer_free_of_pain() -> None:
    said = ["knee left", "shoulder right", "neck"]
    assert parts.still_clear(said, drawn.marks(front__shoulder_anterior=0.5)) == ("neck", "knee left")


# Looking closer.


def test_there_is_a_place_for_each_thing_to_look_at_closer() -> None:
    assert [place.id for place in parts.load().places] == [
        "head_neck",
        "shoulders",
        "hand_right",
        "hand_left",
        "low_back",
        "knees",
        "feet",
        "sole_right",
        "sole_left",
    ]


def test_a_box_holds_its_parts_with_room_and_stays_on_the_sheet() -> None:
    places = {place.id: place for place in parts.load().places}
    for name, region, side in (
        ("head_neck", "back:occiput", "left"),
        ("hand_right", "back:little_dorsal", "right"),
        ("sole_left", "back:sole_lateral", "left"),
        ("feet", "front:great_toe_dorsal", "right"),
    ):
        view = region.split(":")[0]
        left, top, right, bottom = places[name].boxes[view]
        inside = drawn.region(region, side).bounds
        assert left < inside[0] and top < inside[1] and inside[2] < right and inside[3] <= bottom
    for place in places.values():
        for view, (left, top, right, bottom) in place.boxes.items():
            frame = figure.load().view(view)
            assert 0 <= left < right <= frame.width and 0 <= top < bottom <= frame.height


def test_it_is_closer_than_the_whole_figure_by_far() -> None:
    for place in parts.load().places:
        for left, top, right, bottom in place.boxes.values():
            assert right - left <= 560 and bottom - top <= 450


def test_a_place_has_no_box_where_there_is_nothing_of_it() -> None:
    boxes = {place.id: set(place.boxes) for place in parts.load().places}
    assert boxes["low_back"] == boxes["sole_right"] == {"back"}
    assert boxes["hand_left"] == boxes["knees"] == {"front", "back"}


# Rings, and all of it for the board.


def painted(one: Region) -> geometry.Area:
    """What the board's tick in the list paints."""
    points = tuple(strokes.Point(x, y, 0.5, 0) for x, y in regions.ring(one))
    tick = Stroke(str(uuid.UUID(int=1, version=4)), 1, one.view, "ache", "area", 1, points, region=one.key)
    (mark,) = marks.paint([tick])
    return mark.area


def test_a_tick_in_the_list_paints_the_region() -> None:
    for one in regions.load():
        area, whole = painted(one), geometry.as_area(one.area)
        assert 3 <= len(regions.ring(one)) <= 120, one.key
        assert len(area.geoms) == 1 or one.id == "back:lesser_toes_plantar", one.key
        # Nothing of the region farther than 1.5 mm inside is left out, nothing farther outside is covered.
        assert geometry.is_inside(geometry.widen(whole, -1.5), area, 0.01), one.key
        assert geometry.is_inside(area, geometry.widen(whole, 1.5), 0.01), one.key


def test_a_tick_is_a_stroke_that_can_be_sent() -> None:
    for one in regions.load():
        sent = {
            "id": str(uuid.UUID(int=1, version=4)),
            "seq": 1,
            "view": one.view,
            "kind": "ache",
            "mode": "area",
            "nib_mm": 1,
            "points": [[x, y, 0.5, 0] for x, y in regions.ring(one)],
            "region": one.key,
        }
        assert strokes.parse(sent).region == one.key


def test_the_board_gets_every_region_with_words_and_ring_in_a_small_parcel() -> None:
    data = parts.as_json()
    sent = [region for part in data["parts"] for region in part["regions"]]
    assert len(sent) == 223
    assert [part["key"] for part in data["parts"]] == list(parts.KEYS)
    assert all(region["id"].startswith(region["view"]) and region["words"] for region in sent)
    rings = json.dumps([region["ring"] for region in sent], separators=(",", ":"))
    assert len(rings) < 80_000
    assert set(data["places"][0]) == {"id", "label", "boxes"}

"""The regions fill each view exactly once, and lie where their names say."""

from __future__ import annotations

from collections import Counter

import pytest
import shapely

from bodymaps import figure, regions

ALL = regions.load()
NAMES = {one.id: one for one in regions.names()}
LEFT_OVER_MM2 = 1.0


def of_view(view: str) -> list[regions.Region]:
    return [one for one in ALL if one.view == view]


def test_it_knows_116_regions():
    assert len(NAMES) == 116
    assert sum(one.midline for one in NAMES.values()) == 9


def test_it_has_every_region_on_both_sides_or_once_on_the_midline():
    found = Counter((one.id, one.side) for one in ALL)
    wanted = [
        (name, side)
        for name, one in NAMES.items()
        for side in (("midline",) if one.midline else ("right", "left"))
    ]
    assert found == Counter(wanted)


@pytest.mark.parametrize("view", figure.VIEWS)
def test_they_partition_the_view(view):
    areas = [one.area for one in of_view(view)]
    outline = figure.load().view(view).outline
    united = shapely.union_all(areas)
    gaps = outline.symmetric_difference(united).area
    overlaps = sum(area.area for area in areas) - united.area
    assert gaps + overlaps < LEFT_OVER_MM2


def test_the_partition_check_notices_a_missing_region():
    areas = [one.area for one in of_view("front") if one.id != "front:little_palmar"]
    outline = figure.load().view("front").outline
    assert outline.symmetric_difference(shapely.union_all(areas)).area > LEFT_OVER_MM2


def test_each_is_a_valid_area_on_its_own_side():
    for region in ALL:
        assert region.area.is_valid, region.key
        assert region.view == region.id.split(":")[0]
        x = region.area.representative_point().x
        on_the_right = x < 500 if region.view == "front" else x > 500
        assert region.side == "midline" or on_the_right == (region.side == "right"), region.key


def test_left_and_right_are_mirror_images():
    sides = {(one.id, one.side): one.area for one in ALL}
    for (name, side), area in sides.items():
        if side == "right":
            other = shapely.transform(sides[name, "left"], lambda places: [[1000 - x, y] for x, y in places])
            assert area.symmetric_difference(other).area < LEFT_OVER_MM2


# Landmarks that must lie in a region by its definition.
INSIDE = [
    ("front", "eye", "eye_orbit"),
    ("front", "tragus", "ear_tmj"),
    ("front", "jaw_angle", "jaw_mandible"),
    ("front", "coracoid", "shoulder_anterior"),
    ("front", "clavicle_mid", "supraclavicular"),
    ("front", "nipple", "pectoral_lower"),
    ("front", "axilla", "axilla"),
    ("front", "sternum_mid", "sternal"),
    ("front", "navel", "umbilical"),
    ("front", "biceps_mid", "arm_anterior"),
    ("front", "medial_epicondyle", "elbow_medial"),
    ("front", "hypothenar", "palm_ulnar"),
    ("front", "thenar", "palm_radial"),
    ("front", "medial_malleolus", "ankle_medial"),
    ("back", "mastoid", "mastoid"),
    ("back", "acromion", "acromion"),
    ("back", "scapula_centre", "scapula_body"),
    ("back", "scapula_inferior_angle", "scapula_inferior_angle"),
    ("back", "psis", "sacroiliac"),
    ("back", "iliac_crest", "iliac_crest_posterior"),
    ("back", "lateral_epicondyle", "elbow_lateral"),
    ("back", "olecranon", "elbow_posterior"),
    ("back", "first_web", "hand_radial_dorsal"),
    ("back", "ischial_tuberosity", "buttock_lower"),
    ("back", "greater_trochanter", "hip_lateral"),
    ("back", "sole_arch", "sole_medial_arch"),
]


@pytest.mark.parametrize(("view", "landmark", "name"), INSIDE)
def test_a_landmark_lies_in_the_region_named_after_it(view, landmark, name):
    place = shapely.Point(figure.load().landmark(view, landmark))
    holding = {one.id for one in of_view(view) if one.area.intersects(place)}
    assert f"{view}:{name}" in holding


def test_twins_are_edge_regions_of_both_views():
    for front, back in regions.TWINS:
        assert {front, back} <= set(NAMES)
        for name in (front, back):
            view = name.split(":")[0]
            edge = figure.load().view(view).body.boundary
            area = next(one.area for one in ALL if one.id == name and one.side != "left")
            assert area.boundary.intersection(edge.buffer(0.2)).length > 50

"""The figure against what is known of the human body.

Heights and lengths: Drillis R, Contini R. Body segment parameters. New York University 1966, fractions of
stature as reproduced in Winter DA. Biomechanics and motor control of human movement. 4th ed. 2009, fig. 4.1.
"""

from __future__ import annotations

from math import atan2, dist

import pytest
import shapely
from PIL import Image, ImageChops, ImageOps

from bodymaps import figure

STATURE = 1700.0
# Fractions of stature above the floor, and how far the figure may be off (2 % of stature).
HEIGHTS = {"chin": 0.870, "shoulder": 0.818, "hip": 0.530, "knee": 0.285, "ankle": 0.039}
HEIGHT_TOLERANCE = 0.02
# The arm is held away from the trunk, so it is measured along its segments; tolerance 1 % of stature.
SEGMENTS = {"upper arm": 0.186, "forearm": 0.146, "hand": 0.108}
SEGMENT_TOLERANCE = 0.01

FIGURE = figure.load()
OUTLINES = [(view, FIGURE.view(view).outline) for view in figure.VIEWS]


def mirrored(shape):
    return shapely.transform(shape, lambda places: [[1000 - x, y] for x, y in places])


def measured_height(name: str) -> float:
    """Chin and shoulder (acromion) are palpable points, the others centres of joints."""
    points = {"chin": ("front", "chin"), "shoulder": ("front", "acromion")}
    y = FIGURE.landmark(*points[name])[1] if name in points else FIGURE.joints["front"][name][1]
    return 1 - y / STATURE


@pytest.mark.parametrize(("name", "expected"), HEIGHTS.items())
def test_it_has_the_heights_of_drillis_and_contini(name, expected):
    assert measured_height(name) == pytest.approx(expected, abs=HEIGHT_TOLERANCE)


@pytest.mark.parametrize(("name", "expected"), SEGMENTS.items())
def test_it_has_the_arm_segments_of_drillis_and_contini(name, expected):
    joints = FIGURE.joints["front"]
    ends = {
        "upper arm": (FIGURE.landmark("front", "acromion"), joints["elbow"]),
        "forearm": (joints["elbow"], joints["wrist"]),
        "hand": (joints["wrist"], FIGURE.landmark("front", "middle_tip")),
    }
    assert dist(*ends[name]) / STATURE == pytest.approx(expected, abs=SEGMENT_TOLERANCE)


@pytest.mark.parametrize(("view", "outline"), OUTLINES)
def test_its_left_half_mirrors_its_right_within_half_a_millimetre(view, outline):
    edge = outline.boundary
    assert shapely.covers(shapely.buffer(mirrored(edge), 0.5), edge)


@pytest.mark.parametrize("view", figure.VIEWS)
def test_it_stands_from_crown_to_floor(view):
    _, top, _, bottom = FIGURE.view(view).body.bounds
    assert (top, bottom) == (0, STATURE)


@pytest.mark.parametrize(("view", "outline"), OUTLINES)
def test_it_fits_the_frame_and_is_one_body(view, outline):
    left, _, right, _ = outline.bounds
    assert outline.is_valid
    assert left > 0 and right < 1000
    assert len(FIGURE.view(view).body.geoms) == 1


@pytest.mark.parametrize(("view", "outline"), OUTLINES)
def test_its_outline_shows_no_facets_at_four_times_zoom(view, outline):
    """Between two points the true curve bulges by about turn x length / 8: less than a pixel at zoom 4."""
    for ring in shapely.get_rings(outline):
        points = shapely.get_coordinates(ring)[:-1]
        bulges = []
        for before, here, after in zip(points, points[1:], points[2:], strict=False):
            turn = abs(angle_between(here - before, after - here))
            bulges.append(turn * min(dist(before, here), dist(here, after)) / 8)
        assert max(bulges) < 0.25


def angle_between(first, second) -> float:
    cross = first[0] * second[1] - first[1] * second[0]
    dot = first[0] * second[0] + first[1] * second[1]
    return atan2(cross, dot)


def spans(shape, y: float, left: float, right: float) -> int:
    level = shapely.LineString([(left, y), (right, y)])
    return len(shapely.get_parts(shape.intersection(level)))


@pytest.mark.parametrize(("view", "outline"), OUTLINES)
def test_its_fingers_are_separate(view, outline):
    little, index = FIGURE.landmark(view, "little_tip"), FIGURE.landmark(view, "index_tip")
    level = min(little[1], index[1]) - 8
    left, right = sorted((little[0], index[0]))
    assert spans(outline, level, left - 25, right + 25) == 4
    thumb, web = FIGURE.landmark(view, "thumb_tip"), FIGURE.landmark(view, "index_mcp")
    left, right = sorted((thumb[0], web[0]))
    assert spans(outline, thumb[1], left - 25, right) == 2


def test_its_toes_are_separate_on_the_sole():
    sole = FIGURE.view("back").soles["right"]
    floor = sole.bounds[3]
    assert spans(sole, floor - 34, 800, 1000) == 4  # great toe to fourth
    assert spans(sole, floor - 53, 890, 1000) == 2  # the little toe ends higher, beside the fourth


def test_the_soles_stand_beside_the_legs_heel_up_great_toe_toward_the_midline():
    view = FIGURE.view("back")
    right = view.soles["right"]
    assert right.disjoint(view.body)
    assert right.centroid.x > 500
    heel, great_toe = FIGURE.landmark("back", "sole_heel"), FIGURE.landmark("back", "sole_great_toe")
    assert heel[1] < great_toe[1]
    assert great_toe[0] < right.centroid.x


def test_the_patients_right_is_left_in_front_and_right_behind():
    assert FIGURE.landmark("front", "acromion")[0] < 500 < FIGURE.landmark("back", "acromion")[0]
    assert FIGURE.landmark("back", "acromion", "left")[0] < 500


@pytest.mark.parametrize(("view", "outline"), OUTLINES)
def test_every_landmark_lies_on_the_body(view, outline):
    off = [n for n, place in FIGURE.landmarks[view].items() if not outline.contains(shapely.Point(place))]
    assert off == []


# Surface levels of the back as texts of surface anatomy give them (from memory): landmark, highest and lowest
# spinous process level with it.
LEVELS = {
    "scapula_superior_angle": ("t1", "t3"),
    "scapula_spine_root": ("t2", "t4"),
    "scapula_inferior_angle": ("t7", "t8"),
    "iliac_crest": ("l3", "l5"),
}


@pytest.mark.parametrize(("name", "levels"), LEVELS.items())
def test_landmarks_of_the_back_lie_at_their_vertebral_level(name, levels):
    highest, lowest = (FIGURE.landmark("back", level)[1] for level in levels)
    assert highest <= FIGURE.landmark("back", name)[1] <= lowest


def test_the_spine_counts_downwards():
    names = ["c7", *(f"t{n}" for n in range(1, 13)), *(f"l{n}" for n in range(1, 6)), "sacrum", "coccyx"]
    heights = [FIGURE.landmark("back", name)[1] for name in names]
    assert heights == sorted(heights)


def test_the_deltoid_inserts_half_way_down_the_outer_side_of_the_humerus():
    shoulder, elbow = (FIGURE.joints["front"][name] for name in ("shoulder", "elbow"))
    x, y = FIGURE.landmark("front", "deltoid_insertion")
    assert (y - shoulder[1]) / (elbow[1] - shoulder[1]) == pytest.approx(0.5, abs=0.08)
    assert x < (shoulder[0] + elbow[0]) / 2


@pytest.mark.parametrize("view", figure.VIEWS)
def test_its_relief_is_light_symmetric_and_ends_at_the_outline(view):
    path = figure.FOLDER / FIGURE.view(view).relief
    with Image.open(path) as picture:
        tone, alpha = picture.convert("LA").split()
    assert ImageChops.difference(tone, ImageOps.mirror(tone)).getbbox() is None
    assert path.stat().st_size < 500_000
    darkest = next(level for level, count in enumerate(tone.histogram()) if count)
    assert darkest > 150
    pixels_per_mm = tone.width / 1000
    area = sum(level * count for level, count in enumerate(alpha.histogram())) / 255 / pixels_per_mm**2
    assert area == pytest.approx(FIGURE.view(view).outline.area, rel=0.005)

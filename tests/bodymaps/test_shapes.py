"""The words of the pattern files, on a body of a few landmarks."""

from __future__ import annotations

from math import pi
from typing import Any

import pytest

from bodymaps import geometry, shapes
from bodymaps.geometry import Area
from bodymaps.shapes import ShapeError

LANDMARKS = {
    "front": {"elbow": (200.0, 600.0), "wrist": (100.0, 800.0), "sternum": (500.0, 400.0)},
    "back": {"elbow": (800.0, 600.0), "wrist": (900.0, 800.0)},
}
REGIONS = {"front:forearm": geometry.box(100, 600, 140, 800)}


class Toy:
    def landmark(self, view: str, name: str) -> shapes.Point:
        return LANDMARKS[view][name]

    def region(self, region_id: str) -> Area:
        return REGIONS[region_id]

    def midline(self, view: str) -> float:
        return 500.0


BODY = Toy()


def area(**words: Any) -> Area:
    return shapes.outlined({"view": "front", **words}, BODY).area


@pytest.mark.parametrize(
    ("word", "view", "place"),
    [
        ("elbow", "front", (200, 600)),
        ("elbow 0.5 wrist", "front", (150, 700)),
        ("elbow 0 wrist", "front", (200, 600)),
        ("elbow lat 10", "front", (190, 600)),
        ("elbow lat 10", "back", (810, 600)),
        ("elbow med 10 up 5", "front", (210, 595)),
        ("elbow down 5 med 10", "back", (790, 605)),
        ("elbow 0.25 wrist lat 4 down 2.5", "front", (171, 652.5)),
    ],
)
def test_a_point_word_lies_where_it_says(word: str, view: str, place: tuple[float, float]) -> None:
    assert shapes.point(word, view, BODY) == pytest.approx(place)


@pytest.mark.parametrize(
    ("word", "named"),
    [
        ("knee", "knee"),
        ("elbow 0.5", "elbow 0.5"),
        ("elbow 1.5 wrist", "1.5"),
        ("elbow left 3", "elbow left 3"),
        ("elbow lat", "elbow lat"),
        ("elbow 0.5 knee", "knee"),
        ("", "''"),
        (7, "7"),
    ],
)
def test_a_point_word_that_cannot_be_read_is_named(word: object, named: str) -> None:
    with pytest.raises(ShapeError, match=named):
        shapes.point(word, "front", BODY)


def test_a_band_between_two_points_is_a_strip_with_round_ends() -> None:
    strip = area(shape="band", along=["sternum", "sternum down 100"], widths=20)
    assert strip.area == pytest.approx(100 * 20 + pi * 100, rel=0.005)
    assert strip.bounds == pytest.approx((490, 390, 510, 510), abs=0.05)


def test_a_band_passes_through_all_its_points_without_corners() -> None:
    bent = area(shape="band", along=["elbow", "elbow down 60", "elbow down 60 med 60"], widths=[10, 20, 10])
    for word in ("elbow", "elbow down 60", "elbow down 60 med 60"):
        assert geometry.holds_point(bent, *shapes.point(word, "front", BODY))
    line, widths = shapes.curve([(0, 0), (0, 60), (60, 60)], [10, 20, 10])
    turns = [turn(*three) for three in zip(line, line[1:], line[2:], strict=False)]
    assert max(turns) < 0.35  # radians between steps of 3 mm: no corner where the points are
    assert max(widths) == pytest.approx(20)


def turn(a: shapes.Point, b: shapes.Point, c: shapes.Point) -> float:
    from math import atan2

    angle = atan2(c[1] - b[1], c[0] - b[0]) - atan2(b[1] - a[1], b[0] - a[0])
    return abs((angle + pi) % (2 * pi) - pi)


def test_a_patch_is_an_ellipse_turned_clockwise_as_seen() -> None:
    patch = area(shape="patch", at="sternum", size=[80, 20])
    assert patch.area == pytest.approx(pi * 40 * 10, rel=0.01)
    turned = area(shape="patch", at="sternum", size=[80, 20], turn=45)
    assert geometry.holds_point(turned, 500 + 25, 400 + 25)  # its right end has gone down
    assert not geometry.holds_point(turned, 500 + 25, 400 - 25)


def test_a_part_lies_between_its_fractions_and_off_the_borders() -> None:
    part = area(shape="part", of="front:forearm", **{"from": 0.25, "to": 0.75}, axis="down")
    assert part.bounds == pytest.approx((103, 653, 137, 747), abs=0.05)


def test_a_part_may_run_outwards_from_the_midline() -> None:
    inner = area(shape="part", of="front:forearm", **{"from": 0, "to": 0.5}, axis="lat")
    assert inner.bounds[0] == pytest.approx(123)  # the half nearer the midline has the larger x in front


def test_the_other_side_is_the_mirror_and_both_is_both() -> None:
    words: dict[str, Any] = {"shape": "patch", "at": "elbow", "size": [20, 20]}
    assert area(**words, side="other").bounds == pytest.approx((790, 590, 810, 610))
    assert area(**words, side="both").area == pytest.approx(2 * area(**words).area)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ({"view": "side", "shape": "patch"}, "side"),
        ({"shape": "star"}, "star"),
        ({"shape": "band", "along": ["elbow", "wrist"]}, "widths"),
        ({"shape": "band", "along": ["elbow"], "widths": 10}, "two points"),
        ({"shape": "band", "along": ["elbow", "elbow"], "widths": 10}, "1 mm apart"),
        ({"shape": "band", "along": ["elbow", "wrist"], "widths": [10, 10, 10]}, "3 widths for 2"),
        ({"shape": "band", "along": ["elbow", "wrist"], "widths": "wide"}, "wide"),
        ({"shape": "band", "along": ["elbow", "wrist"], "widths": 0.5}, "0.5"),
        ({"shape": "patch", "at": "elbow", "size": [10]}, "size"),
        ({"shape": "patch", "at": "elbow", "size": [10, True]}, "True"),
        ({"shape": "patch", "at": "elbow", "size": [10, 10], "colour": "red"}, "colour"),
        ({"shape": "patch", "at": "elbow", "size": [10, 10], "side": "left"}, "left"),
        ({"shape": "part", "of": "back:forearm"}, "back:forearm"),
        ({"shape": "part", "of": "front:knee"}, "front:knee"),
        ({"shape": "part", "of": "front:forearm", "from": 0.8, "to": 0.2}, "0.8"),
        ({"shape": "part", "of": "front:forearm", "axis": "up"}, "up"),
        ({"shape": "part", "of": "front:forearm", "from": 0.5, "to": 0.51}, "nothing is left"),
    ],
)
def test_a_shape_word_that_cannot_be_read_is_named(words: dict[str, Any], named: str) -> None:
    with pytest.raises(ShapeError, match=named):
        area(**words)

"""Drawings from files: what is read, repaired, clipped and refused."""

from __future__ import annotations

import json
import random
import re
import time
from math import pi
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bodymaps import drawing_file, geometry, kinds
from bodymaps.drawing_file import FILE_LIMITS, DrawingError, DrawingFile

BODY = {"front": geometry.box(0, 0, 300, 200), "back": geometry.box(0, 0, 300, 200)}
SQUARE = [[[50, 50], [100, 50], [100, 100], [50, 100], [50, 50]]]


def feature(shape: str = "Polygon", coordinates: Any = SQUARE, **properties: Any) -> dict[str, Any]:
    return {
        "type": "Feature",
        "properties": {"view": "front", "kind": "ache", **properties},
        "geometry": {"type": shape, "coordinates": coordinates},
    }


def read(*features: Any) -> DrawingFile:
    return drawing_file.read(json.dumps({"type": "FeatureCollection", "features": list(features)}), BODY)


def test_a_polygon_is_taken_as_drawn() -> None:
    (mark,) = read(feature(intensity=7, nib_mm=30)).marks
    assert (mark.view, mark.kind, mark.tap) == ("front", "ache", False)
    assert mark.area.area == pytest.approx(2500)


@pytest.mark.parametrize("kind", kinds.FINDINGS)
def test_a_finding_is_no_kind_of_pain_to_rank(kind: str) -> None:
    with pytest.raises(DrawingError, match="feature 0: kind must be one of ache, pressure, burning"):
        read(feature(kind=kind))


def test_a_hole_stays_a_hole() -> None:
    hole = [[60, 60], [90, 60], [90, 90], [60, 90], [60, 60]]
    (mark,) = read(feature(coordinates=[*SQUARE, hole])).marks
    assert mark.area.area == pytest.approx(2500 - 900)


def test_the_parts_of_a_multipolygon_are_one_mark() -> None:
    other = [[[200, 50], [250, 50], [250, 100], [200, 100], [200, 50]]]
    (mark,) = read(feature("MultiPolygon", [SQUARE, other])).marks
    assert mark.area.area == pytest.approx(5000)


def test_a_self_crossing_polygon_keeps_both_wings() -> None:
    (mark,) = read(feature(coordinates=[[[50, 50], [100, 100], [100, 50], [50, 100], [50, 50]]])).marks
    assert mark.area.area == pytest.approx(1250)


def test_a_line_is_painted_with_the_nib_it_names_or_the_stated_one() -> None:
    line = [[50, 100], [150, 100]]
    (wide,) = read(feature("LineString", line, nib_mm=20)).marks
    (usual,) = read(feature("LineString", line)).marks
    assert wide.area.area == pytest.approx(2000 + pi * 100, rel=0.01)
    assert usual.area.bounds[3] - usual.area.bounds[1] == pytest.approx(drawing_file.NIB_MM, abs=0.05)


def test_a_point_is_a_tap() -> None:
    (mark,) = read(feature("Point", [100, 100])).marks
    assert mark.tap
    assert read(feature("LineString", [[100, 100], [100.2, 100]])).marks[0].tap
    assert not read(feature("Point", [100, 100]), feature("Point", [200, 100])).marks[0].tap


def test_a_tap_repeated_in_one_place_is_still_a_tap() -> None:
    again = feature("LineString", [[100, 100], [100.2, 100]])
    assert read(feature("Point", [100, 100]), feature("Point", [100.5, 100]), again).marks[0].tap
    assert not read(feature("Point", [100, 100]), feature()).marks[0].tap


def test_what_lies_off_the_body_is_cut_off() -> None:
    beside = [[[400, 50], [500, 50], [500, 100], [400, 50]]]
    assert read(feature(coordinates=beside)) == DrawingFile((), something_drawn=True)
    across = [[[250, 0], [350, 0], [350, 100], [250, 100], [250, 0]]]
    assert read(feature(coordinates=across)).marks[0].area.area == pytest.approx(5000)


def test_nothing_drawn_is_told_from_nothing_left() -> None:
    assert read() == DrawingFile((), something_drawn=False)


def test_intensity_never_changes_the_area() -> None:
    assert read(feature(intensity=1)).marks[0].area.equals(read(feature(intensity=10)).marks[0].area)


BAD: list[tuple[Any, str]] = [
    (feature(view="side"), "view"),
    (feature(view=None), "view"),
    (feature(kind="toothache"), "kind"),
    (feature(intensity=11), "intensity"),
    (feature(intensity=float("nan")), "intensity"),
    (feature(intensity=True), "intensity"),
    (feature(nib_mm=0), "nib_mm"),
    (feature(nib_mm="wide"), "nib_mm"),
    (feature(coordinates=[[[50, float("nan")], [100, 50], [100, 100]]]), "finite"),
    (feature(coordinates=[[[50, float("inf")], [100, 50], [100, 100]]]), "finite"),
    (feature(coordinates=[[[50, "50"], [100, 50], [100, 100]]]), "number"),
    (feature(coordinates=[[[50, True], [100, 50], [100, 100]]]), "number"),
    (feature(coordinates=[[[50], [100, 50], [100, 100]]]), r"\[x, y\]"),
    (feature(coordinates=[[]]), "at least one point"),
    (feature(coordinates=None), "coordinates"),
    (feature("Point", []), r"\[x, y\]"),
    (feature("Circle", [1, 2]), "geometry"),
    (feature("GeometryCollection", []), "geometry"),
    ({"type": "Feature", "properties": None, "geometry": None}, "properties"),
    (7, "properties"),
]


@pytest.mark.parametrize(("bad", "named"), BAD)
def test_a_bad_feature_is_refused_with_its_index_in_one_line(bad: Any, named: str) -> None:
    with pytest.raises(DrawingError, match=f"feature 2: .*{named}") as caught:
        read(feature(), feature(), bad)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        "[" * 100_000,
        '{"type": "Feature"}',
        '{"type": "FeatureCollection"}',
        b"\xff\xfe{",
    ],
)
def test_what_is_no_feature_collection_is_refused_in_one_line(text: str | bytes) -> None:
    with pytest.raises(DrawingError) as caught:
        drawing_file.read(text, BODY)
    assert "\n" not in str(caught.value)


# At each limit and one past it.


def test_a_file_may_hold_as_many_features_as_the_limit() -> None:
    point = feature("Point", [100, 100])
    assert read(*[point] * FILE_LIMITS.features).marks
    with pytest.raises(DrawingError, match="feature 400: one too many"):
        read(*[point] * (FILE_LIMITS.features + 1))


def test_a_line_may_have_as_many_points_as_the_limit() -> None:
    line = [[50 + n % 100, 100] for n in range(FILE_LIMITS.points_per_line)]
    assert read(feature("LineString", line)).marks
    with pytest.raises(DrawingError, match="feature 0: 1,001 points"):
        read(feature("LineString", [*line, [50, 100]]))


def ring(points: int) -> list[list[float]]:
    from math import cos, sin

    return [[150 + 90 * cos(2 * pi * n / points), 100 + 90 * sin(2 * pi * n / points)] for n in range(points)]


def test_a_ring_may_have_as_many_points_as_the_limit() -> None:
    assert read(feature(coordinates=[ring(FILE_LIMITS.points_per_ring)])).marks
    with pytest.raises(DrawingError, match="feature 1: 5,001 points"):
        read(feature(), feature(coordinates=[ring(FILE_LIMITS.points_per_ring + 1)]))


def test_a_file_may_hold_as_many_points_as_the_limit() -> None:
    full = feature(coordinates=[ring(5_000)])
    assert read(*[full] * 20).marks
    with pytest.raises(DrawingError, match="feature 20: 100,001 points"):
        read(*[full] * 20, feature("Point", [1, 1]))


def test_a_ring_that_crosses_itself_without_end_is_refused_at_once() -> None:
    dice = random.Random(7)
    wild = [[dice.uniform(20, 280), dice.uniform(20, 180)] for _ in range(2_000)]
    start = time.process_time()
    with pytest.raises(DrawingError, match="feature 1: A line round an area can cross itself 150,000 times"):
        read(feature(), feature(coordinates=[wild]))
    assert time.process_time() - start < 2


def test_a_file_may_have_as_many_bytes_as_the_limit() -> None:
    text = json.dumps({"type": "FeatureCollection", "features": []})
    padded = text + " " * (FILE_LIMITS.bytes - len(text))
    assert drawing_file.read(padded, BODY).marks == ()
    with pytest.raises(DrawingError, match="bytes"):
        drawing_file.read(padded + " ", BODY)


anything = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["type", "features", "geometry", "coordinates", "properties"]), inner
        )
    ),
    max_leaves=20,
)


@settings(max_examples=100, deadline=None)
@given(anything, anything)
def test_any_json_is_read_or_refused_never_more(shape: Any, whole: Any) -> None:
    for text in (
        json.dumps(whole),
        json.dumps({"type": "FeatureCollection", "features": [feature("Polygon", shape), whole]}),
    ):
        try:
            drawing_file.read(text, BODY)
        except DrawingError as error:
            assert "\n" not in str(error)


def test_it_reads_what_is_told_of_the_person_beside_the_drawing() -> None:
    case = read_file(
        age=67,
        sex="female",
        history={"onset": "sudden", "eases": ["rest", "heat"]},
        findings={"neck:rotation": {"left": 58}, "walk:gait": "NT"},
        clinic="left alone",
    ).case
    assert (case.age, case.sex, case.history["eases"]) == (67, "female", ("rest", "heat"))
    assert case.findings == {("neck:rotation", "left"): 58, ("walk:gait", ""): "NT"}


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"age": -1}, "age: must be whole years"),
        ({"sex": "x"}, "sex: must be one of"),
        ({"history": {"mood": "yes"}}, "history.mood: unknown key"),
        ({"history": {"onset": "once"}}, "history.onset: 'once' is not one of sudden"),
        ({"findings": {"vital:pulse": 900}}, "findings.vital:pulse: 900 /min is outside"),
        ({"findings": {"neck:spurling": "positive"}}, "findings.neck:spurling: needs"),
        ({"findings": {"neck:spurling": {"both": "positive"}}}, "findings.neck:spurling: needs"),
        ({"findings": []}, "findings: must be an object"),
    ],
)
def test_it_names_the_member_that_cannot_be_read(members: dict[str, Any], said: str) -> None:
    with pytest.raises(DrawingError, match=re.escape(said)):
        read_file(**members)


def read_file(**members: Any) -> DrawingFile:
    return drawing_file.read(json.dumps({"type": "FeatureCollection", "features": [], **members}))

"""Reading strokes: limits, and refusals that name what to mend."""

import copy
import json
import random
from typing import Any

import pytest

from bodymaps import kinds, strokes
from bodymaps.strokes import LIMITS, StrokeError

GOOD: dict[str, Any] = {
    "id": "6f1f3b9e-8d3c-4a86-9a55-0c1d2e3f4a5b",
    "seq": 1,
    "view": "front",
    "kind": "ache",
    "mode": "shade",
    "nib_mm": 12,
    "points": [[310.5, 400, 0.5, 0], [320, 410.25, 1, 16.7]],
}


def stroke(**changes: Any) -> dict[str, Any]:
    return {**copy.deepcopy(GOOD), **changes}


def with_points(count: int) -> dict[str, Any]:
    return stroke(points=[[300 + n % 50, 400, 0.5, n] for n in range(count)])


def test_it_reads_what_the_board_sends() -> None:
    read = strokes.parse(json.loads(json.dumps(GOOD)))
    assert (read.id, read.seq, read.view, read.kind, read.mode) == (GOOD["id"], 1, "front", "ache", "shade")
    assert read.points[1] == strokes.Point(320.0, 410.25, 1.0, 16.7)


@pytest.mark.parametrize("kind", kinds.ALL_IDS)
def test_it_knows_every_kind(kind: str) -> None:
    assert strokes.parse(stroke(kind=kind)).kind == kind


def test_it_reads_an_eraser_without_a_kind() -> None:
    assert strokes.parse(stroke(mode="erase", kind=None)).kind is None


def test_it_reads_a_worst_spot_of_one_point_and_no_kind() -> None:
    spot = strokes.parse(stroke(mode="spot", kind=None, points=[[310, 400, 0.5, 0]]))
    assert (spot.mode, spot.kind, spot.points[0].x) == ("spot", None, 310)


def test_a_worst_spot_is_one_place_and_of_no_kind() -> None:
    with pytest.raises(StrokeError, match="exactly one"):
        strokes.parse(stroke(mode="spot", kind=None))
    with pytest.raises(StrokeError, match="kind must be null"):
        strokes.parse(stroke(mode="spot", points=[[310, 400, 0.5, 0]]))


def test_an_area_may_say_which_region_of_the_list_it_is() -> None:
    chosen = strokes.parse(stroke(mode="area", region="front:shoulder_anterior right"))
    assert chosen.region == "front:shoulder_anterior right"
    assert strokes.parse(stroke(mode="area")).region == ""
    assert strokes.parse(stroke(mode="area", region="")).region == ""


@pytest.mark.parametrize(
    "changes",
    [
        {"region": "front:shoulder_anterior"},
        {"region": "front:shoulder_anterior up"},
        {"region": "front:shoulder_anterior midline"},
        {"region": "front:sternal right"},
        {"region": "front:tail right"},
        {"region": "back:occiput right"},  # the stroke lies in front
        {"region": ["front:shoulder_anterior right"]},
        {"region": 3},
        {"region": "front:shoulder_anterior right", "mode": "shade"},
        {"region": "front:shoulder_anterior right", "mode": "erase", "kind": None},
    ],
)
def test_a_region_must_be_one_of_the_figure_and_go_with_an_area(changes: dict[str, Any]) -> None:
    with pytest.raises(StrokeError, match="region"):
        strokes.parse(stroke(**{"mode": "area", **changes}))


def test_the_device_does_not_say_whose_layer_it_is() -> None:
    assert strokes.parse(stroke(layer="clinician")).layer == ""


NO_NUMBERS = [float("nan"), float("inf"), float("-inf"), True, False, "12", None, [], {}, 10**400]


@pytest.mark.parametrize("value", NO_NUMBERS)
@pytest.mark.parametrize("place", range(4))
def test_it_refuses_a_point_that_is_no_number(value: object, place: int) -> None:
    point: list[object] = [310, 400, 0.5, 0]
    point[place] = value
    with pytest.raises(StrokeError, match=r"points\[0\]"):
        strokes.parse(stroke(points=[point]))


@pytest.mark.parametrize("value", NO_NUMBERS)
def test_it_refuses_a_nib_that_is_no_number(value: object) -> None:
    with pytest.raises(StrokeError, match="nib_mm"):
        strokes.parse(stroke(nib_mm=value))


@pytest.mark.parametrize(
    ("member", "value"),
    [
        ("id", "not-a-uuid"),
        ("id", "6F1F3B9E-8D3C-4A86-9A55-0C1D2E3F4A5B"),
        ("id", "6f1f3b9e-8d3c-1a86-9a55-0c1d2e3f4a5b"),
        ("id", "6f1f3b9e-8d3c-4a86-9a55-0c1d2e3f4a5b\n"),
        ("id", 7),
        ("seq", 0),
        ("seq", 1.0),
        ("seq", True),
        ("seq", "1"),
        ("seq", 2**31),
        ("view", "side"),
        ("view", ["front"]),
        ("kind", "toothache"),
        ("kind", None),
        ("kind", ["ache"]),
        ("mode", "fill"),
        ("points", []),
        ("points", "many"),
        ("points", [[1, 2, 0.5]]),
        ("points", [[1, 2, 0.5, 0, 0]]),
        ("points", [{"x": 1}]),
    ],
)
def test_it_names_the_member_to_mend(member: str, value: object) -> None:
    with pytest.raises(StrokeError, match=member):
        strokes.parse(stroke(**{member: value}))


@pytest.mark.parametrize("member", ["id", "seq", "view", "kind", "mode", "nib_mm", "points"])
def test_it_misses_a_member_that_is_not_there(member: str) -> None:
    data = {name: value for name, value in GOOD.items() if name != member}
    with pytest.raises(StrokeError, match=member):
        strokes.parse(data)


def test_an_eraser_cannot_have_a_kind() -> None:
    with pytest.raises(StrokeError, match="every kind"):
        strokes.parse(stroke(mode="erase"))


@pytest.mark.parametrize("data", [None, [], "stroke", 3])
def test_it_refuses_what_is_no_object(data: object) -> None:
    with pytest.raises(StrokeError, match="object"):
        strokes.parse(data)


# At each limit, and one past it.


def test_a_stroke_may_have_as_many_points_as_the_limit() -> None:
    assert len(strokes.parse(with_points(LIMITS.points_per_stroke)).points) == 1_000


def test_a_stroke_may_not_have_one_point_more() -> None:
    with pytest.raises(StrokeError, match="1,000 points"):
        strokes.parse(with_points(LIMITS.points_per_stroke + 1))


@pytest.mark.parametrize(
    ("member", "inside", "outside"),
    [
        ("nib_mm", LIMITS.smallest_nib_mm, 0.999),
        ("nib_mm", LIMITS.largest_nib_mm, 60.001),
        ("seq", LIMITS.largest_seq, LIMITS.largest_seq + 1),
        ("seq", 1, 0),
    ],
)
def test_a_number_may_reach_its_limit_but_not_pass_it(member: str, inside: float, outside: float) -> None:
    strokes.parse(stroke(**{member: inside}))
    with pytest.raises(StrokeError, match=member):
        strokes.parse(stroke(**{member: outside}))


@pytest.mark.parametrize(
    ("place", "inside", "outside"),
    [
        (0, LIMITS.farthest_mm, LIMITS.farthest_mm + 1),
        (0, -LIMITS.farthest_mm, -LIMITS.farthest_mm - 1),
        (1, LIMITS.farthest_mm, LIMITS.farthest_mm + 1),
        (2, 0, -0.001),
        (2, 1, 1.001),
        (3, 0, -1),
        (3, LIMITS.longest_ms, LIMITS.longest_ms + 1),
    ],
)
def test_a_point_may_reach_its_limit_but_not_pass_it(place: int, inside: float, outside: float) -> None:
    point: list[float] = [310, 400, 0.5, 0]
    strokes.parse(stroke(points=[[*point[:place], inside, *point[place + 1 :]]]))
    with pytest.raises(StrokeError, match=r"points\[0\]"):
        strokes.parse(stroke(points=[[*point[:place], outside, *point[place + 1 :]]]))


def test_a_visit_may_hold_as_many_strokes_as_the_limit() -> None:
    one = strokes.parse(GOOD)
    strokes.check_total([one] * LIMITS.strokes_per_visit)
    with pytest.raises(StrokeError, match="400 strokes"):
        strokes.check_total([one] * (LIMITS.strokes_per_visit + 1))


def test_a_visit_may_hold_as_many_points_as_the_limit() -> None:
    full, single = strokes.parse(with_points(LIMITS.points_per_stroke)), strokes.parse(with_points(1))
    strokes.check_total([full] * 20)
    with pytest.raises(StrokeError, match="20,000 points"):
        strokes.check_total([full] * 20 + [single])


def wild(points: int, **changes: Any) -> dict[str, Any]:
    dice = random.Random(7)
    line = [[dice.uniform(200, 400), dice.uniform(300, 600), 0.5, n] for n in range(points)]
    return stroke(points=line, **changes)


def test_a_line_round_an_area_is_refused_when_it_crosses_itself_without_end() -> None:
    # Two random segments in a box cross in about a quarter of cases: 20,000 times of 400, 120,000 of 1,000.
    assert strokes.parse(wild(400, mode="area")).points
    assert strokes.parse(wild(1_000, mode="shade")).points
    with pytest.raises(StrokeError, match="can cross itself 50,000 times"):
        strokes.parse(wild(1_000, mode="area"))


def test_a_pen_that_trembles_in_one_place_is_no_crossing_line() -> None:
    dice = random.Random(7)
    still = [[300 + dice.uniform(0, 0.5), 400, 0.5, n] for n in range(1_000)]
    assert strokes.parse(stroke(points=still, mode="area")).points

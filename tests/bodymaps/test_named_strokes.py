"""The named strokes that Python and JavaScript share, painted on the real figure."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bodymaps import geometry, marks, strokes
from bodymaps.marks import Mark

FOLDER = Path(__file__).parents[1] / "strokes"


def painted(name: str) -> tuple[Mark, ...]:
    data = json.loads((FOLDER / f"{name}.json").read_text())
    return marks.paint([strokes.parse(data["stroke"])])


NAMED = sorted(set(FOLDER.glob("*.json")) - {FOLDER / "sequences.json"})


@pytest.mark.parametrize("path", NAMED, ids=lambda path: path.stem)
def test_every_named_stroke_can_be_read(path: Path) -> None:
    assert strokes.parse(json.loads(path.read_text())["stroke"]).points


@pytest.mark.parametrize("name", ["tap", "two-equal-points"])
def test_a_touch_in_one_place_is_a_tap(name: str) -> None:
    (mark,) = painted(name)
    assert mark.tap
    assert len(mark.area.geoms) == 1


def test_a_line_is_no_tap() -> None:
    (mark,) = painted("line")
    assert not mark.tap


def test_a_loop_is_filled_in_its_middle() -> None:
    (mark,) = painted("loop")
    left, top, right, bottom = mark.area.bounds
    assert geometry.holds_point(mark.area, (left + right) / 2, (top + bottom) / 2)


def test_a_scribble_is_one_valid_area() -> None:
    (mark,) = painted("scribble")
    assert not geometry.why_not_valid(mark.area)
    assert len(mark.area.geoms) == 1


def test_a_line_beside_the_body_leaves_nothing() -> None:
    assert painted("off-the-body") == ()

"""The ranking against the handbook's guides: are the muscles named for a place among the first twelve?

Source and its certainty: guide_rows.toml. Run with -s to see the share every row reaches.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

import pytest

from bodymaps import atlas, matching
from bodymaps.marks import Mark
from tests.bodymaps import drawn

FIRST = 12
GUIDE = tomllib.loads((Path(__file__).parent / "guide_rows.toml").read_text())
ROWS, MISSES = GUIDE["row"], GUIDE["miss"]
# How a row is drawn: whole regions, their inner half, their upper end.
WAYS = {
    "whole": lambda name: drawn.region(name),
    "inner half": lambda name: drawn.part(name, "right", 0.5),
    "upper 60 %": lambda name: drawn.end(name, "right", 0.6),
}


@cache
def first_twelve(row_id: str, way: str) -> list[str]:
    row = next(row for row in ROWS if row["id"] == row_id)
    drawing = [Mark(name.split(":")[0], "ache", WAYS[way](name)) for name in row["regions"]]
    ranked = matching.rank(drawing, atlas.load()).muscles
    return [match.muscle for match in ranked if match.side == "right"][:FIRST]


def named(row: dict[str, list[str]]) -> list[str]:
    """The muscles of a row that this release's atlas holds."""
    return [muscle for muscle in row["muscles"] if muscle in atlas.load().muscles]


@pytest.mark.parametrize("way", WAYS)
def test_most_of_the_named_muscles_are_among_the_first_twelve(way: str) -> None:
    reached = wanted = 0
    for row in ROWS:
        found = first_twelve(row["id"], way)
        missing = [muscle for muscle in named(row) if muscle not in found]
        here = len(named(row)) - len(missing)
        reached, wanted = reached + here, wanted + len(named(row))
        score = f"{here:2} of {len(named(row)):2}"
        print(f"{way:10} {row['id']:52} {score}  missing: {', '.join(missing) or 'none'}")
    print(f"{way:10} all rows {reached} of {wanted} = {reached / wanted:.0%}")
    assert reached / wanted >= 0.85


def test_no_row_misses_its_first_named_muscle_but_those_that_say_so() -> None:
    missed = {
        (row["id"], named(row)[0])
        for row in ROWS
        for way in WAYS
        if named(row)[0] not in first_twelve(row["id"], way)
    }
    assert missed == {(miss["row"], miss["muscle"]) for miss in MISSES if miss.get("first_named")}


def test_every_miss_is_explained_and_no_explanation_is_stale() -> None:
    found = {
        (row["id"], muscle)
        for row in ROWS
        for way in WAYS
        for muscle in named(row)
        if muscle not in first_twelve(row["id"], way)
    }
    assert found == {(miss["row"], miss["muscle"]) for miss in MISSES}

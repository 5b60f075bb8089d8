"""Areas as cells of 2 mm: against Pillow's rasteriser, against exact geometry, and mirrored."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from bodymaps import atlas, candidates, geometry, grid, matching, skin
from bodymaps.geometry import Area, box
from bodymaps.grid import CELL_MM, CELL_MM2
from bodymaps.making import bench, exact
from bodymaps.marks import Mark
from tests.bodymaps import drawn, toy

FINE = 10


def by_pillow(area: Area) -> float:
    """mm² by a general raster library: Pillow fills the rings at ten pixels a millimetre."""
    left, top, right, bottom = area.bounds
    image = Image.new("1", (int((right - left + 4) * FINE), int((bottom - top + 4) * FINE)))
    draw = ImageDraw.Draw(image)
    for polygon in geometry.rings_of(area, 3):
        for depth, ring in enumerate(polygon):
            places = [((x - left + 2) * FINE, (y - top + 2) * FINE) for x, y in ring]
            draw.polygon(places, fill=1 if depth == 0 else 0)
    return float(np.asarray(image).sum()) / FINE**2


ZONES = [
    ("infraspinatus", 0, ("front", "core")),
    ("soleus", 0, ("back", "core")),
    ("rectus_abdominis", 0, ("back", "core")),
    ("interosseus_dorsalis_primus", 0, ("back", "core")),
    ("scalenus_anterior", 0, ("front", "spillover")),
]


@pytest.mark.parametrize(("muscle", "site", "zone"), ZONES)
def test_a_zone_has_the_area_pillow_finds(muscle: str, site: int, zone: tuple[str, str]) -> None:
    """Pillow 13 as the independent library; it draws the edge itself, half a pixel wide: 0.05 mm of it."""
    area = atlas.load().muscles[muscle].sites[site].zones[zone]
    assert by_pillow(area) == pytest.approx(area.area, abs=0.1 * area.length)


@pytest.mark.parametrize(("muscle", "site", "zone"), ZONES)
def test_a_zone_as_cells_has_its_area_to_within_its_edge(
    muscle: str, site: int, zone: tuple[str, str]
) -> None:
    """An edge of L mm crosses L / 2 cells, each off by half a cell at most, at random: its root."""
    area = atlas.load().muscles[muscle].sites[site].zones[zone]
    found = CELL_MM2 * grid.filled(area)[2].sum()
    assert found == pytest.approx(area.area, abs=4 * (2 * area.length) ** 0.5)


def test_a_hole_is_no_part_of_an_area() -> None:
    ring = geometry.take_away(box(100, 100, 140, 140), box(110, 110, 130, 130))
    assert CELL_MM2 * grid.filled(ring)[2].sum() == 1600 - 400


def test_what_lies_beyond_the_frame_is_left_out() -> None:
    top, left, inside = grid.filled(box(-50, -50, 10, 20))
    assert (top, left, CELL_MM2 * inside.sum()) == (0, 0, 200)
    assert not grid.filled(box(-50, -50, -10, -20))[2].any()


def test_a_widened_cell_is_a_disc() -> None:
    top, left, inside = grid.widened(*grid.filled(box(100, 100, 102, 102)), 5)
    assert (CELL_MM * top, CELL_MM * left) == (90, 90)
    rows, columns = np.indices(inside.shape) - 5
    assert (inside == (rows**2 + columns**2 <= 25)).all()


def test_widening_stops_at_the_frame() -> None:
    top, left, inside = grid.widened(*grid.filled(box(0, 0, 4, 4)), 3)
    assert (top, left) == (0, 0)
    assert inside[0, 4] and not inside[0, 5:].any()


rings = st.lists(
    st.tuples(st.integers(200, 800), st.integers(10, 300)), min_size=3, max_size=8, unique=True
).map(lambda points: geometry.ring_repaired([(float(x), float(y)) for x, y in points]))


@settings(max_examples=60, deadline=None)
@given(rings)
def test_the_mirror_of_an_area_has_the_mirror_of_its_cells(area: Area) -> None:
    cells = grid.of(toy.SKIN)
    right = cells.cells({"front": area})
    left = cells.cells({"front": geometry.mirrored(area, 500)})
    assert sorted(cells.mirror[right]) == sorted(left)


def test_every_cell_of_the_figure_has_a_mirror_on_the_other_side() -> None:
    cells = grid.of(skin.load())
    assert (cells.mirror[cells.mirror] == np.arange(cells.size)).all()
    assert (cells.mirror != np.arange(cells.size)).all()
    opposite = np.array(skin.load().opposite())
    assert (cells.patch[cells.mirror] == opposite[cells.patch]).all()


def test_a_patch_has_its_area_in_cells() -> None:
    found = CELL_MM2 * np.bincount(grid.of(skin.load()).patch)
    for size, patch in zip(found, skin.load().patches, strict=True):
        assert size == pytest.approx(patch.size, rel=0.05)


DRAWINGS = {
    "shoulder and scapula": bench.drawing(),
    "a finger": [Mark("back", "ache", drawn.region("back:index_dorsal"))],
    "a temple": [Mark("front", "ache", drawn.region("front:temple"))],
    "a sole": [Mark("back", "ache", drawn.part("back:sole_medial_arch", "right", 0.6))],
    "low back and calf": [
        Mark("back", "ache", drawn.region("back:lumbar_paraspinal")),
        Mark("back", "ache", drawn.region("back:calf_central")),
    ],
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_the_score_by_cells_is_the_score_by_exact_geometry(name: str) -> None:
    """Shapely's overlay (GEOS) of the polygons themselves: within 0.02 of 1, also for a finger."""
    marks, known = DRAWINGS[name], atlas.load()
    wanted = exact.scores(marks, known)
    whole = matching.counted(marks, matching.index(known, skin.load()))
    assert whole is not None
    found = {
        (one.id, one.side, one.site): float(whole.scores[number])
        for number, one in enumerate(whole.index.candidates)
        if one.layer == candidates.PATTERN and one.site != atlas.ALL_SITES
    }
    assert found.keys() == wanted.keys()
    assert max(abs(found[key] - wanted[key]) for key in wanted) < 0.02
    assert max(wanted.values()) > 0.3


def test_the_same_order_by_cells_and_exactly_where_the_scores_differ() -> None:
    marks, known = DRAWINGS["low back and calf"], atlas.load()
    wanted = exact.scores(marks, known)
    ranked = [(match.muscle, match.side, match.site) for match in matching.rank(marks, known).muscles]
    single = [key for key in ranked if key[2] != atlas.ALL_SITES]
    for first, second in pairwise(single):
        assert wanted[first] > wanted[second] - 0.02

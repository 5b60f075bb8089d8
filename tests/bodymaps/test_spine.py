"""How far skin lies from the spine: along the body, never across air.

Ways on hand-made bodies are counted by hand (5 a straight step, 7 a diagonal, 11 a knight's: Borgefors G,
Comput Vis Graph Image Process 1986;34:344-371, from memory) and by Dijkstra's plain method (Numer Math
1959;1:269-271, from memory).
"""

import heapq
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from bodymaps import compare_file, figure, geometry, grid, skin, spine
from bodymaps.inwards import direction, side_move
from bodymaps.spine import FAR, STEPS, Distance
from tests.bodymaps import drawn


def body(picture: str) -> tuple[np.ndarray, dict[str, int]]:
    """# is skin, letters are skin with a name; a rim of two of air is put round it."""
    rows = [line.strip() for line in picture.strip().splitlines()]
    inside = np.pad(np.array([[letter != "." for letter in row] for row in rows]), 2)[np.newaxis]
    wide = inside.shape[2]
    named = {
        letter: (y + 2) * wide + x + 2
        for y, row in enumerate(rows)
        for x, letter in enumerate(row)
        if letter.isalpha()
    }
    return inside, named


def cost(inside: np.ndarray, start: int, links=()) -> np.ndarray:
    return spine.spread(inside, np.array([start], np.int32), links).ravel()


def test_the_way_leads_round_the_air():
    """Two steps across air; along the skin six."""
    inside, at = body(
        """
        S.E
        #.#
        #.#
        ###
        """
    )
    # Down two, two diagonals through the corners of the bend, up two.
    assert cost(inside, at["S"])[at["E"]] == 5 + 5 + 7 + 7 + 5 + 5


def test_straight_diagonal_and_knights_steps():
    inside, at = body(
        """
        S##A
        ###K
        ###D
        ####
        """
    )
    found = cost(inside, at["S"])
    assert [found[at[one]] for one in "AKD"] == [15, 5 + 11, 7 + 11]


def test_no_step_slips_between_two_corners_or_over_a_gap():
    inside, at = body(
        """
        S#.B
        ##.#
        ..A.
        """
    )
    found = cost(inside, at["S"])
    assert found[at["A"]] == FAR and found[at["B"]] == FAR


def test_places_that_are_joined_are_one():
    inside, at = body(
        """
        S#A.C##E
        """
    )
    assert cost(inside, at["S"])[at["E"]] == FAR
    links = [(np.array([at["C"]], np.int32), np.array([at["A"]], np.int32))]
    assert cost(inside, at["S"], links)[at["E"]] == 10 + 15


@given(some.lists(some.lists(some.booleans(), min_size=7, max_size=7), min_size=6, max_size=6))
def test_any_body_is_walked_as_dijkstra_walks_it(rows):
    rows[2][3] = True
    inside = np.pad(np.array(rows), 2)[np.newaxis]
    start = 4 * inside.shape[2] + 5
    assert cost(inside, start).tolist() == dijkstra(inside[0], start)


def dijkstra(inside: np.ndarray, start: int) -> list[int]:
    wide, found, waiting = inside.shape[1], {start: 0}, [(0, start)]
    while waiting:
        so_far, place = heapq.heappop(waiting)
        y, x = divmod(place, wide)
        for dy, dx, price in STEPS:
            there = (y + dy) * wide + x + dx
            if may(inside, y, x, dy, dx) and so_far + price < found.get(there, FAR):
                found[there] = so_far + price
                heapq.heappush(waiting, (so_far + price, there))
    return [found.get(place, FAR) for place in range(inside.size)]


def may(inside: np.ndarray, y: int, x: int, dy: int, dx: int) -> bool:
    """A step ends on skin; a diagonal has skin beside it, a knight's step on both of its ways."""
    if not inside[y + dy, x + dx]:
        return False
    if abs(dy) == abs(dx) == 1:
        return bool(inside[y + dy, x] or inside[y, x + dx])
    if abs(dy) + abs(dx) == 3:
        half = (y + dy // 2, x) if abs(dy) == 2 else (y, x + dx // 2)
        corner = (y + int(np.sign(dy)), x + int(np.sign(dx)))
        return bool(inside[half] and inside[corner])
    return True


# On the figure.


def mm(view: str, x: float, y: float) -> float:
    ways = spine.ways(skin.load())
    return float(ways.mm[ways.grid.cell[view][int(y / grid.CELL_MM), int(x / grid.CELL_MM)]])


def landmark(view: str, name: str, side: str = "right") -> float:
    return mm(view, *figure.load().landmark(view, name, side))


def test_every_cell_of_skin_can_be_reached():
    assert np.isfinite(spine.ways(skin.load()).mm).all()


@pytest.mark.parametrize("away", [20, 60, 100])
def test_on_the_back_it_is_the_distance_from_the_midline(away):
    assert mm("back", 500 + away, 480) == pytest.approx(away, abs=0.02 * away + 5)


def test_down_a_limb_it_grows_as_the_limb_is_long():
    top, end = (figure.load().landmark("back", name) for name in ("calf_mid", "achilles"))
    apart = hypot(end[0] - top[0], end[1] - top[1])
    assert landmark("back", "achilles") - landmark("back", "calf_mid") == pytest.approx(apart, rel=0.05)


def test_a_hand_beside_the_hip_is_far_from_it():
    """Across air hand and hip are neighbours."""
    wrist = landmark("front", "radial_styloid")
    hip = mm("back", 500 + 130, 720)
    assert wrist > hip + 300


def test_the_breastbone_is_reached_round_the_chest():
    assert mm("front", 500, 480) > mm("front", 390, 480) > 100


def test_soles_hang_on_their_heels():
    ways = spine.ways(skin.load())
    heel, sole = (
        ways.of({"back": drawn.region(name)})["right"]
        for name in ("back:heel_posterior", "back:heel_plantar")
    )
    assert 0 < sole.mean - heel.mean < 150


def test_both_sides_are_alike():
    ways = spine.ways(skin.load())
    far = np.abs(ways.mm - ways.mm[ways.grid.mirror])
    assert np.quantile(far, 0.99) <= 4 and far.max() < 20


def test_only_the_side_that_is_drawn_on_has_a_distance():
    ways = spine.ways(skin.load())
    found = ways.of({"back": drawn.region("back:calf_central", "left"), "front": geometry.EMPTY})
    assert found["right"] is None and found["left"].mean > 500
    assert found["left"].farthest > found["left"].mean


# Towards or away.


LEAST = compare_file.rules().least_mm


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ((200, 400), (150, 400 - LEAST), "towards"),
        ((200, 400), (150, 400 - LEAST + 1), "neither"),
        ((200, 400), (250, 400 + LEAST), "away"),
        ((200, 400), (250, 400 + LEAST - 1), "neither"),
        ((200, 400), (200 + LEAST, 400 - LEAST), "unclear"),
        ((200, 400), (200 + LEAST - 1, 400 - LEAST), "towards"),
        ((200, 400), None, "gone"),
        (None, (200, 400), "new"),
        (None, None, "none"),
    ],
)
def test_only_a_change_beyond_the_least_is_called_one(before, after, said):
    first, second = (Distance(*one) if one else None for one in (before, after))
    assert direction(first, second, LEAST) == said
    words = side_move("right", first, second).words
    assert words.startswith(("On the right", "No pain is drawn on the right"))
    assert ("towards the spine:" in words) == (said == "towards")

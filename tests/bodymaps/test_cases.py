"""Invented patients, drawn on the real figure: what a clinician would expect near the top."""

from __future__ import annotations

import pytest

from bodymaps import atlas, matching
from bodymaps.matching import Ranking
from tests.bodymaps import drawn


def rank(side: str = "right", kind: str = "ache", **fractions: float) -> Ranking:
    return matching.rank(drawn.marks(kind, side, **fractions), atlas.load())


def first(ranking: Ranking, count: int) -> list[tuple[str, str]]:
    return [(match.muscle, match.side) for match in ranking.muscles[:count]]


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_stiff_neck_after_a_night_leads_to_levator_scapulae(side: str) -> None:
    ranking = rank(side, back__neck_angle=0.9, back__neck_posterior=0.5, back__scapula_medial_border=0.3)
    assert ("levator_scapulae", side) in first(ranking, 3)


def test_a_headache_up_the_neck_to_the_temple_leads_to_upper_trapezius() -> None:
    ranking = rank(back__neck_posterior=0.7, back__mastoid=0.6, front__temple=0.8, front__eye_orbit=0.3)
    assert ("trapezius_upper", "right") in first(ranking, 3)
    others = {"suboccipitales", "semispinalis_capitis", "splenius_cervicis", "temporalis"}
    assert {muscle for muscle, _ in first(ranking, 5)} & (others | {"sternocleidomastoid_sternal"})


@pytest.mark.parametrize("fraction", [0.5, 0.8, 1.0])
@pytest.mark.parametrize("back", [True, False])
def test_a_front_of_shoulder_and_outer_arm_ache_leads_to_infraspinatus(fraction: float, back: bool) -> None:
    places = {"front__shoulder_anterior": fraction, "front__arm_lateral": fraction}
    if back:
        places["back__arm_lateral"] = fraction
    assert ("infraspinatus", "right") in first(rank(**places), 3)


def test_tingling_in_the_thumb_names_the_sixth_root() -> None:
    ranking = rank(kind="tingling", back__thumb_dorsal=0.9, front__thumb_palmar=0.9)
    assert (ranking.roots[0].root, ranking.roots[0].side) == ("C6", "right")


def test_tingling_in_the_little_finger_names_the_eighth_root() -> None:
    ranking = rank("left", "tingling", back__little_dorsal=0.9, front__little_palmar=0.9)
    assert (ranking.roots[0].root, ranking.roots[0].side) == ("C8", "left")


def test_the_left_of_every_ranking_is_the_mirror_of_the_right() -> None:
    places = {"back__neck_angle": 0.9, "back__suprascapular": 0.6, "front__temple": 0.5}
    swap = {"right": "left", "left": "right"}
    right = [(m.muscle, m.side, round(m.score, 2)) for m in rank("right", **places).muscles[:15]]
    left = {(m.muscle, swap[m.side], round(m.score, 2)) for m in rank("left", **places).muscles}
    assert set(right) <= left

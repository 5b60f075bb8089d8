"""Nerves, plexuses, joints and organs beside the muscles, on the body of boxes and on the figure."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodymaps import atlas, matching
from bodymaps.atlas import Atlas, Structure
from bodymaps.geometry import Area, box
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from bodymaps.patterns import Source
from tests.bodymaps import drawn, toy
from tests.bodymaps.toy import ache


def structure(
    name: str, layer: str, core: Area, sides: str = "paired", felt: str = "skin", urgent: bool = False
) -> Structure:
    return Structure(
        id=name,
        name=name.replace("_", " "),
        layer=layer,
        sides=sides,
        roots=(),
        points_to=(),
        examine=(),
        told_apart=(),
        urgent=urgent,
        note="",
        sources=(Source("an invented work", "1", "from memory"),),
        at=None,
        zones={("front", "core"): core},
        felt=felt,
    )


ARM = box(300, 0, 400, 100)
SKIN_NERVE = structure("skin_nerve", "peripheral_nerve", ARM)
ACHING_NERVE = structure("aching_nerve", "peripheral_nerve", ARM, felt="deep")
PLEXUS = structure("plexus", "plexus", box(300, 0, 500, 200))
JOINT = structure("joint", "joint_referral", box(300, 0, 400, 200))
LEFT_ORGAN = structure("left_organ", "visceral", box(600, 0, 700, 100), sides="left", urgent=True)
MIDDLE = structure("middle_organ", "visceral", box(400, 0, 600, 100), sides="midline")


def known(*structures: Structure) -> Atlas:
    layers: dict[str, dict[str, Structure]] = {layer: {} for layer in atlas.LAYERS}
    for one in structures:
        layers[one.layer][one.id] = one
    muscle = toy.muscle("biceps_brachii", {("front", "core"): ARM})
    return replace(toy.atlas(muscle), structures=layers)


ATLAS = known(SKIN_NERVE, ACHING_NERVE, PLEXUS, JOINT, LEFT_ORGAN, MIDDLE)


def rank(*marks: Mark) -> Ranking:
    return matching.rank(marks, ATLAS, something_drawn=True, skin=toy.SKIN)


def named(ranking: Ranking, layer: str) -> list[tuple[str, str]]:
    return [(one.id, one.side) for one in ranking.beside[layer]]


def test_an_ache_names_nerves_that_ache_joints_and_organs_but_no_nerve_of_the_skin() -> None:
    found = rank(ache("front", ARM))
    assert named(found, "peripheral_nerve") == [("aching_nerve", "right")]
    assert named(found, "plexus") == []
    assert named(found, "joint_referral") == [("joint", "right")]


def test_tingling_names_nerves_of_the_skin_and_plexuses_as_well() -> None:
    found = rank(ache("front", ARM, "tingling"))
    assert set(named(found, "peripheral_nerve")) == {("skin_nerve", "right"), ("aching_nerve", "right")}
    assert named(found, "plexus") == [("plexus", "right")]


def test_a_nerve_is_held_against_the_nerve_like_part_alone() -> None:
    """The ache beside it changes nothing: score and share are those of the tingling."""
    alone = rank(ache("front", ARM, "tingling"))
    beside = rank(ache("front", ARM, "tingling"), ache("back", box(500, 0, 700, 200)))
    one, other = (
        next(line for line in found.beside["peripheral_nerve"] if line.id == "skin_nerve")
        for found in (alone, beside)
    )
    assert (
        (one.score, one.explained) == (other.score, other.explained) == (pytest.approx(1), pytest.approx(1))
    )


def test_a_pair_is_named_on_the_side_that_is_drawn() -> None:
    assert named(rank(ache("front", box(600, 0, 700, 100))), "joint_referral") == [("joint", "left")]


def test_a_single_organ_lies_where_it_lies() -> None:
    assert named(rank(ache("front", box(300, 0, 390, 100))), "visceral") == []
    (organ,) = rank(ache("front", box(610, 0, 700, 100))).beside["visceral"]
    assert (organ.id, organ.side, organ.urgent) == ("left_organ", "left", True)
    assert named(rank(ache("front", box(450, 0, 550, 100))), "visceral") == [("middle_organ", "midline")]


def test_less_than_the_share_is_not_named() -> None:
    limit = matching.parameters().beside_share
    inside = 200 * limit
    assert named(rank(ache("front", box(400 - inside - 4, 0, 600 - inside - 4, 100))), "joint_referral") == [
        ("joint", "right")
    ]
    assert named(rank(ache("front", box(400 - inside + 4, 0, 600 - inside + 4, 100))), "joint_referral") == []


def test_the_reasons_are_words() -> None:
    (joint,) = rank(ache("front", ARM)).beside["joint_referral"]
    assert joint.reasons == ("100 % of the drawing lies where it is felt", "covers 50 % of its usual area")


def test_it_is_printed_under_plain_names() -> None:
    printed = rank(ache("front", ARM, "tingling")).as_json()
    assert {"nerves", "plexuses", "joints", "organs"} <= set(printed)
    assert set(printed["joints"][0]) == {
        "id",
        "name",
        "side",
        "score",
        "explained",
        "core_coverage",
        "urgent",
        "reasons",
    }


# On the figure.


def on_figure(kind: str, side: str = "right", **fractions: float) -> Ranking:
    return matching.rank(drawn.marks(kind, side, **fractions), atlas.load())


def first(ranking: Ranking, layer: str) -> str:
    return ranking.beside[layer][0].id


def test_a_burning_outer_thigh_leads_to_the_lateral_femoral_cutaneous_nerve() -> None:
    """Meralgia paraesthetica: common practice."""
    found = on_figure("burning", "left", front__thigh_lateral=0.8, back__thigh_lateral=0.4)
    assert (first(found, "peripheral_nerve"), found.beside["peripheral_nerve"][0].side) == (
        "lateral_femoral_cutaneous",
        "left",
    )


def test_tingling_of_thumb_to_middle_finger_in_the_palm_leads_to_the_median_nerve() -> None:
    """Skin of the median nerve in the hand: Standring, Gray's Anatomy, 41st ed. 2016; from memory."""
    found = on_figure("tingling", front__thumb_palmar=1, front__index_palmar=1, front__middle_palmar=1)
    assert first(found, "peripheral_nerve") == "median"


def test_a_mid_scapular_ache_leads_to_the_lowest_neck_joints_before_c2_3() -> None:
    """Fukui S et al., Pain 1996;68:79-83: C7/T1 is felt mid-scapular; C2/3 at the occiput."""
    found = [one.id for one in on_figure("ache", back__interscapular=0.6).beside["joint_referral"]]
    assert {"facet_c6_7", "facet_c7_t1"} & set(found[:3])
    assert "facet_c2_3" not in found


def test_an_occipital_and_frontal_ache_never_has_c6_7_first() -> None:
    """Dwyer A, Aprill C, Bogduk N, Spine 1990;15:453-7: C6/7 is not felt in the head."""
    found = on_figure("ache", back__occiput=0.8, front__forehead=0.8)
    assert first(found, "joint_referral") in ("facet_c2_3", "facet_c0_c2")


def test_a_left_arm_and_breastbone_ache_names_the_heart_as_urgent() -> None:
    """Swap CJ, Nagurney JT, JAMA 2005;294:2623-2629: chest pain that radiates to an arm."""
    found = on_figure("pressure", "left", front__arm_medial=0.7, front__pectoral_lower=0.5)
    heart = next(one for one in found.beside["visceral"] if one.id == "cardiac_ischaemia")
    assert heart.urgent

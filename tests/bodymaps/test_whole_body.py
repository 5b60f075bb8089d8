"""The atlas holds every part of the body: each muscle, root, nerve, plexus, joint and organ it promises."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from bodymaps import atlas, geometry, regions
from bodymaps.patterns import status_counts

VOCABULARY = tomllib.loads((Path(__file__).parent / "vocabulary.toml").read_text())
# What examiners ask for beside them.
MORE = {
    "peripheral_nerve": {
        "trigeminal_ophthalmic",
        "trigeminal_maxillary",
        "trigeminal_mandibular",
        *(f"intercostal_t{number}" for number in range(2, 13)),
        "pudendal",
        "iliohypogastric",
        "genitofemoral",
        "anterior_interosseous",
        "posterior_interosseous",
    },
    "joint_referral": {
        "knee",
        "ankle",
        "elbow",
        "wrist",
        "thumb_base",
        "costovertebral",
        "sternoclavicular",
    },
}


def test_every_muscle_has_its_pattern_and_none_is_without_a_name() -> None:
    assert list(atlas.load().muscles) == VOCABULARY["muscle"]
    assert len(VOCABULARY["muscle"]) == 109


def test_every_root_has_its_skin() -> None:
    assert list(atlas.load().dermatomes) == VOCABULARY["dermatome"]
    assert len(VOCABULARY["dermatome"]) == 28


@pytest.mark.parametrize("layer", atlas.LAYERS)
def test_every_structure_is_there(layer: str) -> None:
    assert set(atlas.load().structures[layer]) >= set(VOCABULARY[layer]) | MORE.get(layer, set())


@pytest.mark.parametrize("muscle", list(atlas.load().muscles))
def test_a_muscle_over_the_pleura_has_two_sources(muscle: str) -> None:
    one = atlas.load().muscles[muscle]
    if any(risk.structure == "pleura" for risk in one.at_risk):
        assert len({source.work for source in one.sources}) > 1


def test_the_muscles_of_the_chest_wall_name_the_pleura() -> None:
    """Common practice: needling over ribs and the lung apex is where lungs are hurt."""
    for name in (
        "serratus_anterior",
        "rhomboidei",
        "iliocostalis_thoracis",
        "scalenus_anterior",
        "trapezius_lower",
    ):
        risks = {risk.structure for risk in atlas.load().muscles[name].at_risk}
        assert "pleura" in risks, name


def test_the_loin_names_the_kidney() -> None:
    """Common practice."""
    risks = {risk.structure for risk in atlas.load().muscles["quadratus_lumborum"].at_risk}
    assert "kidney" in risks


def test_no_part_of_the_body_is_without_a_muscle_that_refers_there() -> None:
    """At least a tenth of every region, on either side, lies in some pattern."""
    areas: dict[str, list[geometry.Area]] = {"front": [], "back": []}
    for muscle in atlas.load().muscles:
        for side in atlas.SIDES:
            for zone in atlas.load().zones(muscle, side):
                areas[zone.view].append(zone.area)
    covered = {view: geometry.unite(found) for view, found in areas.items()}
    bare = {
        (one.id, one.side)
        for one in regions.load()
        if geometry.overlap(geometry.as_area(one.area), covered[one.view]).area < 0.1 * one.area.area
    }
    assert bare == set()


def test_sources_are_counted_by_their_status() -> None:
    counts = status_counts(atlas.load())
    assert set(counts) == {"pattern", "dermatome", *atlas.LAYERS}
    muscles = atlas.load().muscles.values()
    assert sum(counts["pattern"].values()) == sum(len(one.sources) for one in muscles)

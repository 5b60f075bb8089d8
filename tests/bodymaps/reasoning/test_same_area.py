"""What a drawing cannot tell apart stands together, with the examination that does."""

from __future__ import annotations

import pytest

from bodymaps import alike
from bodymaps.reasoning import same_area
from bodymaps.reasoning.same_area import SameArea
from tests.bodymaps.reasoning.evidence_cases import ATLAS, CHEST, EVERYBODY, HAND_ON_HEAD, STIFF_NECK, Person


def groups(person: Person) -> dict[str, SameArea]:
    return {one.id: one for one in same_area.groups(person.ranking, ATLAS, person.judged())}


def test_every_two_muscles_of_the_same_area_stand_together_in_a_group() -> None:
    together = [set(one.members) for one in same_area.separations()]
    for muscle, others in alike.same_area(ATLAS).items():
        for other in others:
            pair = {("muscle", muscle), ("muscle", other)}
            assert any(pair <= members for members in together), (
                f"{muscle} and {other}: how to tell them apart?"
            )


def test_scalenes_root_and_infraspinatus_stand_together_with_what_tells_them_apart() -> None:
    found = groups(HAND_ON_HEAD)["scalenes_root_cuff"]
    members = {(one.layer, one.id) for one in found.members}
    assert {("muscle", "scalenus_anterior"), ("root", "C6"), ("muscle", "infraspinatus")} <= members
    said = " ".join(found.examine)
    assert "reflexes" in said and "Hand on the head" in said and "outlet" in said


def test_levator_scapulae_stands_beside_the_joints_of_the_neck() -> None:
    members = {one.id for one in groups(STIFF_NECK)["stiff_neck"].members}
    assert {"levator_scapulae", "facet_c4_5"} <= members


def test_the_heart_stands_beside_the_muscles_of_the_chest_whatever_the_side() -> None:
    assert "cardiac_ischaemia" in {one.id for one in groups(CHEST)["front_of_shoulder"].members}


@pytest.mark.parametrize("person", EVERYBODY.values(), ids=EVERYBODY)
def test_a_group_has_two_members_or_more_of_its_side_most_first(person: Person) -> None:
    found = same_area.groups(person.ranking, ATLAS, person.judged())
    assert found
    assert [len(one.members) for one in found] == sorted((len(one.members) for one in found), reverse=True)
    for one in found:
        assert len(one.members) > 1 and one.examine and one.source and one.status
        assert all(member.side == one.side or member.layer == "visceral" for member in one.members)
        assert not {member.name for member in one.members} & set(one.others)


def test_nothing_drawn_has_no_groups() -> None:
    assert same_area.groups(Person().ranking, ATLAS) == ()


def test_groups_come_of_the_geometry_alone_too() -> None:
    assert "stiff_neck" in {one.id for one in same_area.groups(STIFF_NECK.ranking, ATLAS)}

"""What to examine next, on the atlas of this release: invented people, what is proposed to whom and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from bodymaps.reasoning import evidence, examine_next, limbs, next_screen, offered_tests
from bodymaps.reasoning.case import Case, Value
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Evidence
from bodymaps.reasoning.examine_next import EXCLUDE, MUSCLE, PUBLISHED, SCREEN, TEST, Proposal
from bodymaps.reasoning.felt import Felt
from bodymaps.reasoning.limbs import Limb
from bodymaps.reasoning.standing import Standing
from tests.bodymaps.reasoning.evidence_cases import (
    ATLAS,
    C6,
    CHEST,
    EVERYBODY,
    HAND_ON_HEAD,
    LOW_BACK,
    MIRROR,
    Person,
    on,
)

LEFT_ARM = Person(
    (
        (
            "ache",
            {"front:arm_lateral": 0.8, "front:shoulder_anterior": 0.6, "back:scapula_medial_border": 0.5},
        ),
        ("tingling", {"back:thumb_dorsal": 0.8}),
    ),
    side="left",
    age=48,
    history={"brings_on": ["turn_head"]},
)
LEG = Person(
    (
        ("ache", {"back:sacroiliac": 0.7, "back:thigh_posterior_upper": 0.6}),
        ("shooting", {"back:calf_central": 0.6}),
    ),
    age=45,
)
SHOULDER = Person((("ache", {"front:shoulder_anterior": 0.9, "front:arm_lateral": 0.7}),), age=52)
HEAD = Person((("ache", {"front:temple": 0.8, "back:neck_posterior": 0.6, "back:mastoid": 0.5}),), age=35)
TESTED_ARM = replace(LEFT_ARM, findings=on("left", {"neck:spurling": "positive"}))
PEOPLE = {
    **EVERYBODY,
    "left arm": LEFT_ARM,
    "tested arm": TESTED_ARM,
    "leg": LEG,
    "shoulder": SHOULDER,
    "head": HEAD,
    "chest": CHEST,
}

ACTIVE = dict.fromkeys(("band", "spot", "referral", "recognised"), "yes")
NOT_MET = dict.fromkeys(ACTIVE, "no")


MADE: dict[str, tuple[Proposal, ...]] = {}


def proposed(person: Person, felt: tuple[Felt, ...] = ()) -> tuple[Proposal, ...]:
    """What is proposed to somebody, worked out once."""
    name = repr((person, felt))
    if name not in MADE:
        MADE[name] = worked_out(person, felt)
    return MADE[name]


def worked_out(person: Person, felt: tuple[Felt, ...] = ()) -> tuple[Proposal, ...]:
    facts, ranking = with_felt(person.facts, felt), person.ranking
    return examine_next.proposals(evidence.judge(ranking, facts, ATLAS), facts, ATLAS, ranking)


def with_felt(facts: Facts, felt: tuple[Felt, ...]) -> Facts:
    return Facts(replace(facts.case, felt=felt), facts.drawn)


def with_findings(person: Person, findings: Mapping[str, Any]) -> Person:
    return replace(person, findings={**person.findings, **findings})


def whats(found: tuple[Proposal, ...]) -> list[tuple[str, str, str]]:
    return [(one.kind, one.id, one.side) for one in found]


# The main signs of C5 to T1 (nerve_signs.toml) and touch of the radial nerve, which lead there.
ARM_SIGNS = (
    *(f"touch:{root}" for root in ("C5", "C6", "C7", "C8", "T1")),
    *(f"strength:{root}" for root in ("C5", "C6", "C7", "C8", "T1")),
    *(f"reflex:{muscle}" for muscle in ("biceps", "brachioradialis", "triceps")),
    "nerve_touch:radial_superficial",
)

# What is proposed to whom.


def test_an_aching_arm_with_a_tingling_thumb_is_screened_for_nerves_first() -> None:
    # Common practice: root, scalenes and infraspinatus reach the same arm, and a loss speaks for the root.
    found = proposed(LEFT_ARM)
    assert whats(found)[0] == (SCREEN, "neuro:arm", "left")
    assert {one.kind for one in found} == {SCREEN, TEST, MUSCLE}
    assert any(one.id.startswith(("neck:", "tension:")) and one.basis == PUBLISHED for one in found)


def test_a_leg_with_a_shooting_calf_is_screened_and_its_muscles_are_pressed() -> None:
    found = whats(proposed(LEG))
    assert (SCREEN, "neuro:leg", "right") in found
    assert (MUSCLE, "gluteus_minimus_posterior", "right") in found


def test_a_shoulder_is_tested_where_a_ratio_is_published_and_pressed() -> None:
    found = proposed(SHOULDER)
    assert any(one.kind == TEST and one.basis == PUBLISHED for one in found)
    assert (MUSCLE, "infraspinatus", "right") in whats(found)


def test_a_headache_from_the_neck_has_neck_joints_and_muscles_examined_no_nerves() -> None:
    found = proposed(HEAD)
    assert (MUSCLE, "trapezius_upper", "right") in whats(found)
    assert any(one.id.startswith("neck_joint:") for one in found)
    assert all(one.kind != SCREEN for one in found)


def test_a_screen_of_nerves_comes_first_where_a_nerve_is_among_the_very_first() -> None:
    # Common practice: feeling, strength and reflexes before the neck is loaded and muscles are pressed.
    first = {name: proposed(person)[0] for name, person in PEOPLE.items()}
    assert first["left arm"].id == "neuro:arm"
    # Here the tests of the sacroiliac joint would tell more.
    assert first["leg"].id == "neuro:leg" and first["leg"].gain < proposed(LEG)[1].gain
    assert first["head"].kind != SCREEN


@pytest.mark.parametrize("person", [HAND_ON_HEAD, SHOULDER, LEFT_ARM, LEG, HEAD])
def test_among_the_proposals_are_muscles_to_press(person: Person) -> None:
    assert sum(one.kind == MUSCLE for one in proposed(person)) >= 2


def test_a_muscle_is_proposed_with_its_cautions() -> None:
    found = [one for person in (HAND_ON_HEAD, LEFT_ARM) for one in proposed(person) if one.kind == MUSCLE]
    assert found
    for one in found:
        assert one.caution == " ".join(ATLAS.muscles[one.id].cautions)
    assert any("plexus" in one.caution for one in found if one.id.startswith("scalenus"))


def test_scalenes_of_the_same_area_are_not_proposed_one_after_the_other() -> None:
    scalenes = {"scalenus_anterior", "scalenus_medius", "scalenus_posterior"}
    for person in PEOPLE.values():
        assert sum(one.id in scalenes for one in proposed(person)) <= 1


def test_an_organ_among_the_first_is_to_be_excluded_before_anything_else() -> None:
    first = proposed(CHEST)[0]
    assert (first.kind, first.id) == (SCREEN, EXCLUDE)
    assert "heart" in first.title and not first.outcomes


def test_no_proposal_claims_to_settle_an_organ() -> None:
    for one in proposed(CHEST)[1:]:
        moved = [each for outcome in one.outcomes for each in outcome.moved]
        assert moved and all(each.layer != "visceral" for each in moved)


# What holds for everybody.


@pytest.mark.parametrize("person", PEOPLE.values(), ids=PEOPLE)
def test_a_proposal_says_what_why_and_on_whose_word(person: Person) -> None:
    found = proposed(person)
    assert 1 <= len(found) <= 6
    for one in found:
        assert one.title and one.why and one.separates and one.source and one.status
        assert one.basis in examine_next.BASES and one.kind in examine_next.KINDS
        assert one.gain >= 0 and (one.id == EXCLUDE or len(one.outcomes) == 2)
        assert all(why.endswith(".") and "{" not in why and "}" not in why for why in one.why)


@pytest.mark.parametrize("person", PEOPLE.values(), ids=PEOPLE)
def test_gains_fall_from_the_first_proposal_to_the_last(person: Person) -> None:
    # A screen of nerves may stand first, whatever it tells.
    gains = [one.gain for one in proposed(person) if one.kind != SCREEN]
    assert gains == sorted(gains, reverse=True) and gains[-1] > 0


@pytest.mark.parametrize("person", PEOPLE.values(), ids=PEOPLE)
def test_the_same_is_proposed_every_time(person: Person) -> None:
    assert worked_out(person) == proposed(person)


@pytest.mark.parametrize(
    "name", ["hand on head", "C6", "low back", "stiff neck", "left arm", "leg", "shoulder"]
)
def test_a_mirrored_person_has_the_mirrored_proposals(name: str) -> None:
    person = PEOPLE[name]
    findings = {
        key: {MIRROR[side]: one for side, one in value.items()} if isinstance(value, dict) else value
        for key, value in person.findings.items()
    }
    mirrored = proposed(replace(person, side=MIRROR[person.side], findings=findings))
    found = proposed(person)
    assert whats(mirrored) == [(kind, one, MIRROR.get(side, side)) for kind, one, side in whats(found)]
    assert [one.gain for one in mirrored] == [one.gain for one in found]


@pytest.mark.parametrize("person", PEOPLE.values(), ids=PEOPLE)
def test_what_is_expected_is_what_judging_anew_with_the_finding_gives(person: Person) -> None:
    for one in proposed(person):
        for answer, outcome in zip((True, False), one.outcomes, strict=False):
            anew = judged_with(person, one, answer)
            for moved in (*outcome.moved, outcome.first):
                then = anew.of(moved.layer, moved.id, moved.side)
                assert then and then.place == moved.place_after, f"{one.title}, {outcome.words}: {moved.id}"
            assert anew.order[0].id == outcome.first.id


def judged_with(person: Person, one: Proposal, answer: bool) -> Evidence:
    """The order with a proposed finding on record."""
    facts, signs = person.facts, ACTIVE if answer else NOT_MET
    if one.kind == MUSCLE:
        added = replace(facts.case, felt=(Felt(one.id, one.side, one.site, signs),))
    elif one.kind == SCREEN:
        added = screened(person, one, answer)
    else:
        values = {(key, one.side): value for key, value in values_of(person, one, answer).items()}
        added = replace(facts.case, findings={**facts.case.findings, **values})
    return evidence.judge(person.ranking, Facts(added, facts.drawn), ATLAS)


def screened(person: Person, one: Proposal, answer: bool) -> Case:
    """With the signs of a screen on record: those of the first root or nerve lost, or none."""
    standing = Standing(person.judged(), person.facts, ATLAS)
    limb = next(
        limb for limb in limbs.of(standing) if (f"neuro:{limb.name}", limb.side) == (one.id, one.side)
    )
    (block,) = next_screen.blocks(limb)
    return limb.with_(block.lost if answer else (), block.spared if answer else (*block.lost, *block.spared))


def values_of(person: Person, one: Proposal, answer: bool) -> Mapping[str, Value]:
    """What is positive, or abnormal, and what is not."""
    tried = {key for key, side in person.facts.case.findings if side == one.side}
    for offered in (*offered_tests.together(tried), *offered_tests.alone().values()):
        if one.title in (offered.title, f"{offered.title}, {one.side}"):
            return offered.values[not answer]
    return {one.id: ABNORMAL[one.id.partition(":")[0]] if answer else NORMAL[one.id.partition(":")[0]]}


ABNORMAL = {"touch": "1", "nerve_touch": "1", "strength": "4", "reflex": "1"}
NORMAL = {"touch": "2", "nerve_touch": "2", "strength": "5", "reflex": "2"}


# What changes as findings come in.


@pytest.mark.parametrize(
    ("person", "key", "side"),
    [(HAND_ON_HEAD, "neck:distraction", "right"), (SHOULDER, "shoulder:hawkins", "right")],
    ids=["root or scalenes", "joint or muscle"],
)
def test_flipping_one_finding_changes_the_first_proposal(person: Person, key: str, side: str) -> None:
    assert (TEST, key, side) in whats(proposed(person))
    positive, negative = (
        whats(proposed(with_findings(person, on(side, {key: result})))) for result in ("positive", "negative")
    )
    assert positive[0] != negative[0]
    assert (TEST, key, side) not in (*positive, *negative)


def test_flipping_what_pressing_brings_on_changes_the_first_proposal() -> None:
    first = proposed(LOW_BACK)[0]
    assert (first.kind, first.id) == (MUSCLE, "quadratus_lumborum")
    active, not_met = (
        whats(proposed(LOW_BACK, (Felt(first.id, first.side, first.site, signs),)))
        for signs in (ACTIVE, NOT_MET)
    )
    assert active[0] != not_met[0]


def test_a_scalene_felt_in_one_go_with_another_is_not_proposed_after_it() -> None:
    first = next(one for one in proposed(C6) if one.kind == MUSCLE)
    assert first.id.startswith("scalenus_") and "feel them in one go" in " ".join(first.why)
    after = proposed(C6, (Felt(first.id, first.side, first.site, NOT_MET),))
    assert not any(one.id in {"scalenus_anterior", "scalenus_medius", "scalenus_posterior"} for one in after)


@pytest.mark.parametrize("answer", ["positive", "negative", "NT"])
def test_a_test_that_was_tried_is_not_proposed_again(answer: str) -> None:
    tests = [one.id for one in proposed(SHOULDER) if one.kind == TEST and one.id.startswith("shoulder:")]
    assert tests
    after = proposed(with_findings(SHOULDER, on("right", {tests[0]: answer})))
    assert (TEST, tests[0], "right") not in whats(after)


def test_a_test_of_the_other_side_does_not_stand_in_for_this_one() -> None:
    tests = [one.id for one in proposed(SHOULDER) if one.kind == TEST and one.id.startswith("shoulder:")]
    after = proposed(with_findings(SHOULDER, on("left", {tests[0]: "negative"})))
    assert (TEST, tests[0], "right") in whats(after)


def test_a_muscle_that_was_examined_is_not_proposed_again() -> None:
    first = next(one for one in proposed(SHOULDER) if one.kind == MUSCLE)
    after = proposed(SHOULDER, (Felt(first.id, first.side, first.site, {"spot": "NT"}),))
    assert (MUSCLE, first.id, first.side) not in whats(after)


def test_once_every_main_sign_was_tried_no_screen_is_proposed() -> None:
    after = proposed(with_findings(LEFT_ARM, on("left", dict.fromkeys(ARM_SIGNS, "NT"))))
    assert all(one.kind != SCREEN for one in after)


def test_a_screen_that_was_broken_off_is_to_be_finished_with_what_the_first_root_would_show() -> None:
    found = proposed(with_findings(LEFT_ARM, on("left", {"touch:C8": "2", "touch:C6": "2"})))
    rest = next(one for one in found if one.kind == SCREEN)
    assert rest.title == "Rest of the neuro screen of the arm, left"
    assert "C6 nerve root would show in: strength (wrist extensors) and reflex (brachioradialis)." in rest.why


def test_the_last_sign_of_a_root_is_proposed_by_itself_until_it_was_tried() -> None:
    tested = {"touch:C6": "1", "reflex:brachioradialis": "1", "nerve_touch:radial_superficial": "2"}
    limb, standing = of_left_arm(tested)
    assert [block.lost for block in next_screen.blocks(limb)] == [("strength:C6",)]
    found = list(next_screen.possible(standing))
    assert [(one.kind, one.id) for one in found] == [(TEST, "strength:C6")]
    assert found[0].tell().title == "strength (wrist extensors), left"
    assert not list(next_screen.possible(of_left_arm({**tested, "strength:C6": "NT"})[1]))


def of_left_arm(findings: Mapping[str, str]) -> tuple[Limb, Standing]:
    person = with_findings(LEFT_ARM, on("left", findings))
    order = [one for one in person.judged().order if one.id in ("C6", "radial_superficial", "infraspinatus")]
    standing = Standing(Evidence(tuple(order)), person.facts, ATLAS)
    return next(limbs.of(standing)), standing


# When there is nothing to propose.


def test_nothing_drawn_has_no_proposals_and_says_so() -> None:
    nobody = Person()
    found = nobody.judged()
    told = (found, nobody.facts, ATLAS, nobody.ranking)
    assert examine_next.proposals(*told) == ()
    assert examine_next.why_none(*told) == "Nothing is drawn that could be ranked."


def test_one_candidate_alone_has_no_proposals_and_says_so() -> None:
    alone = Evidence(SHOULDER.judged().order[:1])
    told = (alone, SHOULDER.facts, ATLAS, SHOULDER.ranking)
    assert examine_next.proposals(*told) == ()
    assert examine_next.why_none(*told) == "One candidate only: there is nothing to separate."


def test_a_proposal_as_plain_data_names_what_why_and_the_expected_change() -> None:
    one = proposed(C6)[0].as_json()
    assert set(one["what"]) == {"kind", "id", "side", "site"}
    assert {"title", "why", "basis", "source", "status", "gain", "expected_change"} <= set(one)
    for change in one["expected_change"]:
        assert set(change) == {"if", "change", "first"} and set(change["first"]) == {
            "layer",
            "id",
            "side",
            "name",
        }


def test_a_case_alone_changes_nothing_of_the_case() -> None:
    facts = LEFT_ARM.facts
    before = facts.case
    examine_next.proposals(LEFT_ARM.judged(), facts, ATLAS, LEFT_ARM.ranking)
    assert facts.case == before == LEFT_ARM.facts.case and isinstance(before, Case)

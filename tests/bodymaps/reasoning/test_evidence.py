"""What speaks for and against each candidate, and the second order."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from bodymaps.reasoning import evidence, evidence_lines, evidence_rules, flags
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence import AGAINST, FOR
from bodymaps.reasoning.signs import STATUS
from tests.bodymaps.reasoning.evidence_cases import (
    ATLAS,
    C6,
    CHEST,
    EVERYBODY,
    HAND_ON_HEAD,
    LOW_BACK,
    MIRROR,
    NORMAL_ARM,
    STIFF_NECK,
    Person,
    line_of,
    on,
    one,
)

people = pytest.mark.parametrize("person", EVERYBODY.values(), ids=EVERYBODY)


@people
def test_it_leaves_the_order_of_the_geometry_as_it_is(person: Person) -> None:
    ranking = person.ranking
    before = ranking.as_json()
    found = evidence.judge(ranking, person.facts, ATLAS)
    assert ranking.as_json() == before
    for place, match in enumerate(ranking.muscles, 1):
        judged = one(found, "muscle", match.muscle, match.side)
        assert (judged.geometry_place, judged.agreement) == (place, match.score)


@people
def test_it_keeps_whatever_the_geometry_named(person: Person) -> None:
    found, ranking = person.judged(), person.ranking
    assert all(found.of("muscle", match.muscle, match.side) for match in ranking.muscles)
    assert all(found.of("root", root.root, root.side) for root in ranking.roots)
    beside = [(layer, other) for layer, others in ranking.beside.items() for other in others]
    assert beside and all(found.of(layer, other.id, other.side) for layer, other in beside)


@people
def test_a_total_is_agreement_and_the_counted_lines_clipped(person: Person) -> None:
    most = evidence_rules.arithmetic().most
    for judged in person.judged().order:
        lines = sum(line.weight for line in judged.lines if line.counted)
        if judged.layer != "visceral":
            assert judged.evidence == pytest.approx(max(-most, min(most, lines)))
        assert judged.total == pytest.approx(judged.agreement + judged.evidence)


@people
def test_lines_about_the_same_thing_count_once_for_and_once_against(person: Person) -> None:
    for judged in person.judged().order:
        counted = {(said.speaks, said.about): said for said in judged.lines if said.counted}
        assert len(counted) == sum(said.counted for said in judged.lines)
        for shown in judged.lines:
            stronger = counted.get((shown.speaks, shown.about), shown)
            assert abs(stronger.weight) >= abs(shown.weight)


@people
def test_every_line_names_its_source_and_what_it_rests_on(person: Person) -> None:
    for judged in person.judged().order:
        for said in judged.lines:
            assert said.words and said.source and said.status in STATUS and said.because
            assert (said.weight > 0) == (said.speaks == FOR) and said.speaks in (FOR, AGAINST)


@people
def test_it_gives_the_same_order_again(person: Person) -> None:
    assert person.judged() == person.judged()


@people
def test_a_mirrored_person_gets_the_mirrored_order(person: Person) -> None:
    findings = {
        key: {MIRROR[side]: value for side, value in values.items()}
        for key, values in person.findings.items()
    }
    mirrored = replace(person, side=MIRROR[person.side], findings=findings)

    def order(of: Person, swap: bool) -> dict[tuple[str, str, str], float]:
        return {
            (judged.layer, judged.id, MIRROR[judged.side] if swap else judged.side): round(judged.total, 3)
            for judged in of.judged().order
            if judged.layer != "visceral"
        }

    assert order(person, swap=False) == pytest.approx(order(mirrored, swap=True), abs=0.01)


@people
def test_what_was_not_tested_changes_nothing(person: Person) -> None:
    untested = {"strength:C8": "NT", "reflex:triceps": "NT", "neck:valsalva": "NT", "touch:L5": "NT"}
    more = replace(person, findings={**on("right", untested), **person.findings})
    assert more.judged() == person.judged()


def test_ratios_are_steps_of_probability() -> None:
    # McGee S, J Gen Intern Med 2002;17:646-9 (from memory): ratios of 2, 5 and 10 add about 15, 30 and 45
    # percentage points, ratios of 0.5, 0.2 and 0.1 take as much away.
    numbers = evidence_rules.arithmetic()
    for ratio, points in ((2, 15), (5, 30), (10, 45)):
        assert 100 * numbers.weight(ratio) == pytest.approx(points, abs=2)
        assert numbers.weight(1 / ratio) == pytest.approx(-numbers.weight(ratio))


def test_published_ratios_of_the_heart_are_those_of_the_paper() -> None:
    # Swap CJ, Nagurney JT, JAMA 2005;294:2623-9: table of characteristics of chest pain.
    published = {
        "heart_right_arm": 4.7,
        "heart_both_arms": 4.1,
        "heart_effort": 2.4,
        "heart_left_arm": 2.3,
        "heart_sweating": 1.9,
        "heart_pressure": 1.3,
        "on_deep_breath": 0.2,
        "moving_heart": 0.3,
        "drawn_stabbing_heart": 0.3,
        "pressing_heart": 0.3,
    }
    rules = {rule.id: rule for rule in evidence.rules()}
    for name, ratio in published.items():
        rule = rules[name]
        weight = rule.weight if ratio > 1 else rule.weight_against
        assert weight == pytest.approx(0.19 * math.log(ratio)) and "Swap" in rule.source


def test_tenderness_speaks_against_the_heart_and_never_hides_it() -> None:
    pressed = replace(CHEST, findings=on("left", {"reproduced:by_pressing": "positive"}))
    heart = one(pressed.judged(), "visceral", "cardiac_ischaemia", "left")
    said = line_of(heart, "pressing_heart")
    assert said.speaks == AGAINST and "never clears" in said.words
    untouched, flag = (
        next(flag for flag in flags.raised(person.facts) if flag.id == "heart") for person in (CHEST, pressed)
    )
    assert flag.level == untouched.level


def test_all_that_speaks_against_an_urgent_organ_lowers_it_by_little() -> None:
    against = on("left", {"reproduced:by_pressing": "positive", "reproduced:by_moving": "positive"})
    drawing = (("stabbing", {"front:pectoral_upper": 0.8}),)
    mild = Person(drawing, side="left", history={"brings_on": ["deep_breath"]}, findings=against)
    heart = one(mild.judged(), "visceral", "cardiac_ischaemia", "left")
    assert sum(said.weight for said in heart.speaks_against) < -0.6
    assert heart.evidence == -evidence_rules.arithmetic().most_against_urgent
    assert heart.geometry_place is not None


def test_the_left_arm_never_speaks_against_the_heart() -> None:
    assert not [
        rule.id
        for rule in evidence.rules()
        if ("visceral", "cardiac_ischaemia") in rule.against
        and any(leaf.get("side") for leaf in rule.condition.leaves())
    ]


def test_the_right_arm_says_more_for_the_heart_than_the_left_and_neither_without_the_chest() -> None:
    heart = ("visceral", "cardiac_ischaemia", "left")

    def radiation(*places: tuple[str, str, str]) -> float:
        lines = evidence_lines.of(Facts(Case(), Drawn(frozenset(places))), ATLAS).of(heart)
        return sum(said.weight for said in lines if said.about == "radiation" and said.counted)

    chest = ("front:sternal", "midline", "pressure")
    right, left = (("front:arm_medial", side, "ache") for side in ("right", "left"))
    assert radiation(chest, right) > radiation(chest, right, left) > radiation(chest, left) > 0
    assert radiation(right, left) == 0


def test_a_hand_on_the_head_speaks_for_scalene_and_root_and_says_so_of_both() -> None:
    found = HAND_ON_HEAD.judged()
    scalene = line_of(one(found, "muscle", "scalenus_anterior"), "eases_arm_overhead")
    root = line_of(one(found, "root", "C6"), "eases_arm_overhead_own")
    assert "roots C5 to C7" in scalene.words and "outlet" in scalene.words
    assert "scalene pain too" in root.words and "healthy" in root.words
    assert all("strength, reflexes and touch tell them apart" in said.words for said in (scalene, root))


def test_with_a_normal_screen_the_scalenes_stand_before_the_root_and_with_its_signs_behind_it() -> None:
    normal, abnormal = HAND_ON_HEAD.judged(), C6.judged()
    assert one(normal, "muscle", "scalenus_anterior").place < one(normal, "root", "C6").place
    assert one(abnormal, "root", "C6").place < one(abnormal, "muscle", "scalenus_anterior").place


def test_tingling_counts_against_a_muscle_and_says_that_it_does_not_rule_it_out() -> None:
    said = line_of(one(HAND_ON_HEAD.judged(), "muscle", "scalenus_anterior"), "drawn_nerve_kind")
    assert said.speaks == AGAINST and "may tingle" in said.words and "Pain Med 2018" in said.source


def test_an_ache_outside_its_area_says_nothing_of_a_muscle() -> None:
    far = Person((*STIFF_NECK.drawing, ("tingling", {"front:foot_dorsum_medial": 0.9})))
    levator = one(far.judged(), "muscle", "levator_scapulae")
    assert "drawn_nerve_kind" not in {said.rule for said in levator.lines}


def test_what_brings_it_on_changes_the_order() -> None:
    silent = replace(LOW_BACK, history={})
    told, untold = LOW_BACK.judged(), silent.judged()
    gain = {
        name: one(told, "muscle", name).total - one(untold, "muscle", name).total
        for name in ("quadratus_lumborum", "gluteus_medius", "piriformis")
    }
    assert (
        gain["quadratus_lumborum"] > gain["gluteus_medius"]
        and gain["quadratus_lumborum"] > gain["piriformis"]
    )


def test_a_root_that_only_findings_bring_in_has_no_place_in_the_geometry() -> None:
    aching = Person((("ache", {"back:scapula_medial_border": 0.8}),), findings=C6.findings)
    root = one(aching.judged(), "root", "C6")
    assert (root.geometry_place, root.agreement, root.agreement_of) == (None, 0.0, "")
    assert root.evidence >= evidence_rules.arithmetic().enters_from


def test_a_muscle_does_not_come_in_by_its_story_alone() -> None:
    assert STIFF_NECK.judged().of("muscle", "quadratus_lumborum", "right") is None


def test_a_joint_does_not_come_in_where_nothing_is_drawn() -> None:
    kneeling = replace(STIFF_NECK, history={"brings_on": ["squat", "stairs"]}, age=60)
    assert kneeling.judged().of("joint_referral", "knee", "right") is None


def test_an_urgent_organ_comes_in_by_the_story_alone() -> None:
    story = replace(STIFF_NECK, history={"chest_effort": "yes", "sweating_sick": "yes"})
    heart = one(story.judged(), "visceral", "cardiac_ischaemia", "left")
    assert heart.geometry_place is None


def test_a_root_is_held_against_the_nerve_like_part_and_a_muscle_against_the_whole() -> None:
    found = C6.judged()
    assert one(found, "root", "C6").agreement_of == evidence.NERVE_LIKE
    assert one(found, "muscle", "scalenus_anterior").agreement_of == evidence.WHOLE


def test_an_empty_drawing_without_findings_has_an_empty_order() -> None:
    assert Person().judged().order == ()


def test_no_line_speaks_of_a_diagnosis() -> None:
    said = [words for rule in evidence.rules() for words in (rule.words, rule.words_against)]
    assert not [words for words in said if "diagnos" in words.lower() or "patient has" in words.lower()]


def test_it_prints_the_sum_and_the_lines_of_every_candidate() -> None:
    found = C6.judged()
    printed = found.as_json()
    first, lines = printed["order_with_evidence"][0], printed["evidence"][0]
    assert (first["layer"], first["id"], first["side"]) == (lines["layer"], lines["id"], lines["side"])
    assert first["total"] == pytest.approx(first["agreement"] + first["evidence"], abs=2e-4)
    assert [place["place"] for place in printed["order_with_evidence"]] == [*range(1, len(found.order) + 1)]
    assert all(
        {"words", "because", "source", "status", "weight", "counted"} <= set(one) for one in lines["for"]
    )


def test_a_normal_screen_of_the_arm_speaks_for_its_muscles_and_not_for_those_of_the_leg() -> None:
    both = Person(
        (*STIFF_NECK.drawing, ("ache", {"back:iliac_crest_posterior": 0.7})), findings=NORMAL_ARM
    ).judged()
    said = {
        name: {line.rule for line in one(both, "muscle", name).lines}
        for name in ("levator_scapulae", "quadratus_lumborum")
    }
    assert "nerve_signs_normal" in said["levator_scapulae"]
    assert "nerve_signs_normal" not in said["quadratus_lumborum"]


def test_the_sum_can_be_read_and_says_when_it_was_kept_small() -> None:
    root = one(C6.judged(), "root", "C6")
    assert root.evidence == evidence_rules.arithmetic().most
    assert "to keep the lines within 0.60" in root.arithmetic
    assert root.arithmetic.startswith(
        f"{root.agreement:.2f} of the burning, shooting, tingling and numb part"
    )
    assert root.arithmetic.endswith(f"= {root.total:.2f}")
    levator = one(STIFF_NECK.judged(), "muscle", "levator_scapulae")
    assert levator.arithmetic == (
        f"{levator.agreement:.2f} of the whole drawing {levator.evidence:+.2f} for = {levator.total:.2f}"
    )


def test_a_known_disease_alone_brings_in_no_organ_where_nothing_is_drawn() -> None:
    known = Person(
        (("ache", {"front:ankle_anterior": 0.8}),), age=70, history={"heart_known": "yes", "smoking": "now"}
    )
    assert known.judged().of("visceral", "cardiac_ischaemia", "left") is None


def test_effort_said_in_story_and_on_the_danger_screen_counts_once_for_the_heart() -> None:
    heart = one(CHEST.judged(), "visceral", "cardiac_ischaemia", "left")
    told = [line for line in heart.speaks_for if line.about == "heart and effort"]
    assert len(told) == 2 and [line.counted for line in told] == [True, False]

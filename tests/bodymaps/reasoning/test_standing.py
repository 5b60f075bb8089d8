"""How candidates stand, and how they would with one more finding."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bodymaps.reasoning import evidence_rules
from bodymaps.reasoning.evidence import Evidence
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Line
from bodymaps.reasoning.felt import Felt
from bodymaps.reasoning.standing import Change, Standing, sided
from tests.bodymaps.reasoning.evidence_cases import ATLAS, CHEST, HAND_ON_HEAD, Person, one

CALF = Person((("ache", {"back:calf_central": 0.8}),), age=60)
HEART = ("visceral", "cardiac_ischaemia", "left")
SCALENE = ("muscle", "scalenus_anterior", "right")
CHESTS, ARMS = (Standing(person.judged(), person.facts, ATLAS) for person in (CHEST, HAND_ON_HEAD))


def line(weight: float, about: str = "something new") -> Line:
    speaks = FOR if weight > 0 else AGAINST
    return Line("new", speaks, "It is so.", (), "common practice", "common practice", weight, about)


def total_after(standing: Standing, key: tuple[str, str, str], *lines: Line) -> float:
    after = dict((sided(one), total) for one, total in standing.after(Change(frozenset(), {key: lines})))
    return after[key]


def test_no_organ_is_weighed_and_those_among_the_first_are_named() -> None:
    assert HEART in {sided(one) for one in CHESTS.organs}
    assert CHESTS.leading and all(one.layer != "visceral" for one in CHESTS.leading)
    assert len(CHESTS.weights) == len(CHESTS.leading) and sum(CHESTS.weights) == pytest.approx(1)


def test_an_urgent_organ_is_lowered_by_little_however_much_speaks_against_it() -> None:
    heart = one(CHESTS.evidence, *HEART)
    least = heart.agreement - evidence_rules.arithmetic().most_against_urgent
    assert total_after(CHESTS, HEART, line(-5.0)) == pytest.approx(least)


def test_everybody_else_is_moved_by_no_more_than_all_lines_may() -> None:
    scalene, most = one(ARMS.evidence, *SCALENE), evidence_rules.arithmetic().most
    assert total_after(ARMS, SCALENE, line(5.0)) == pytest.approx(scalene.agreement + most)
    assert total_after(ARMS, SCALENE, line(-5.0)) == pytest.approx(scalene.agreement - most)


def test_of_lines_about_the_same_thing_the_strongest_counts_once() -> None:
    before = one(ARMS.evidence, *SCALENE).total
    assert total_after(ARMS, SCALENE, line(0.05), line(0.1)) == pytest.approx(before + 0.1)
    assert total_after(ARMS, SCALENE, line(0.05), line(-0.1)) == pytest.approx(before - 0.05)


def test_nobody_leads_whom_evidence_could_not_bring_together_with_the_first() -> None:
    # Twice what evidence may weigh: one falls by it, the other rises by it.
    apart = 2 * evidence_rules.arithmetic().most
    first, second, *rest = CALF.judged().order
    for by, leads in ((apart - 0.01, True), (apart + 0.01, False)):
        far = replace(second, total=first.total - by)
        leading = Standing(Evidence((first, far, *rest)), CALF.facts, ATLAS).leading
        assert (far in leading) is leads


def test_a_muscle_that_brought_on_the_known_pain_leads_wherever_it_stands() -> None:
    last = next(one for one in reversed(HAND_ON_HEAD.judged().order) if one.layer == "muscle")
    assert last not in Standing(HAND_ON_HEAD.judged(), HAND_ON_HEAD.facts, ATLAS).leading
    for answer, leads in (("yes", True), ("no", False)):
        felt = Felt(last.id, last.side, signs={"recognised": answer})
        facts = replace(HAND_ON_HEAD.facts, case=replace(HAND_ON_HEAD.facts.case, felt=(felt,)))
        leading = Standing(HAND_ON_HEAD.judged(), facts, ATLAS).leading
        assert (sided(last) in map(sided, leading)) is leads


def test_a_lone_leader_does_not_weigh_all() -> None:
    first, *rest = CALF.judged().order
    alone = Evidence((replace(first, total=first.total + 0.5), *rest))
    weights = Standing(alone, CALF.facts, ATLAS).weights
    assert weights[0] == pytest.approx(0.8) and sum(weights) == pytest.approx(1)

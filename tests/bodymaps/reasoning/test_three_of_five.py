"""Three of five tests decide: a single one that came out the other way takes nothing away from them.

The published ratios are of the five together, whatever the other two say: Michener LA et al. Arch Phys Med
Rehabil 2009;90:1898-903 (2.93 and 0.34, as in the table of Hegedus 2012); Laslett M et al. Aust J Physiother
2003;49:89-97 (4.16 and 0.12, as printed by a secondary source).
"""

import pytest

from bodymaps.reasoning import evidence_lines
from tests.bodymaps.reasoning.evidence_cases import ATLAS
from tests.bodymaps.reasoning.raising import facts

SHOULDER = [
    f"shoulder:{name}" for name in ("neer", "hawkins", "painful_arc", "empty_can", "infraspinatus_resisted")
]
SACROILIAC = [
    f"sacroiliac:{name}"
    for name in ("thigh_thrust", "distraction", "gaenslen", "compression", "sacral_thrust")
]
JOINTS = [
    pytest.param(SHOULDER, "front:shoulder_lateral", "subacromial", "impingement_of_five", id="shoulder"),
    pytest.param(SACROILIAC, "back:sacroiliac", "sacroiliac", "sacroiliac_of_five", id="sacroiliac"),
]


def counted(tests, grades, place, joint):
    """(rule, for or against) of what counts for the joint."""
    found = {key: {"right": grade} for key, grade in zip(tests, grades, strict=True)}
    of = ("joint_referral", joint, "right")
    told = evidence_lines.of(facts(place, findings=found), ATLAS).of(of)
    return {(line.rule, line.speaks) for line in told if line.by_finding and line.counted}


@pytest.mark.parametrize(("tests", "place", "joint", "rule"), JOINTS)
def test_it_takes_nothing_away_when_the_others_are_negative(tests, place, joint, rule):
    grades = ("negative", "negative", "positive", "positive", "positive")
    found = counted(tests, grades, place, joint)
    assert found and {speaks for _, speaks in found} == {"for"}


@pytest.mark.parametrize(("tests", "place", "joint", "rule"), JOINTS)
def test_it_adds_nothing_when_three_are_negative(tests, place, joint, rule):
    found = counted(tests, ("positive", "positive", "negative", "negative", "negative"), place, joint)
    assert (f"{rule}_not", "against") in found
    assert {speaks for _, speaks in found} == {"against"}


@pytest.mark.parametrize(("tests", "place", "joint", "rule"), JOINTS)
def test_a_single_one_still_counts_while_three_do_not_decide(tests, place, joint, rule):
    positive = counted(tests[:1], ("positive",), place, joint)
    negative = counted(tests[:1], ("negative",), place, joint)
    assert {speaks for _, speaks in positive} == {"for"} and {speaks for _, speaks in negative} == {"against"}

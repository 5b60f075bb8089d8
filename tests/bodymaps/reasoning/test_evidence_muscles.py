"""What the examining hand says about a muscle: it comes with its finding, goes without it, stays modest."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from typing import Any

import pytest

from bodymaps.reasoning import evidence, evidence_lines, evidence_muscles, evidence_rules, felt, flags
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, EvidenceError, Line
from bodymaps.reasoning.felt import Felt
from tests.bodymaps.reasoning.evidence_cases import ARM, ATLAS, CHEST, Person, on, one

WEAK, MODERATE = (0.19 * math.log(ratio) for ratio in (1.5, 2.0))
SIGNS = ("band", "spot", "referral", "recognised")
SHORT = {"Y": "yes", "N": "no", "-": "NT"}


def hand(
    answers: str, muscle: str = "infraspinatus", side: str = "right", site: str = "", **more: Any
) -> Felt:
    """Band, spot, referral, recognised as Y, N or -."""
    signs = {sign: SHORT[told] for sign, told in zip(SIGNS, answers, strict=True)}
    return Felt(muscle, side, site, {**signs, **more})


def lines(*found: Felt) -> dict[Any, list[Line]]:
    return evidence_muscles.of(Case(felt=found), ATLAS)


def pressing(*found: Felt) -> Line | None:
    said = lines(*found).get(("muscle", "infraspinatus", "right"), [])
    return next((line for line in said if line.about == "pressing"), None)


# What each result weighs. No published ratio exists: every strength is this product's judgement.
WEIGHS = [
    ("YYYY", "felt_active", MODERATE),
    ("YYNY", "felt_active", MODERATE),
    ("NYYY", "felt_active", MODERATE),
    ("YYYN", None, 0.0),
    ("NYNN", None, 0.0),
    ("NYN-", None, 0.0),
    ("NYNY", "felt_recognised", WEAK),
    ("NNNY", "felt_recognised", WEAK),
    ("YY-Y", "felt_recognised", WEAK),
    ("---Y", "felt_recognised", WEAK),
    ("YY-N", None, 0.0),
    ("YYY-", None, 0.0),
    ("NN--", None, 0.0),
    ("NNNN", "felt_not_met", -WEAK),
    ("YNNN", "felt_not_met", -WEAK),
    ("NNN-", "felt_not_met", -WEAK),
]


@pytest.mark.parametrize(("answers", "rule", "weight"), WEIGHS)
def test_each_result_weighs_what_is_written_for_it(answers: str, rule: str | None, weight: float) -> None:
    line = pressing(hand(answers))
    assert (line.rule if line else None) == rule
    assert (line.weight if line else 0) == pytest.approx(weight)
    assert not line or (line.speaks == (FOR if weight > 0 else AGAINST) and line.by_finding)


def test_it_says_in_words_what_was_felt() -> None:
    line = pressing(hand("YYYY", twitch="yes"))
    assert line and line.words == (
        "Pressing it brings on the pain the patient knows (active trigger point, 3 of 3)."
    )
    assert line.because == (
        "active trigger point, 3 of 3 (taut band: felt; sensitive spot: found; "
        "referred sensation: felt elsewhere; recognised by the patient: known pain; "
        "local twitch: seen or felt)",
    )


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_that_decides_makes_the_line_come_and_go(sign: str) -> None:
    """Two of three with the known pain: each of them taken out leaves less."""
    full = hand({"referral": "NYYY", "recognised": "YYYY"}.get(sign, "YYNY"))
    without = replace(full, signs={key: told for key, told in full.signs.items() if key != sign})
    turned = replace(full, signs={**full.signs, sign: "no"})
    first = pressing(full)
    assert first and first.rule == "felt_active"
    for other in (without, turned, replace(full, signs={**full.signs, sign: "NT"})):
        line = pressing(other)
        assert (line.rule if line else "") != "felt_active"


@pytest.mark.parametrize("sign", ["stretch_pain", "stretch_limit"])
def test_a_stretch_that_hurts_or_stops_short_comes_with_its_sign_and_goes_without(sign: str) -> None:
    key = ("muscle", "infraspinatus", "right")
    (line,) = lines(Felt("infraspinatus", "right", signs={sign: "yes"}))[key]
    assert line.about == "stretching" and line.weight == pytest.approx(WEAK)
    for answer in ("no", "NT"):
        assert key not in lines(Felt("infraspinatus", "right", signs={sign: answer}))


def test_both_signs_of_a_stretch_are_one_line() -> None:
    (line,) = lines(Felt("infraspinatus", "right", signs={"stretch_pain": "yes", "stretch_limit": "yes"}))[
        "muscle", "infraspinatus", "right"
    ]
    assert line.because == ("painful to stretch", "short when stretched")


@pytest.mark.parametrize("more", [{"twitch": "yes"}, {"twitch": "no"}, {"strength": "2"}])
@pytest.mark.parametrize("answers", [each for each, _, _ in WEIGHS])
def test_a_twitch_and_strength_weigh_nothing(answers: str, more: dict[str, str]) -> None:
    bare, told = pressing(hand(answers)), pressing(hand(answers, **more))
    assert (bare.weight if bare else 0) == (told.weight if told else 0)


def test_how_much_it_hurts_weighs_nothing() -> None:
    pressure = felt.Pressure("kPa", (90,))
    for answers, _, weight in WEIGHS:
        line = pressing(replace(hand(answers), pain=9, pressure=pressure))
        assert (line.weight if line else 0) == pytest.approx(weight)
    assert lines(Felt("infraspinatus", "right", pain=9, pressure=pressure)) == {}


def test_of_several_sites_the_strongest_counts() -> None:
    first, second = (site.id for site in ATLAS.muscles["infraspinatus"].sites[:2])
    nothing, active = hand("NNNN", site=first), hand("YYYY", site=second)
    latent = hand("YYYN", site=second)
    both = pressing(nothing, active)
    assert both and both.rule == "felt_active" and len(both.because) == 1
    assert both.because[0].startswith(ATLAS.muscles["infraspinatus"].sites[1].where)
    assert pressing(nothing, latent) is None
    against = pressing(nothing, hand("NNNN", site=second))
    assert against and against.rule == "felt_not_met" and len(against.because) == 2


def test_it_is_said_of_that_muscle_and_side_only() -> None:
    found = lines(hand("YYYY"), hand("NNNN", side="left"), hand("NNNN", muscle="supinator"))
    assert {key: [line.rule for line in said] for key, said in found.items()} == {
        ("muscle", "infraspinatus", "right"): ["felt_active"],
        ("muscle", "infraspinatus", "left"): ["felt_not_met"],
        ("muscle", "supinator", "right"): ["felt_not_met"],
    }


def test_what_was_not_examined_or_is_not_in_the_atlas_says_nothing() -> None:
    assert lines(Felt("infraspinatus", "right")) == {}
    assert lines(hand("YYYY", muscle="own_gone")) == {}


# The whole order.


def with_felt(person: Person, *found: Felt) -> Facts:
    facts = person.facts
    return replace(facts, case=replace(facts.case, felt=found))


def judged(person: Person, *found: Felt) -> Any:
    return evidence.judge(person.ranking, with_felt(person, *found), ATLAS)


def test_pressing_counts_once_with_the_finding_that_asks_the_same() -> None:
    person = Person(ARM, findings=on("right", {"reproduced:by_pressing": "positive"}))
    muscle = one(judged(person, hand("YYYY")), "muscle", "infraspinatus")
    counted = [line.rule for line in muscle.speaks_for if line.counted and line.about == "pressing"]
    assert counted == ["felt_active"]
    assert "pressing_muscle" in {line.rule for line in muscle.speaks_for}


def test_a_known_pain_raises_the_muscle_that_was_pressed_and_lowers_no_other_candidate() -> None:
    person = Person(ARM)
    before, after = judged(person), judged(person, hand("YYYY"))
    for candidate in before.order:
        now = after.of(candidate.layer, candidate.id, candidate.side)
        if (candidate.layer, candidate.id, candidate.side) == ("muscle", "infraspinatus", "right"):
            assert now.total == pytest.approx(candidate.total + MODERATE)
        else:
            assert now.total == candidate.total


def test_an_urgent_organ_is_not_lowered_by_any_muscle() -> None:
    tender = [hand("YYYY", muscle=name, side="left") for name in ATLAS.muscles if "pectoralis" in name]
    assert tender
    before, after = (
        one(judged(CHEST, *found), "visceral", "cardiac_ischaemia", "left") for found in ((), tender)
    )
    assert after.total == before.total and after.lines == before.lines
    raised = [
        [(flag.id, flag.level) for flag in flags.raised(with_felt(CHEST, *found))] for found in ((), tender)
    ]
    assert raised[0] == raised[1] and ("heart" in dict(raised[0]))


def test_a_muscle_that_was_not_named_comes_in_when_pressing_it_brings_on_the_known_pain() -> None:
    def comes(answers: str) -> bool:
        return bool(judged(Person(ARM), hand(answers, muscle="soleus")).of("muscle", "soleus", "right"))

    assert comes("YYYY")
    assert not any(comes(answers) for answers in ("YYYN", "YY-Y", "NYNY", "NNNN"))
    found = one(judged(Person(ARM), hand("YYYY", muscle="soleus")), "muscle", "soleus")
    assert found.geometry_place is None and found.agreement == 0


def test_the_lines_stand_beside_those_of_the_nerves() -> None:
    facts = Facts(Case(findings={("touch:C6", "right"): "1"}, felt=(hand("YYYY"),)), Drawn())
    found = evidence_lines.of(facts, ATLAS)
    assert found.by_pressing(("muscle", "infraspinatus", "right"))
    assert found.any_for(("root", "C6", "right")) and not found.by_pressing(("root", "C6", "right"))


# The file.

DATA = tomllib.loads((evidence_rules.FOLDER / evidence_muscles.FILE).read_text(encoding="utf-8"))


def broken(part: str, place: int | None, **changed: Any) -> dict[str, Any]:
    if place is None:
        return {**DATA, part: {**DATA[part], **changed}}
    entries = [{**entry, **changed} if at == place else entry for at, entry in enumerate(DATA[part])]
    return {**DATA, part: entries}


BROKEN = [
    (
        broken("pressing", 0, results=["perhaps"]),
        "pressing felt_active: results must be among active, latent",
    ),
    (broken("pressing", 1, recognised="yes"), "pressing felt_recognised: recognised must be true or false"),
    (broken("pressing", 2, speaks="maybe"), "pressing felt_not_met: speaks must be for or against"),
    (
        broken("pressing", 0, strength="strong"),
        "pressing felt_active: strength must be one of weak, moderate",
    ),
    (broken("pressing", 0, words=" "), "pressing felt_active: words must be a text"),
    (broken("pressing", 0, source=""), "pressing felt_active: source must be a text"),
    (broken("pressing", 0, id="other"), "pressing needs an entry felt_active"),
    (broken("stretching", None, signs=["jump"]), "stretching: signs must be among band, spot"),
    (broken("silent", 0, status="sure"), "silent latent: status must be one of"),
    ({**DATA, "about": ""}, "about must be a text"),
]


@pytest.mark.parametrize(("data", "said"), BROKEN)
def test_a_broken_entry_is_refused_by_name(data: dict[str, Any], said: str) -> None:
    with pytest.raises(EvidenceError) as refused:
        evidence_muscles.read(data)
    assert str(refused.value).startswith(f"{evidence_muscles.FILE}: {said}")


def test_everything_that_can_be_felt_speaks_or_says_why_not() -> None:
    known = evidence_muscles.known()
    silent = {one.id for one in known.silent}
    results = {result for each in known.pressing for result in each.results}
    assert {felt.ACTIVE, felt.NOT_MET} <= results
    assert {felt.LATENT, felt.TENDER_SPOT, felt.INCOMPLETE} <= silent
    speaking = {*felt.CRITERIA, felt.RECOGNISED, *known.stretching.signs}
    assert set(felt.IDS) - speaking <= silent and {felt.STRENGTH, "pain"} <= silent

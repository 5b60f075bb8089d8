"""Every field of the forms does something, and what it does goes when the field is taken out."""

from __future__ import annotations

from functools import cache

import pytest

from bodymaps import atlas
from bodymaps.reasoning import (
    clusters,
    evidence_lines,
    evidence_rules,
    flag_rules,
    flags,
    items,
    neck_rule,
    neuro,
    own_areas,
    ratios_file,
    signs,
)
from bodymaps.reasoning.case import SIDES, Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_rules import Rule
from bodymaps.reasoning.own_areas import Sided
from tests.bodymaps.reasoning.least_case import Least, NowhereFelt, asked_by, forced, without

ATLAS = atlas.load()


EVIDENCE = [
    (rule, key)
    for rule in evidence_rules.rules()
    for key in sorted(asked_by(rule.condition))
    if forced(rule.condition, key)
]
FLAGS = [
    (rule.id, number, key)
    for rule in flags.rules()
    for number, entry in enumerate(rule.entries)
    for key in sorted(asked_by(entry.when))
    if forced(entry.when, key) and not entry.neck_rule
]


@cache
def felt_at() -> dict[Sided, list[tuple[str, str]]]:
    """For every candidate the places where it is felt."""
    found: dict[Sided, list[tuple[str, str]]] = {}
    for place, candidates in own_areas.of(ATLAS).felt.items():
        for one in candidates:
            found.setdefault(one, []).append(place)
    return found


def asked_for(rule: Rule) -> list[Sided]:
    """The candidates a rule may be asked for, on one side."""
    keys = rule.speaks_for or rule.against
    found = []
    for layer, name in keys:
        structure = ATLAS.structures.get(layer, {}).get(name)
        sides = structure.held_sides if structure else ("right", "left")
        found += [(layer, name, side) for side in sides if not rule.side or side == rule.side][:1]
    return found


def least(rule: Rule, key: str) -> tuple[Facts, Sided]:
    """The least facts that make a rule hold by way of a key, and for whom."""
    for one in asked_for(rule):
        places = felt_at()[one] if rule.own else None
        found = Least(one[2] if one[2] != "midline" else "right", places)
        try:
            found.meet(rule.condition, key)
        except NowhereFelt:
            continue
        if rule.own and not found.drawn:
            found.drawn.add((*places[0], "ache"))
        return found.facts(), one
    raise AssertionError(f"{rule.id}: none of its candidates is felt where it asks")


def said(facts: Facts, one: Sided) -> set[str]:
    return {line.rule for line in evidence_lines.of(facts, ATLAS).of(one)}


def test_a_line_comes_with_its_field_and_goes_without_it() -> None:
    assert len(EVIDENCE) > 200
    for rule, key in EVIDENCE:
        facts, one = least(rule, key)
        assert rule.id in said(facts, one), key
        assert rule.id not in said(without(facts, key), one), key


def test_a_line_of_the_drawing_or_the_age_alone_comes_and_goes_with_it() -> None:
    for rule in (one for one in evidence_rules.rules() if not asked_by(one.condition)):
        facts, one = least(rule, "")
        assert rule.id in said(facts, one), rule.id
        assert rule.id not in said(Facts(Case(), type(facts.drawn)()), one), rule.id


def test_a_sign_of_danger_comes_with_its_field_and_goes_without_it() -> None:
    assert len(FLAGS) > 400
    entries = {rule.id: rule.entries for rule in flags.rules()}
    for sign, number, key in FLAGS:
        entry, which = entries[sign][number], (sign, number, key)
        facts = Least().meet(entry.when, key).facts()
        assert entry.holds(facts) and sign in {flag.id for flag in flags.raised(facts)}, which
        assert not entry.holds(without(facts, key)), which


ASKED = [
    (number, key)
    for number, asked in enumerate(flag_rules.asked())
    for key in sorted(asked_by(asked.when))
    if forced(asked.when, key)
]


def test_a_question_is_asked_on_with_its_field_and_not_without_it() -> None:
    assert len(ASKED) > 150
    for number, key in ASKED:
        asked = flag_rules.asked()[number]
        found = [Least(pick=pick).meet(asked.when, key).facts() for pick in range(40)]
        assert all(asked.when.holds(facts) for facts in found), (number, key)
        assert any(not asked.when.holds(without(facts, key)) for facts in found), (number, key)


NECK = neck_rule.rule()
HARMLESS = dict.fromkeys(
    ("dangerous_mechanism", "limb_tingling_injury", "neck_surgery", "vertebral_disease"), "no"
)
LOW_RISK = ("simple_rear_end", "sat_in_department", "walked_since", "neck_pain_delayed")


def injured(**answers: str) -> Facts:
    """A neck hurt in an injury, nothing dangerous about it, turning far enough."""
    case = Case(
        age=40,
        history={"trauma": "yes", "fully_alert": "yes", **HARMLESS, **answers},
        findings={("neck:rotation", side): 50.0 for side in SIDES},
    )
    return Facts(case, Drawn(frozenset({("back:neck_posterior", "right", "ache")})))


@pytest.mark.parametrize("key", [*HARMLESS, *LOW_RISK, "trauma", "fully_alert", "neck:rotation"])
def test_the_rule_of_the_injured_neck_needs_each_of_its_fields(key: str) -> None:
    facts = injured(**{key if key in LOW_RISK else "walked_since": "yes"})
    assert neck_rule.of(facts).result == "no_image"
    assert neck_rule.of(without(facts, key)).result != "no_image"


def test_the_rule_of_the_injured_neck_needs_the_spine_pressed() -> None:
    facts = injured()
    pressed = {**facts.case.findings, (NECK.midline, ""): "normal"}
    facts = Facts(Case(40, "unknown", facts.case.history, pressed), facts.drawn)
    assert neck_rule.of(facts).result == "no_image" != neck_rule.of(without(facts, NECK.midline)).result


@pytest.mark.parametrize("sign", sorted(signs.load().signs))
def test_a_sign_of_a_nerve_fits_something_and_not_without_it(sign: str) -> None:
    for key in signs.load().signs[sign].keys:
        item = items.findings().items[key]
        wanted = signs.load().positive.get(key)
        scale = items.findings().scale_of(item)
        grade = wanted or next(one.id for one in scale.grades if one.id not in scale.within_normal)
        case = Case(findings={(key, "right"): grade})
        assert neuro.fits(case) and not neuro.fits(Case())


@pytest.mark.parametrize(
    "about", sorted({one.about.id for one in ratios_file.load().clusters if one.about.pretest})
)
def test_the_own_estimate_before_the_tests_changes_what_is_read_after(about: str) -> None:
    rule = next(one for one in ratios_file.load().clusters if one.about.id == about)
    before = Case(findings={(rule.about.pretest, ""): 40.0})
    assert clusters.before(before, rule.about)[0] == 0.4
    assert clusters.before(Case(), rule.about)[0] != 0.4


def asked_anywhere() -> set[str]:
    """Every key that a rule, a sign, a test with a ratio or the neck rule asks for."""
    known = ratios_file.load()
    tests = [test for one in known.clusters for test in one.tests] + [one.test for one in known.singles]
    return {
        *(key for rule in evidence_rules.rules() for key in asked_by(rule.condition)),
        *(key for rule in flags.rules() for entry in rule.entries for key in asked_by(entry.when)),
        *(key for asked in flag_rules.asked() for key in asked_by(asked.when)),
        *(key for sign in signs.load().signs.values() for key in sign.keys),
        *(test.key for test in tests),
        *(one.about.pretest for one in (*known.clusters, *known.singles)),
        *(NECK.alert, NECK.midline, NECK.rotation),
        *NECK.not_for,
        *NECK.high_risk,
        *NECK.low_risk,
        *(key for key in items.findings().items if upper_motor(key)),
    }


def upper_motor(key: str) -> bool:
    """Whether a brisk reflex counts as a sign of the upper motor neuron."""
    brisk = neuro.INCREASED.get(key.partition(":")[0])
    return bool(brisk and neuro.upper_motor(Case(findings={(key, "right"): brisk})))


def test_every_item_is_asked_for_by_a_rule_or_says_why_nothing_is_concluded_from_it() -> None:
    every = {**items.history().items, **items.findings().items}
    silent = {key for key, item in every.items() if not item.record_only} - asked_anywhere()
    assert not silent, f"no rule asks for {', '.join(sorted(silent))}: add one, or record_only"


@pytest.mark.parametrize("key", ["brings_on", "eases"])
def test_every_answer_to_what_brings_it_on_and_what_eases_it_speaks_for_somebody(key: str) -> None:
    used = {
        value
        for rule in evidence_rules.rules()
        for leaf in rule.condition.leaves()
        if leaf.get("item") == key and rule.speaks_for
        for value in leaf["is"]
    }
    assert used == {one.id for one in items.history().items[key].choices}


def test_every_muscle_hears_something_of_what_brings_it_on_and_what_eases_it() -> None:
    for about in ("what brings it on", "what eases it"):
        heard = {key for rule in evidence_rules.rules() if rule.about == about for key in rule.speaks_for}
        assert {("muscle", one) for one in ATLAS.muscles} <= heard


def test_every_root_nerve_plexus_joint_and_organ_hears_something_of_its_own() -> None:
    """From a rule that names fewer than a whole layer, or from the signs of the neuro screen."""
    most = len(ATLAS.dermatomes)
    named = {
        key
        for rule in evidence_rules.rules()
        for keys in (rule.speaks_for, rule.against)
        for key in keys
        if len(keys) < most
    }
    signed = {(one.layer, one.id) for one in signs.load().candidates}
    every = {key for key in evidence_rules.keys_of(ATLAS) if key[0] != "muscle"}
    assert not every - named - signed

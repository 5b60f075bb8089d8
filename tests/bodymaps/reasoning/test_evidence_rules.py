"""The rules of evidence are checked on load: what cannot be used is refused with rule and reason."""

from __future__ import annotations

from typing import Any

import pytest

from bodymaps.reasoning import condition_words, evidence_rules, same_area
from bodymaps.reasoning.evidence_rules import EvidenceError, Rule

SHARED = {
    "groups": {"neck": ["muscle:levator_scapulae", "root:C5"]},
}
WHOLE = {
    "id": "turning",
    "about": "what brings it on",
    "when": {"item": "brings_on", "is": ["turn_head"]},
    "for": ["group:neck"],
    "words": "Turning brings it on.",
    "strength": "weak",
    "source": "common practice",
    "status": "common practice",
}


def read(**changed: Any) -> Rule:
    entry = {name: value for name, value in {**WHOLE, **changed}.items() if value is not None}
    return evidence_rules.read({"rule": [entry]}, "test.toml", SHARED)[0]


def test_a_group_stands_for_its_members_and_a_layer_for_all_of_it() -> None:
    assert read().speaks_for == (("muscle", "levator_scapulae"), ("root", "C5"))
    roots = {name for layer, name in read(**{"for": ["layer:root"]}).speaks_for}
    assert {"C2", "T12", "S4_5"} <= roots


def test_a_list_of_regions_stands_for_its_regions() -> None:
    rule = read(when={"drawn": ["middle_finger", "front:index_palmar"]})
    assert rule.condition.told["drawn"] == ["front:middle_palmar", "back:middle_dorsal", "front:index_palmar"]


def test_a_list_of_regions_is_called_by_its_name_in_the_list_of_rules() -> None:
    assert "its own area" in condition_words.in_words(read(when={"drawn": ["anywhere"]}, own=True).condition)


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"for": ["muscle:nobody"]}, "no such candidate, layer or group: muscle:nobody"),
        ({"for": ["group:nobody"]}, "no such candidate, layer or group: group:nobody"),
        ({"for": None, "words": None}, "speaks for nothing and against nothing"),
        ({"words": None}, "for and words belong together"),
        ({"against": ["root:C6"]}, "against and words_against belong together"),
        ({"source": " "}, "source must be a text"),
        ({"status": "sure"}, "status must be one of"),
        ({"side": "middle"}, "side must be one of"),
        ({"strength": None}, "needs one of lr and strength"),
        ({"lr": 2.0}, "needs one of lr and strength"),
        ({"strength": "strong"}, "strength must be one of weak, moderate"),
        ({"strength": None, "lr": 0.5, "source": "A work 2001"}, "lr must be above 1"),
        ({"strength": None, "lr": 2.0}, "a ratio needs the work it was published in"),
        ({"when": {"item": "nothing"}}, "no such item: nothing"),
        ({"colour": "red"}, "unknown member colour"),
    ],
)
def test_a_rule_that_cannot_be_used_is_refused(changed: dict[str, Any], reason: str) -> None:
    with pytest.raises(EvidenceError, match="test.toml: rule turning") as refused:
        read(**changed)
    assert reason in str(refused.value)


def test_common_practice_has_a_small_fixed_weight_and_its_inverse() -> None:
    weak = read()
    both = read(against=["root:C6"], words_against="Not so.", strength_against="weak")
    assert both.weight_against == pytest.approx(-weak.weight)
    assert read(strength="moderate").weight > weak.weight > 0


def test_no_rule_outweighs_what_is_drawn() -> None:
    numbers = evidence_rules.arithmetic()
    assert all(max(rule.weight, -rule.weight_against) <= numbers.most for rule in evidence_rules.rules())


def test_every_published_ratio_stands_beside_its_work() -> None:
    for rule in evidence_rules.rules():
        if rule.ratio or rule.ratio_against:
            assert any(letter.isdigit() for letter in rule.source), rule.id


def test_a_rule_that_cannot_hold_of_what_is_known_is_left_aside() -> None:
    asked = {"item": "brings_on", "is": ["turn_head"]}
    other = {"finding": "neck:spurling", "is": ["positive"]}
    assert not read().can_hold({"eases"}) and read().can_hold({"brings_on"})
    assert read(when={"any": [asked, other]}).can_hold({"neck:spurling"})
    assert read(when={"any": [asked, {"age": True, "at_least": 50}]}).can_hold(set())
    assert not read(when={"all": [asked, {"age": True, "at_least": 50}]}).can_hold(set())
    assert read(when={"none": [asked]}).can_hold(set())


def test_every_group_is_used() -> None:
    shared = evidence_rules.load(evidence_rules.FILES[0])
    told = "".join(
        (evidence_rules.FOLDER / file).read_text(encoding="utf-8")
        for file in (*evidence_rules.FILES, same_area.FILE)
    )
    assert not [name for name in shared["groups"] if f'"group:{name}"' not in told]

"""Signs of danger: every entry of every flag comes with what it asks for and goes without it."""

from functools import cache

import pytest

from bodymaps.reasoning import case, flag_rules, flags, items
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.flags import LEVELS
from tests.bodymaps.reasoning import ways
from tests.bodymaps.reasoning.raising import facts, level, said

DANGER = {
    "trauma": "fracture",
    "cord": "cord_compression",
    "bladder_bowel_saddle": "cauda_equina",
    "chest": "heart",
    "new_head_neck_pain": "cervical_artery",
    "fever": "infection",
    "cancer": "cancer",
    "weight_loss": "cancer",
}
IDS = {
    "cord_compression", "cauda_equina", "cancer", "infection", "fracture", "cervical_artery", "heart",
    "lung_apex", "lung_clot", "giant_cell_arteritis", "polymyalgia", "vein_thrombosis", "aorta", "kidney",
    "gallbladder_diaphragm", "pregnancy_emergency", "zoster", "septic_joint", "compartment_syndrome",
    "progressive_deficit", "widespread_pain", "suicidal_thoughts", "rupture",
}  # fmt: skip


def urgent(one):
    return LEVELS.index(one)


ENTRIES = [(rule, number) for rule in flags.rules() for number in range(len(rule.entries))]
PLAIN = [(rule, number) for rule, number in ENTRIES if not rule.entries[number].neck_rule]


@cache
def ways_of(flag, number):
    rule = next(one for one in flags.rules() if one.id == flag)
    return ways.of(rule.entries[number].when)


def named(value):
    return getattr(value, "id", value)


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_every_way_to_an_entry_raises_its_flag_at_least_so_high(rule, number):
    entry = rule.entries[number]
    for way in ways_of(rule.id, number):
        found = [flag for flag in flags.raised(ways.facts(way)) if flag.id == rule.id]
        assert len(found) == 1, way
        assert urgent(found[0].level) <= urgent(entry.level), way
        assert entry.words in found[0].reasons, way


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_an_entry_goes_with_any_part_of_a_way_unless_what_is_left_is_another_way(rule, number):
    entry = rule.entries[number]
    every = ways_of(rule.id, number)
    for way in every:
        for part in way:
            left = way - {part}
            other_way = any(one <= left for one in every)
            assert entry.holds(ways.facts(left)) is other_way, (way, part)


@pytest.mark.parametrize(("rule", "number"), PLAIN, ids=named)
def test_a_flag_goes_or_drops_to_what_the_other_entries_say(rule, number):
    plain = [
        (entry.level, ways_of(rule.id, place))
        for place, entry in enumerate(rule.entries)
        if not entry.neck_rule
    ]
    every = ways_of(rule.id, number)
    for way in every[:: 1 + len(every) // 40]:
        for part in way:
            left = way - {part}
            held = [one for one, every in plain if any(other <= left for other in every)]
            found = next((one.level for one in flags.raised(ways.facts(left)) if one.id == rule.id), "")
            if ("history", "trauma", "yes") not in left and ("history", "trauma", "unsure") not in left:
                assert found == min(held, key=urgent, default=""), (way, part)


def test_nothing_known_raises_nothing_and_asks_nothing():
    assert flags.raised(Facts(case.Case(), Drawn())) == ()
    assert flags.to_ask(Facts(case.Case(), Drawn())) == ()


def test_every_no_and_every_normal_finding_raises_nothing():
    history = {
        item.key: "no" for group in items.history().groups for item in group.items if item.type == "yes_no"
    }
    found = {}
    for item in items.findings().items.values():
        if item.type == "grade" and item.key.partition(":")[0] != "reflex_clinic":
            grade = items.findings().scale_of(item).normal or "none"
            found[item.key] = {"right": grade, "left": grade} if item.sided else grade
    assert flags.raised(facts(age=44, history=history, findings=found)) == ()


def test_every_sign_has_its_flag():
    assert {rule.id for rule in flags.rules()} == IDS


@pytest.mark.parametrize(("rule", "number"), ENTRIES, ids=named)
def test_every_entry_is_said_in_words_and_has_an_action(rule, number):
    entry = rule.entries[number]
    assert entry.condition and entry.words.endswith(".") and rule.actions[entry.level].endswith(".")
    text = " ".join([rule.title, rule.why, entry.words, *rule.actions.values(), *rule.differs]).lower()
    assert "diagnos" not in text.replace("diagnosis page", "") and " - " not in text and "\u2014" not in text


@pytest.mark.parametrize("rule", flags.rules(), ids=named)
def test_every_flag_names_its_sources(rule):
    assert rule.sources and all(rule.sources)


def test_every_named_condition_is_used():
    text = "".join((flag_rules.FOLDER / name).read_text() for name in (flag_rules.FLAGS, flag_rules.ASKED))
    names = flag_rules._load(flag_rules.FLAGS)["named"]
    assert not [name for name in names if f'named = "{name}"' not in text]


@pytest.mark.parametrize(
    "key", [item.key for group in items.history().on_page("danger") for item in group.items]
)
@pytest.mark.parametrize("answer", ["yes", "unsure"])
def test_every_danger_question_answered_yes_or_not_sure_raises_its_flag(key, answer):
    found = said(DANGER[key], history={key: answer})
    assert found.action and any("yes" in why or "not sure" in why for why in found.reasons)
    assert not level(DANGER[key], history={key: "no"})


@pytest.mark.parametrize("key", [key for key, item in items.history().items.items() if item.type == "yes_no"])
def test_not_sure_counts_as_yes_everywhere(key):
    for place in ((), ("front:pectoral_upper",), ("back:neck_posterior", "front:abdomen_lower")):
        yes, unsure = (
            {
                flag.id: flag.level
                for flag in flags.raised(facts(*place, age=60, sex="female", history={key: answer}))
            }
            for answer in ("yes", "unsure")
        )
        assert yes == unsure, (key, place)


def test_the_most_urgent_come_first_and_each_once():
    found = flags.raised(facts(age=60, history=dict.fromkeys(DANGER, "yes"), widespread=True))
    levels = [urgent(flag.level) for flag in found]
    assert levels == sorted(levels) and len({flag.id for flag in found}) == len(found)


def test_watch_does_not_hold_treatment_back_and_the_others_do():
    found = flags.raised(
        facts(age=60, history={"cord": "yes", "bladder_bowel_saddle": "yes"}, widespread=True)
    )
    held = flags.holds_back(found)
    assert {flag.level for flag in held} == {"emergency"}
    assert "widespread_pain" in {flag.id for flag in found} - {flag.id for flag in held}
    same_day = flags.raised(facts(history={"fever": "yes"}))
    assert flags.holds_back(same_day) == same_day and same_day[0].level == "same_day"

"""The files of the signs of danger: what is read, and what is refused with file, entry and reason."""

import pytest

from bodymaps.reasoning import flag_rules
from bodymaps.reasoning.flags import LEVELS

GOOD = {
    "id": "heat",
    "title": "Heat",
    "why": "It burns.",
    "sources": [["a work", "checked"]],
    "action": {"watch": "Cool it."},
    "graded": [{"level": "watch", "when": {"yes": ["fever"]}, "words": "Hot."}],
}


def file_of(**changed):
    flag = {name: value for name, value in {**GOOD, **changed}.items() if value is not None}
    return {"version": "test", "levels": dict.fromkeys(LEVELS, "words"), "flag": [flag]}


def graded(**changed):
    return [{**GOOD["graded"][0], **changed}]


def test_a_good_file_is_read():
    assert flag_rules.read_flags(file_of()).rules[0].sources == ("a work",)


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"graded": graded(level="soon")}, "heat: entry 1: level must be one of"),
        ({"graded": graded(when={"yes": ["feever"]})}, "heat: entry 1: no such item: feever"),
        ({"graded": graded(when=None)}, "heat: entry 1: a condition must be a table"),
        ({"graded": graded(when={"named": "warm"})}, "heat: entry 1: no such named condition"),
        ({"graded": graded(when={"item": "fever", "is": ["yes"]})}, "entry 1: fever: not sure counts"),
        ({"graded": graded(words=" ")}, "heat: entry 1: words must be a text"),
        ({"graded": graded(neck_rule="perhaps")}, "heat: entry 1: neck_rule must be one of"),
        ({"graded": graded(colour="red")}, "heat: entry 1: unknown key colour"),
        ({"graded": []}, "heat: graded entries"),
        ({"action": {}}, "heat: graded entries, and an action"),
        (
            {
                "action": {
                    "watch": "",
                }
            },
            "heat: watch must be a text",
        ),
        ({"action": {"watch": "Cool.", "emergency": "Run."}}, "heat: graded entries, and an action"),
        ({"sources": None}, "heat: sources are needed"),
        ({"sources": []}, "heat: sources are needed"),
        ({"sources": ["a work"]}, r"heat: source 'a work' must be \[work"),
        ({"sources": [["a work", "perhaps"]]}, "heat: source"),
        ({"title": None}, "heat: title must be a text"),
        ({"urgency": "now"}, "heat: unknown key urgency"),
    ],
)
def test_a_faulty_flag_is_refused_with_file_and_entry(changed, reason):
    with pytest.raises(
        flag_rules.FlagRulesError, match=f"flags.toml: flag {reason}" if "heat" in reason else reason
    ):
        flag_rules.read_flags(file_of(**changed))


def test_two_flags_of_one_id_and_missing_levels_are_refused():
    twice = file_of()
    with pytest.raises(flag_rules.FlagRulesError, match="heat"):
        flag_rules.read_flags({**twice, "flag": twice["flag"] * 2})
    with pytest.raises(flag_rules.FlagRulesError, match="words for the levels"):
        flag_rules.read_flags({**twice, "levels": {}})
    with pytest.raises(flag_rules.FlagRulesError, match="unknown key colours"):
        flag_rules.read_flags({**twice, "colours": {}})


@pytest.mark.parametrize(
    ("entry", "reason"),
    [
        ({"group": "hart", "when": {"yes": ["fever"]}}, "asked.toml: ask hart: no such group"),
        ({"group": "heart", "items": ["fever"], "when": {"yes": ["fever"]}}, "ask heart: items must be keys"),
        ({"group": "heart", "items": [], "when": {"yes": ["fever"]}}, "ask heart: items must be keys"),
        ({"group": "heart"}, "ask heart: a condition must be a table"),
        ({"group": "heart", "when": {"yes": ["fever"]}, "who": "me"}, "ask heart: unknown key who"),
        ({"group": "heart", "when": {"yes": ["fever"]}, "in_person": "yes"}, "ask heart: in_person"),
    ],
)
def test_a_faulty_ask_is_refused_with_file_and_entry(entry, reason):
    with pytest.raises(flag_rules.FlagRulesError, match=reason):
        flag_rules.read_asked({"version": "test", "ask": [entry]}, {})

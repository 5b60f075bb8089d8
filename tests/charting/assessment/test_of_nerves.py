"""Roots and nerves in a sentence. Which signs belong to C6: ISNCSCI key muscle and key point (C6: wrist
extensors, thumb), bodymaps/data/reasoning/nerve_signs.toml.
"""

from charting.assessment.of_danger import of_gaps
from charting.assessment.of_nerves import of_nerves, unexamined
from tests.charting.assessment.records import NORMAL_C6, record

C6 = ("root", "C6", "right")


def said(findings, *thought_of):
    return {made.key: made for made in of_nerves(record(findings=findings), thought_of)}


def test_it_says_what_is_normal_and_counts_it_against():
    made = said({**NORMAL_C6, "neck:spurling": "negative"}, C6)["nerve:root:C6:right"]
    assert made.about == "ruled_out"
    assert made.text.startswith("Nerve root C6, right: light touch, ")
    assert " normal; " in made.text
    assert "Spurling: negative" in made.text


def test_it_says_what_is_abnormal_and_never_calls_that_normal():
    made = said({**NORMAL_C6, "strength:C6": "4"}, C6)["nerve:root:C6:right"]
    assert made.about == "source"
    assert "strength, wrist extensors: 4" in made.text
    assert ", strength normal" not in made.text
    assert ": strength normal" not in made.text


def test_it_says_that_something_was_not_tested_and_never_that_it_is_normal():
    made = said({**NORMAL_C6, "pin:C6": "NT"}, C6)["nerve:root:C6:right"]
    assert made.text.endswith("not tested: pin prick.")
    assert "pin prick normal" not in made.text


def test_it_says_nothing_of_a_root_of_which_nothing_is_on_record():
    assert said({}, C6) == {}
    made = unexamined(C6, record())
    assert (made.about, made.text) == ("open", "Nerve root C6, right: no test of it is on record.")
    assert unexamined(C6, record(findings=NORMAL_C6)) is None


def test_it_keeps_the_other_side_apart():
    assert said({(key, "left"): grade for key, grade in NORMAL_C6.items()}, C6) == {}


def test_it_names_what_explains_a_finding_that_nothing_thought_of_explains():
    others = said({"strength:L5": "3"}, C6)
    assert others
    assert all(made.about == "source" for made in others.values())
    assert not [key for key in said({**NORMAL_C6, "strength:C6": "4"}, C6) if key != "nerve:root:C6:right"]


def test_it_says_which_neuro_screen_was_not_done_and_stops_when_it_is():
    open_ = [made.text for made in of_gaps(record(screens=("leg",)))]
    assert open_ == ["Neuro screen, leg, L2 to S2: not done."]
    assert [made.text for made in of_gaps(record(screens=("leg",), findings={"strength:L4": "5"}))] == []

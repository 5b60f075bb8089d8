"""Codes and rules of FHIR stand in files; a wrong entry is named with what to mend."""

import copy
import tomllib

import pytest

from charting.exchange.fhir import codes, rules
from charting.exchange.fhir.check_values import has_right_digit

CODES = tomllib.loads(codes.FILE.read_text(encoding="utf-8"))
RULES = tomllib.loads(rules.FILE.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "member, value, words",
    [
        ("source", "", "code 'pain': give it a source"),
        ("system", "snomed", "'snomed' is not among the systems"),
        ("status", "sure", "the status must be one of checked"),
        ("id", "height", "two codes have the same id"),
    ],
)
def test_a_wrong_code_is_named(member, value, words):
    data = copy.deepcopy(CODES)
    data["code"][0][member] = value
    with pytest.raises(codes.CodesError, match=words):
        codes.read(data)


def test_a_system_is_an_address():
    with pytest.raises(codes.CodesError, match="system 'loinc' must be an address"):
        codes.read({**CODES, "system": {**CODES["system"], "loinc": "loinc"}})


@pytest.mark.parametrize(
    "rule, words",
    [
        ({"status": ["final"]}, "resource Observation: say which members are required"),
        ({"required": "status"}, "resource Observation, required must be a list"),
        ({"required": [], "refers": {"subject": "Patient"}}, "refers 'subject' must be a list"),
        ({"required": [], "must": []}, "'must' is none of"),
    ],
)
def test_a_wrong_rule_is_named(rule, words):
    data = {**RULES, "resource": {"Observation": rule}}
    with pytest.raises(rules.RulesError, match=words):
        rules.read(data)


def test_every_loinc_code_is_looked_up_and_ends_in_its_check_digit():
    """LOINC's own rule for the last digit (mod 10)."""
    loinc = [code for code in codes.load().codes.values() if code.system == "http://loinc.org"]
    assert {code.code for code in loinc} == {"72514-3", "11506-3", "59284-0", "8302-2", "29463-7"}
    assert all(has_right_digit(code.code) for code in loinc)

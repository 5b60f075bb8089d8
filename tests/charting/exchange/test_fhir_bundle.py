"""A bundle is right by the published JSON schema of FHIR R4 and by what that schema cannot say."""

import copy
import json

import pytest

from charting.exchange.fhir.check_values import has_right_digit
from charting.exchange.fhir.checks import problems_in
from tests.charting.exchange import exported, schema

EVERYTHING = {
    *("Patient", "Practitioner", "Organization", "Encounter", "Condition", "Observation", "BodyStructure"),
    *("Procedure", "Consent", "Composition", "Provenance", "DocumentReference", "ClinicalImpression"),
    *("QuestionnaireResponse", "AdverseEvent", "EpisodeOfCare", "Coverage", "Flag"),
}


def kinds_in(found):
    return {entry["resource"]["resourceType"] for entry in found["entry"]}


def test_a_whole_record_is_right_and_has_every_kind_of_resource(insured_visit):
    note = exported.signed(insured_visit)
    exported.amended(note)
    found = exported.of_patient(insured_visit)
    assert schema.errors_in(found) == []
    assert problems_in(found) == ()
    assert kinds_in(found) == EVERYTHING
    assert found["type"] == "collection"


def test_a_visit_is_a_document_that_begins_with_its_note(insured_visit):
    exported.signed(insured_visit)
    found = exported.of_visit(insured_visit)
    assert schema.errors_in(found) == []
    assert problems_in(found) == ()
    assert found["entry"][0]["resource"]["resourceType"] == "Composition"
    assert found["identifier"]["value"].startswith("urn:uuid:")


def test_an_open_visit_is_right_too_and_nothing_of_it_is_final(full_visit):
    found = exported.of_visit(full_visit)
    assert schema.errors_in(found) == []
    assert problems_in(found) == ()
    assert exported.one_of(found, "Composition")["status"] == "preliminary"
    assert {each["status"] for each in exported.all_of(found, "Observation")} == {"preliminary"}
    assert exported.one_of(found, "Encounter")["status"] == "in-progress"


def test_a_person_of_whom_nothing_is_recorded_is_right_too(anna):
    from charting.exchange.fhir import bundle

    found = bundle.of_patient(anna, at=exported.AT)
    assert schema.errors_in(found) == []
    assert problems_in(found) == ()
    assert kinds_in(found) == {"Patient", "Organization"}


def test_the_same_record_gives_the_same_bundle(signed_visit):
    once, again = exported.of_patient(signed_visit), exported.of_patient(signed_visit)
    assert json.dumps(once) == json.dumps(again)


# Each takes a right bundle and breaks one thing; the word is what the problem must name.
def _no_status(found):
    exported.all_of(found, "Observation")[0].pop("status")


def _wrong_status(found):
    exported.one_of(found, "Composition")["status"] = "signed"


def _lost_reference(found):
    found["entry"] = [entry for entry in found["entry"] if entry["resource"]["resourceType"] != "Patient"]


def _wrong_target(found):
    composition = exported.one_of(found, "Composition")
    composition["custodian"] = dict(composition["subject"])


def _invented_loinc(found):
    exported.all_of(found, "Observation")[0]["code"]["coding"] = [
        {"system": "http://loinc.org", "code": "12345-5"}
    ]


def _snomed(found):
    exported.all_of(found, "Observation")[0]["code"]["coding"] = [
        {"system": "http://snomed.info/sct", "code": "22253000"}
    ]


def _empty(found):
    exported.one_of(found, "Encounter")["participant"] = []


def _no_zone(found):
    exported.one_of(found, "Composition")["date"] = "2026-11-28T09:30:00"


def _second_first(found):
    found["entry"].append(found["entry"].pop(0))


def _script(found):
    section = exported.one_of(found, "Composition")["section"][0]
    section["text"]["div"] = '<div xmlns="http://www.w3.org/1999/xhtml"><script>x</script></div>'


def _other_bytes(found):
    exported.one_of(found, "DocumentReference")["content"][0]["attachment"]["data"] = "JVBERg=="


def _two_answers(found):
    one = next(each for each in exported.all_of(found, "Observation") if "valueInteger" in each)
    one["dataAbsentReason"] = {"text": "?"}


def _no_policy(found):
    exported.one_of(found, "Consent").pop("policyRule")


def _unrelated(found):
    found["entry"].append(
        {
            "fullUrl": "urn:uuid:0c6b83e1-ce47-4c33-bdc0-710e2bbb3dee",
            "resource": {
                "resourceType": "Organization",
                "id": "0c6b83e1-ce47-4c33-bdc0-710e2bbb3dee",
                "name": "Nobody",
            },
        }
    )


BROKEN = {
    _no_status: "status is missing",
    _wrong_status: "value set",
    _lost_reference: "not in the bundle",
    _wrong_target: "must not refer to a Patient",
    _invented_loinc: "nobody looked up LOINC 12345-5",
    _snomed: "none of the systems",
    _empty: "participant is empty",
    _no_zone: "has no zone",
    _second_first: "must be a Composition",
    _script: "holds script",
    _other_bytes: "size or hash",
    _two_answers: "a value and a reason",
    _no_policy: "ppc-1",
    _unrelated: "nothing in the document speaks of it",
}


def test_every_broken_rule_is_named(signed_visit):
    right = exported.of_visit(signed_visit)
    for break_it, word in BROKEN.items():
        broken = copy.deepcopy(right)
        break_it(broken)
        assert any(word in problem for problem in problems_in(broken)), break_it.__name__


@pytest.mark.parametrize("name", ["gender", "birthDate", "identifier"])
def test_the_schema_is_really_asked(anna, name):
    from charting.exchange.fhir import bundle

    found = bundle.of_patient(anna, at=exported.AT)
    exported.one_of(found, "Patient")[name] = "nonsense"
    assert schema.errors_in(found)


def test_loinc_codes_end_in_their_check_digit():
    """LOINC's own rule (mod 10); codes as published on the pages named in codes.toml."""
    assert all(map(has_right_digit, ("72514-3", "11506-3", "8302-2", "29463-7", "59284-0")))
    assert not any(map(has_right_digit, ("72514-4", "11506-5", "8302-8", "pain")))

"""What is recorded keeps its meaning: what nobody asked or tested never becomes normal."""

import base64
import json
from xml.etree import ElementTree

from charting.consent.models import Consent, ConsentConfirmed, ConsentWithdrawn
from charting.examination.models import MuscleFinding
from charting.outcomes.models import OutcomeScore
from charting.screening.models import NeuroFinding
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.exchange import exported
from tests.charting.report import full

LOINC = "http://loinc.org"
ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"


def observed(found, text):
    return [each for each in exported.all_of(found, "Observation") if text in each["code"]["text"]]


def test_pain_at_this_moment_has_its_loinc_code_and_other_ratings_have_none(visit):
    """72514-3 (checked): pain severity 0-10 verbal numeric rating; it says nothing of a span of time."""
    OutcomeScore.objects.create(visit=visit, instrument="nprs", answers={"now": 6, "average": 4, "worst": 8})
    found = exported.of_visit(visit)
    (now,) = observed(found, "Pain rating, 0 to 10: Now")
    assert (LOINC, "72514-3") in exported.codes_in(now["code"])
    assert now["valueQuantity"] == {
        "value": 6,
        "unit": "{score}",
        "system": "http://unitsofmeasure.org",
        "code": "{score}",
    }
    (worst,) = observed(found, "At its worst")
    assert LOINC not in dict(exported.codes_in(worst["code"])) and worst["valueQuantity"]["value"] == 8


def test_tingling_is_no_pain(visit):
    recorded.say_of_areas(visit, {1: {"now": {"ache": 6}}, 2: {"now": {"tingling": 3}}})
    found = exported.of_visit(visit)
    (tingling,) = observed(found, "0 to 10: tingling")
    assert LOINC not in dict(exported.codes_in(tingling["code"])) and tingling["valueInteger"] == 3
    aches = observed(found, "0 to 10: ache")
    assert all((LOINC, "72514-3") in exported.codes_in(each["code"]) for each in aches)


def test_an_area_is_said_in_words_and_by_its_body_structure(visit):
    recorded.say_of_areas(visit, {2: {"now": {"tingling": 3}}})
    found = exported.of_visit(visit)
    (tingling,) = observed(found, "0 to 10: tingling")
    link = tingling["bodySite"]["extension"][0]["valueReference"]
    area = exported.target_of(found, link)
    assert area["location"]["text"] == tingling["bodySite"]["text"] and "thumb" in area["location"]["text"]


def test_not_tested_is_sent_as_not_performed_and_not_recorded_not_at_all(visit):
    NeuroFinding.objects.update_or_create(
        visit=visit, item="strength:C7", side="right", defaults={"grade": "NT"}
    )
    NeuroFinding.objects.filter(visit=visit, item="strength:C7", side="left").delete()
    MuscleFinding.objects.create(
        visit=visit,
        muscle="infraspinatus",
        side="right",
        signs={"band": "NT", "spot": "yes"},
        position=1,
    )
    found = exported.of_visit(visit)
    (test,) = [
        each
        for each in exported.all_of(found, "Observation")
        if ("urn:x-tautline:finding", "strength:C7") in exported.codes_in(each["code"])
    ]
    (right,) = test["component"]
    assert exported.codes_in(right["dataAbsentReason"]) == {(ABSENT, "not-performed")}
    assert "valueCodeableConcept" not in right
    (muscle,) = observed(found, "Muscle examined by hand")
    signs = {part["code"]["text"]: part for part in muscle["component"]}
    assert exported.codes_in(signs["Taut band"]["dataAbsentReason"]) == {(ABSENT, "not-performed")}
    assert "Referred sensation" not in signs


def test_what_was_not_asked_of_the_person_is_sent_as_not_asked(full_visit):
    found = exported.of_visit(full_visit)
    (pregnancy,) = observed(found, "pregnancy")
    assert exported.codes_in(pregnancy["dataAbsentReason"]) == {(ABSENT, "not-asked")}
    (thinner,) = observed(found, "Blood thinner")
    assert "warfarin" in thinner["valueString"]
    (allergy,) = observed(found, "allergy")
    assert allergy["valueCodeableConcept"]["text"] == "None known"


def test_a_score_that_could_not_be_made_has_a_reason_and_no_value(visit):
    OutcomeScore.objects.create(visit=visit, instrument="peg", answers={"intensity": 5})
    found = exported.of_visit(visit)
    (score,) = [
        each
        for each in exported.all_of(found, "Observation")
        if ("urn:x-tautline:instrument", "peg") in exported.codes_in(each["code"])
    ]
    assert "valueQuantity" not in score and exported.codes_in(score["dataAbsentReason"]) == {
        (ABSENT, "unknown")
    }


def test_the_drawing_comes_as_pictures_that_stand_alone_and_as_strokes(visit):
    drawing = exported.all_of(exported.of_visit(visit), "BodyStructure")[0]
    front, back, strokes = drawing["image"]
    for picture in (front, back):
        svg = ElementTree.fromstring(base64.b64decode(picture["data"]))  # noqa: S314 - our own
        assert svg.tag == "{http://www.w3.org/2000/svg}svg"
        assert not [each for each in svg.iter() if each.tag.endswith(("script", "image", "use"))]
    kept = json.loads(base64.b64decode(strokes["data"]))
    assert [stroke["kind"] for stroke in kept["strokes"]] == ["ache", "tingling", "pressure"]


def test_a_code_is_sent_as_icd_10_cm_and_nothing_is_said_of_how_sure_it_is(insured_visit):
    condition = exported.one_of(exported.of_visit(insured_visit), "Condition")
    assert condition["code"]["coding"] == [
        {
            "system": "http://hl7.org/fhir/sid/icd-10-cm",
            "version": "April 2026",
            "code": "M79.18",
            "display": "Myalgia, other site",
        }
    ]
    assert "verificationStatus" not in condition


def test_how_sure_a_conclusion_is_is_not_lost(full_visit):
    impression = exported.one_of(exported.of_visit(full_visit), "ClinicalImpression")
    said = [finding["itemCodeableConcept"]["text"] for finding in impression["finding"]]
    assert said == ["Infraspinatus, right: likely", "Nerve root C6, right: ruled out by examination"]


def test_a_consent_has_the_words_that_were_read_and_the_signature_as_drawn(visit):
    found = exported.of_visit(visit)
    consent = exported.one_of(found, "Consent")
    assert (consent["status"], consent["scope"]["coding"][0]["code"]) == ("active", "treatment")
    row = Consent.objects.get(visit=visit)
    assert base64.b64decode(consent["sourceAttachment"]["data"]).decode() == row.body
    (provenance,) = exported.all_of(found, "Provenance")
    assert exported.target_of(found, provenance["target"][0]) is consent
    (signature,) = provenance["signature"]
    assert signature["type"][0]["code"] == "1.2.840.10065.1.12.1.7"
    assert signature["sigFormat"] == "image/svg+xml"
    assert b"M50.0 120.0" in base64.b64decode(signature["data"])
    assert exported.target_of(found, signature["who"])["resourceType"] == "Patient"


def test_a_consent_taken_back_is_inactive_and_still_there(visit):
    row = Consent.objects.get(visit=visit)
    ConsentWithdrawn.objects.create(consent=row, said_by="patient", recorded_by=visit.clinician)
    consent = exported.one_of(exported.of_visit(visit), "Consent")
    assert consent["status"] == "inactive" and consent["provision"]["period"]["end"]


def test_a_consent_confirmed_later_belongs_to_both_visits_and_stands_once(visit):
    later = Visit.objects.create(patient=visit.patient, clinician=visit.clinician)
    row = Consent.objects.get(visit=visit)
    ConsentConfirmed.objects.create(consent=row, visit=later, confirmed_by=visit.clinician)
    consent = exported.one_of(exported.of_patient(visit), "Consent")
    assert consent["verification"][0]["verified"] is True
    assert exported.one_of(exported.of_visit(later), "Consent")["id"] == consent["id"]


def test_a_guardian_signs_as_a_related_person(visit):
    recorded_row = Consent.objects.get(visit=visit)
    Consent.objects.create(
        visit=visit,
        text_id="needling",
        text_version=1,
        title="Needling",
        body="What is done.",
        explained_by=visit.clinician,
        signer="guardian",
        signer_name="Ruth Keller",
        guardian_relation="mother",
        signature=[],
    )
    found = exported.of_visit(visit)
    guardian = exported.one_of(found, "RelatedPerson")
    assert guardian["name"][0]["text"] == "Ruth Keller"
    typed = [each for each in exported.all_of(found, "Provenance") if "data" not in each["signature"][0]]
    (signature,) = typed[0]["signature"]
    assert exported.target_of(found, signature["who"]) is guardian
    assert recorded_row.signer == "patient"


def test_who_pays_is_sent_with_its_numbers(insured_visit):
    found = exported.of_visit(insured_visit)
    coverage = exported.one_of(found, "Coverage")
    assert coverage["subscriberId"] == "P-778"
    assert exported.target_of(found, coverage["payor"][0])["name"] == "Harbour Mutual"
    numbers = {
        each["type"]["text"]: each["value"] for each in exported.one_of(found, "EpisodeOfCare")["identifier"]
    }
    assert numbers == {"Claim number": "C-31", "Authorisation number": "A-9"}


def test_a_name_with_signs_of_markup_stays_a_name(visit):
    visit.story.complaint = 'Hurts <b>"here"</b> & there\x0b'
    visit.story.save()
    composition = exported.one_of(exported.of_visit(visit), "Composition")
    text = composition["section"][0]["text"]["div"]
    assert "&lt;b&gt;" in text and "\x0b" not in text
    ElementTree.fromstring(text)  # noqa: S314 - our own


def test_a_sign_of_danger_is_sent_and_stands_in_the_note(full_visit):
    full.say(full_visit, fever="yes")
    found = exported.of_visit(full_visit)
    flags = exported.all_of(found, "Flag")
    assert flags and all(each["status"] == "active" for each in flags)
    composition = exported.one_of(found, "Composition")
    (section,) = [each for each in composition["section"] if each["title"] == "Signs of danger"]
    assert {entry["reference"] for entry in section["entry"]} == {f"urn:uuid:{each['id']}" for each in flags}
    assert "Not decided when this was written." in section["text"]["div"]


def test_a_stop_that_was_gone_past_stands_in_the_note(full_visit):
    composition = exported.one_of(exported.of_visit(full_visit), "Composition")
    (section,) = [each for each in composition["section"] if each["title"] == "Stops, needles and advice"]
    assert "Takes a blood thinner" in section["text"]["div"]
    assert "INR of 2.1 on Monday" in section["text"]["div"]


def test_a_question_of_danger_without_an_answer_has_none(visit):
    visit.danger_answers.get(question="fever").delete()
    response = exported.one_of(exported.of_visit(visit), "QuestionnaireResponse")
    assert response["status"] == "in-progress"
    without = [item for item in response["item"] if "answer" not in item]
    assert len(without) == 1
    said = {item["answer"][0]["valueString"] for item in response["item"] if "answer" in item}
    assert said == {"No"}

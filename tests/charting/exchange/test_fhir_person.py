"""A person comes back from FHIR: recognised where the person is known, and the same as it was exported."""

import json
from datetime import date

import pytest

from charting.audit.models import AuditEntry
from charting.exchange import brought
from charting.exchange.fhir import bundle
from charting.exchange.plans import NotDone
from charting.patients.models import Patient, PatientIdentifier
from tests.charting import recorded
from tests.charting.exchange import exported

ELSEWHERE = ("https://hospital.example/numbers", "H-4711")


def a_patient(**more):
    """Invented, in the shape of the specification's own example of a Patient."""
    return {
        "resourceType": "Patient",
        "identifier": [{"system": ELSEWHERE[0], "value": ELSEWHERE[1]}],
        "name": [{"use": "official", "family": "Berger", "given": ["Lea", "Maria"]}],
        "gender": "female",
        "birthDate": "1990-01-02",
        "telecom": [{"system": "phone", "value": "+41 44 555 01 02"}],
        "address": [{"line": ["Alder Lane 9"], "postalCode": "8400", "city": "Winterthal"}],
        **more,
    }


def bring(who, said, name="person.json"):
    content = said if isinstance(said, bytes) else json.dumps(said).encode()
    return brought.bring(who=who, what="fhir", name=name, content=content)


def plan(who, said):
    return brought.plan_of(who, bring(who, said), {})


def do(who, said, **sent):
    file = bring(who, said)
    seen = brought.plan_of(who, file, {}).key
    sent = {key.replace("_", "-"): value for key, value in sent.items()}
    return brought.do(who=who, file=file, seen=seen, said={}, sent=sent)


def why(who, said):
    return " ".join(f"{one.where}: {one.why}" for one in plan(who, said).refused)


def test_a_person_of_another_system_is_registered_with_the_number_there(mara):
    do(mara, a_patient())
    lea = Patient.objects.get()
    assert (lea.family_name, lea.given_names, lea.birth_date) == ("Berger", "Lea Maria", date(1990, 1, 2))
    assert (lea.sex, lea.phone, lea.address) == (
        "female",
        "+41 44 555 01 02",
        "Alder Lane 9\n8400 Winterthal",
    )
    assert [(one.system, one.value) for one in lea.identifiers.all()] == [ELSEWHERE]
    assert AuditEntry.objects.filter(action="kept numbers of other systems").count() == 1


def test_what_was_exported_comes_back_as_it_was(mara, ines, anna):
    anna.phone, anna.email = "+41 44 555 03 04", "anna@example.org"
    anna.address, anna.sex = "Alder Lane 4\n8400 Winterthal", "female"
    anna.emergency_name, anna.emergency_phone = "Ruth Keller", "+41 44 555 05 06"
    anna.emergency_relation = "mother"
    anna.save()
    first = bundle.of_patient(anna, at=exported.AT)
    do(ines, first)
    there = Patient.objects.get(practice=ines.practice)
    again = exported.one_of(bundle.of_patient(there, at=exported.AT), "Patient")
    before = exported.one_of(first, "Patient")
    for member in ("name", "gender", "birthDate", "telecom", "address", "contact", "active"):
        assert again[member] == before[member], member
    held = {(one["system"], one["value"]) for one in again["identifier"]}
    assert {(one["system"], one["value"]) for one in before["identifier"]} <= held


def test_somebody_we_exported_is_recognised_and_nothing_is_done_unasked(mara, anna):
    found = plan(mara, bundle.of_patient(anna, at=exported.AT))
    (step,) = found.steps
    assert step.known == (anna,) and step.clashes == () and step.choices[0].value == "leave"
    with pytest.raises(NotDone, match="Leave the file"):
        do(mara, bundle.of_patient(anna, at=exported.AT))
    assert Patient.objects.count() == 1


def test_what_differs_is_shown_and_taken_over_only_when_chosen(mara):
    do(mara, a_patient())
    moved = a_patient(telecom=[{"system": "phone", "value": "+41 44 999 99 99"}])
    (step,) = plan(mara, moved).steps
    assert step.is_asked and [clash[0] for clash in step.clashes] == ["Phone"]
    with pytest.raises(NotDone, match="choose"):
        do(mara, moved)
    do(mara, moved, person_1="change")
    lea = Patient.objects.get()
    assert (lea.phone, lea.address) == ("+41 44 999 99 99", "Alder Lane 9\n8400 Winterthal")


def test_what_the_file_does_not_say_stays_on_record(mara):
    do(mara, a_patient())
    bare = {name: value for name, value in a_patient().items() if name not in ("telecom", "address")}
    (step,) = plan(mara, bare).steps
    assert step.clashes == ()


def test_a_similar_name_born_on_the_same_day_is_asked_about(mara, anna):
    said = a_patient(
        identifier=[], name=[{"family": "Keller", "given": ["Ana"]}], birthDate=anna.birth_date.isoformat()
    )
    (step,) = plan(mara, said).steps
    assert step.is_asked and step.known == (anna,)
    do(mara, said, person_1="new")
    assert Patient.objects.count() == 2


def test_the_number_of_another_system_is_added_to_somebody_known(mara, anna):
    said = a_patient(name=[{"family": "Keller", "given": ["Anna"]}], birthDate=anna.birth_date.isoformat())
    do(mara, said, person_1="same")
    anna.refresh_from_db()
    assert (anna.phone, anna.identifiers.get().value) == ("", "H-4711")
    assert plan(mara, said).steps[0].notes[0].startswith("Recognised by a number")


def test_a_record_that_was_merged_means_the_one_that_was_kept(mara, anna, practice):
    gone = recorded.patient(practice, number=77)
    said = bundle.of_patient(gone, at=exported.AT)
    gone.merged_into = anna
    gone.save()
    assert plan(mara, said).steps[0].known == (anna,)


def test_nobody_of_another_practice_is_recognised(mara, ines):
    do(ines, a_patient())
    (step,) = plan(mara, a_patient()).steps
    assert step.known == ()


@pytest.mark.parametrize(
    "said, words",
    [
        (b"<Patient/>", "no JSON"),
        (b"[1, 2]", "resourceType is missing"),
        ("Zoë".encode("latin-1"), "UTF-8"),
        (b"[" * 5000, "no JSON"),
        ({"resourceType": "Observation"}, "FHIR Observation"),
        ({"resourceType": "Bundle", "type": "collection"}, "no Patient"),
        (a_patient(birthDate="1990-01"), "birthDate: “1990-01” is no whole day"),
        (a_patient(birthDate="2990-01-01"), "birthDate: The date of birth must not be in the future"),
        (a_patient(birthDate=None), "birthDate: It is missing"),
        (a_patient(gender="F"), "gender: “F” is none of"),
        (a_patient(name=[{"text": "Lea Berger"}]), "name.family: Enter the family name."),
        (a_patient(name=[{"family": "B" * 81, "given": ["L"]}]), "name.family"),
        (a_patient(telecom=[{"system": "email", "value": "no"}]), "telecom (email)"),
        (a_patient(name="x", telecom=7, address={}, contact=[3], identifier=[None]), "name.family"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_to_mend(mara, said, words):
    assert words in why(mara, said)
    with pytest.raises(NotDone):
        do(mara, said)
    assert not Patient.objects.exists() and not PatientIdentifier.objects.exists()


def test_the_other_systems_word_of_a_death_is_shown(mara):
    (step,) = plan(mara, a_patient(deceasedDateTime="2026-01-01")).steps
    assert "has died" in " ".join(step.notes)

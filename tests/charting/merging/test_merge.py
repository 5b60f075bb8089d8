"""Two records of one person made one: everything is found under the one that stays."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.contacts import services as contacts
from charting.contacts.models import Contact
from charting.contacts.queries import log_of, open_contact_follow_ups, papers_of
from charting.drafts.models import Draft
from charting.handover.models import HandOver
from charting.merging import queries, services
from charting.merging.models import PatientMerge
from charting.merging.services import NotMerged
from charting.patients.models import Patient, PatientIdentifier
from charting.patients.queries import likely_same, search
from charting.treatment.adverse_queries import events_of
from charting.visits.models import Visit
from charting.visits.services import start
from tests.charting.addresses import a_reaction, a_scan
from tests.charting.audit.changes.merging import a_line


def test_everything_is_found_under_the_record_that_stays(anna, twice, her_visit, mara, merged):
    line, paper = a_line(mara, twice), a_scan(her_visit)
    reaction = a_reaction(her_visit)
    merged()
    assert list(Visit.objects.filter(patient=anna)) == [her_visit]
    assert [each.contact.pk for each in log_of(mara, anna)] == [line.pk]
    assert [each.id for each in papers_of(mara, anna)] == [paper]
    assert [each.event.pk for each in events_of(anna)] == [reaction]


def test_the_record_that_went_is_found_no_more(anna, twice, mara, merged):
    merged()
    about = {"family_name": "Keller", "given_names": "Anna", "birth_date": anna.birth_date}
    assert search(mara, "keller").patients == (anna,)
    assert search(mara, "2001").patients == ()
    assert likely_same(mara, **about) == (anna,)


def test_its_addresses_lead_to_the_record_that_stays(anna, twice, as_mara, merged):
    merged()
    response = as_mara.get(f"/patients/{twice.pk}/contacts/?x=1")
    assert response.headers["Location"] == f"/patients/{anna.pk}/contacts/?x=1"
    assert "Record 2001" in as_mara.get(f"/patients/{twice.pk}/", follow=True).content.decode()


def test_a_form_that_was_open_meanwhile_is_taken_in_there(anna, twice, as_mara, merged, new_id):
    merged()
    said = {"id": new_id, "way": "call_from", "words": "Is better.", "day": "today", "at": ""}
    as_mara.post(f"/patients/{twice.pk}/contacts/", said)
    assert not Contact.objects.filter(patient=twice).exists()
    as_mara.post(f"/patients/{twice.pk}/edit/", {"family_name": "X", "version": twice.version})
    twice.refresh_from_db()
    assert twice.family_name == "Keller"


def test_another_practice_learns_nothing_of_it(twice, as_ines, merged):
    merged()
    assert as_ines.get(f"/patients/{twice.pk}/").status_code == 404


def test_only_what_was_chosen_is_taken_over(anna, twice, merged):
    merged(values={"phone": "gone", "address": "kept"})
    anna.refresh_from_db()
    assert anna.phone == "000 22" and anna.version > max(1, twice.version)


def test_whom_to_call_is_taken_over_whole(anna, twice, merged):
    """Never the number of one person beside the name of another."""
    told = ("emergency_name", "emergency_phone", "emergency_relation")
    for patient, said in ((anna, ("Jon", "1", "")), (twice, ("Eva", "2", "sister"))):
        Patient.objects.filter(pk=patient.pk).update(**dict(zip(told, said, strict=True)))
        patient.refresh_from_db()
    merged(values={"emergency_name": "gone", "emergency_phone": "kept"})
    anna.refresh_from_db()
    assert tuple(getattr(anna, name) for name in told) == ("Eva", "2", "sister")


def test_a_line_of_the_record_that_went_can_be_corrected(anna, twice, mara, merged):
    line = a_line(mara, twice)
    merged()
    (found,) = log_of(mara, anna)
    told = {"way": "call_to", "happened_at": line.happened_at, "words": "Called back."}
    row = contacts.correct(who=mara, line=found.contact, id=uuid.uuid4(), needs_follow_up=False, **told)
    assert (row.patient, row.corrects_id) == (anna, line.pk)


def test_what_is_to_be_followed_up_names_the_record_that_stays(anna, twice, mara, merged):
    a_line(mara, twice, needs_follow_up=True)
    merged()
    assert [each.patient for each in open_contact_follow_ups(mara)] == [anna]


@pytest.mark.parametrize("named", ["", "1042", "3 May 1978", "3.5.1978", "Keller", "99999999999"])
def test_the_record_that_goes_must_be_named_by_what_only_it_has(named, merged):
    """Both were born on one day, so the day names neither."""
    with pytest.raises(NotMerged, match="record number"):
        merged(named=named)
    assert not PatientMerge.objects.exists()


def test_a_birth_date_names_it_where_they_differ(anna, twice, merged):
    Patient.objects.filter(pk=twice.pk).update(birth_date="1978-03-05")
    twice.refresh_from_db()
    with pytest.raises(NotMerged):
        merged(named="3 May 1978")
    assert merged(named="5 March 1978").gone == twice


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("search_name", "anne keller", "name"),
        ("birth_date", "1979-05-03", "date of birth"),
        ("sex", "male", "sex"),
    ],
)
def test_what_tells_two_people_apart_must_be_said_to_be_known(anna, twice, merged, column, value, words):
    Patient.objects.filter(pk=anna.pk).update(sex="female")
    Patient.objects.filter(pk=twice.pk).update(**{column: value})
    anna.refresh_from_db()
    twice.refresh_from_db()
    with pytest.raises(NotMerged, match=f"The {words} differs"):
        merged(known=frozenset())


def test_a_sex_that_nobody_recorded_is_no_difference(anna, twice):
    twice.sex = "male"
    assert services.differing(anna, twice) == ()


def test_a_device_that_is_out_holds_it(her_visit, mara, merged):
    out = HandOver.objects.create(
        visit=her_visit, given_by=mara, token_sha256="x", expires_at=timezone.now() + timedelta(hours=1)
    )
    with pytest.raises(NotMerged, match="device is out"):
        merged()
    HandOver.objects.filter(pk=out.pk).update(ended_at=timezone.now())
    merged()


def test_nothing_is_merged_on_the_strength_of_an_old_page(anna, twice, mara, merged):
    seen = queries.state_of(anna, twice)
    a_line(mara, twice)
    with pytest.raises(NotMerged, match="since this was shown"):
        merged(seen=seen)


def test_a_record_is_not_merged_twice_nor_with_itself(anna, twice, merged):
    with pytest.raises(NotMerged, match="one record"):
        merged(gone=anna)
    merged()
    with pytest.raises(NotMerged, match="meanwhile"):
        merged()


def test_a_chain_of_merges_leads_to_the_last_record(anna, twice, practice, mara, merged, as_mara):
    line = a_line(mara, twice)
    third = Patient.objects.create(
        practice=practice, record_number=3, family_name="K", given_names="A", birth_date=anna.birth_date
    )
    merged()
    merged(kept=third, gone=Patient.objects.get(pk=anna.pk))
    assert [each.contact.pk for each in log_of(mara, third)] == [line.pk]
    assert str(third.pk) in as_mara.get(f"/patients/{twice.pk}/").headers["Location"]


def test_no_visit_begins_under_a_record_that_went(twice, mara, merged):
    """A page that was loaded before the merge, and its form taken in just after."""
    merged()
    with pytest.raises(PermissionDenied):
        start(who=mara, patient=twice, clinician=mara, id=uuid.uuid4())


def test_numbers_of_other_systems_come_over_once(anna, twice, merged):
    for patient, value in ((anna, "7"), (twice, "7"), (twice, "8")):
        PatientIdentifier.objects.create(patient=patient, system="urn:x", value=value)
    merged()
    assert [each.value for each in anna.identifiers.all()] == ["7", "8"]


def test_what_was_typed_and_not_saved_comes_along(anna, twice, mara, merged):
    Draft.objects.create(user=mara, key=f"contact:{twice.pk}", data={"words": ["Half a"]})
    merged()
    assert Draft.objects.get(key=f"contact:{anna.pk}").data == {"words": ["Half a"]}


def test_the_same_form_begun_for_both_is_saved_first(anna, twice, mara, merged):
    for patient in (anna, twice):
        Draft.objects.create(user=mara, key=f"contact:{patient.pk}", data={})
    with pytest.raises(NotMerged, match="begun the same form"):
        merged()
    assert not PatientMerge.objects.exists()


def test_both_records_tell_of_it(anna, twice, merged):
    merged()
    rows = AuditEntry.objects.filter(action__in=("merged records", "was merged"))
    assert {row.object_id for row in rows} == {str(anna.pk), str(twice.pk)}


def test_only_who_has_the_right_merges(anna, twice, poll, ines):
    said = {"seen": "", "named": "2001", "known": frozenset(), "values": {}, "reason": "x"}
    for who in (poll, ines):
        with pytest.raises(PermissionDenied):
            services.merge(who=who, kept=anna, gone=twice, **said)

"""The sites of a practice, and where people are seen. OWASP ASVS 5.0: 8.2.2 (rows), 8.3.1 (at the server)."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from charting.appointments import services as appointments
from charting.audit.models import AuditEntry
from charting.exchange.bring_queries import files_of
from charting.exchange.models import ImportFile
from charting.merging import apart
from charting.merging import queries as merging_queries
from charting.merging import services as merging
from charting.patients import services as patients
from charting.patients.access import patients_of
from charting.patients.models import Patient, PatientSite
from charting.patients.services import NewPerson
from charting.sites import queries, services
from charting.sites.services import ElsewhereNow, NotDone
from charting.staff.models import Site
from tests.charting import recorded
from tests.charting.sites.conftest import open_for

TYPED = {
    **{"family_name": "Berger", "given_names": "Lea"},
    **{"birth_date_day": "2", "birth_date_month": "1", "birth_date_year": "1990"},
}
SOMEBODY = {"family_name": "Berger", "given_names": "Lea"}


def where(patient) -> set[str]:
    return {row.site.name for row in PatientSite.objects.filter(patient=patient)}


def test_somebody_is_known_where_they_are_seen_and_nowhere_else(at_the_mill, otto, mara, lake, as_otto):
    assert at_the_mill in patients_of(mara) and at_the_mill not in patients_of(otto)
    page = as_otto.post("/patients/", {"q": "keller"}, follow=True).content.decode()
    assert "Keller" not in page and "Emergency access" in page
    PatientSite.objects.create(patient=at_the_mill, site=lake)
    assert at_the_mill in patients_of(otto)


def test_who_loses_a_site_is_out_at_the_next_page(at_the_mill, otto, mill, as_otto):
    """OWASP ASVS 5.0, 8.3.2."""
    otto.sites.add(mill)
    assert as_otto.get(f"/patients/{at_the_mill.pk}/").status_code == 200
    otto.sites.remove(mill)
    assert as_otto.get(f"/patients/{at_the_mill.pk}/").status_code == 404


def test_a_practice_of_one_place_sees_nothing_of_sites(anna, as_mara):
    pages = [f"/patients/{anna.pk}/", "/patients/new/", "/patients/", "/"]
    for page in pages:
        text = as_mara.get(page).content.decode()
        assert (
            "Seen at" not in text
            and "Where is this person seen" not in text
            and "mergency access" not in text
        )


def test_who_is_registered_is_seen_where_it_was_ticked(mara, as_mara, mill, lake):
    refused = as_mara.post("/patients/new/", TYPED)
    assert refused.status_code == 422 and "Tick at least one site." in refused.content.decode()
    assert as_mara.post("/patients/new/", {**TYPED, "sites": [mill.pk, lake.pk]}).status_code == 302
    assert where(Patient.objects.get()) == {"At the Mill", "By the Lake"}


def test_nobody_registers_somebody_out_of_their_own_sight(as_otto, mill):
    page = as_otto.post("/patients/new/", {**TYPED, "sites": [mill.pk]})
    assert page.status_code == 422 and "Tick at least one site where you work" in page.content.decode()


def test_a_list_lands_where_who_brings_it_works(otto, mara, mill):
    about = {**SOMEBODY, "birth_date": "1990-01-02"}
    (one,) = patients.register_all(who=otto, people=[NewPerson(about)])
    assert where(one) == {"By the Lake"}
    (other,) = patients.register_all(who=mara, people=[NewPerson(about)])
    assert where(other) == set() and other in queries.people_at_none(mara)


def test_everybody_without_a_site_is_put_at_one_in_few_queries(
    vera, practice, at_the_mill, lake, django_assert_max_num_queries
):
    made = [
        Patient(practice=practice, record_number=n, birth_date="1990-01-02", **SOMEBODY)
        for n in range(2000, 2400)
    ]
    Patient.objects.bulk_create(made)
    with django_assert_max_num_queries(12):
        assert services.place_all(who=vera, site=lake) == 400
    assert PatientSite.objects.filter(site=lake).count() == 400 and where(at_the_mill) == {"At the Mill"}
    assert services.place_all(who=vera, site=lake) == 0
    assert AuditEntry.objects.get(action="placed everybody without a site").detail["people"] == 400


def test_people_of_a_closed_site_are_seen_at_another(vera, at_the_mill, mill, lake, otto):
    with pytest.raises(NotDone, match="People are seen here"):
        services.close_site(who=vera, site=mill, version=1, instead=None)
    assert services.close_site(who=vera, site=mill, version=1, instead=lake) == 1
    assert where(at_the_mill) == {"By the Lake"} and at_the_mill in patients_of(otto)
    assert not Site.objects.get(pk=mill.pk).in_use
    with pytest.raises(NotDone, match="closed"):
        services.place_all(who=vera, site=Site.objects.get(pk=mill.pk))


def test_where_somebody_is_seen_is_changed_and_a_clash_is_told(mara, at_the_mill, mill, lake):
    shown = frozenset({mill.pk})
    services.place(who=mara, patient=at_the_mill, sites=[lake], shown=shown)
    assert where(at_the_mill) == {"By the Lake"}
    with pytest.raises(ElsewhereNow):
        services.place(who=mara, patient=at_the_mill, sites=[mill, lake], shown=shown)
    with pytest.raises(NotDone, match="at least one site"):
        services.place(who=mara, patient=at_the_mill, sites=[], shown=frozenset({lake.pk}))


def test_an_emergency_is_never_made_to_last(otto, at_the_mill, lake, mill):
    open_for(otto, at_the_mill)
    with pytest.raises(PermissionDenied):
        services.place(who=otto, patient=at_the_mill, sites=[mill, lake], shown=frozenset({mill.pk}))
    assert where(at_the_mill) == {"At the Mill"}


def test_two_sites_never_have_one_name_and_two_saves_show_both(as_vera, mill):
    page = as_vera.post("/sites/", {"name": "at the mill"})
    assert page.status_code == 422 and "There is a site of this name already" in page.content.decode()
    assert as_vera.post(f"/sites/{mill.pk}/", {"name": "Old Mill", "version": "1"}).status_code == 302
    late = as_vera.post(f"/sites/{mill.pk}/", {"name": "New Mill", "version": "1"})
    assert late.status_code == 409
    assert "Old Mill" in late.content.decode() and "New Mill" in late.content.decode()


def test_the_page_of_sites_asks_as_much_for_many(as_vera, practice, django_assert_num_queries):
    Site.objects.create(practice=practice, name="First")
    as_vera.get("/sites/")
    with CaptureQueriesContext(connection) as few:
        as_vera.get("/sites/")
    Site.objects.bulk_create(Site(practice=practice, name=f"Site {n}") for n in range(40))
    with django_assert_num_queries(len(few)):
        assert as_vera.get("/sites/").status_code == 200


def test_the_time_of_somebody_elsewhere_is_told_without_a_name(tom, otto, mill, lake, anna, practice):
    PatientSite.objects.create(patient=anna, site=mill)
    other = recorded.patient(practice, 2001)
    PatientSite.objects.create(patient=other, site=lake)
    at = timezone.now() + timedelta(days=1)
    said = {"clinician": tom, "starts_at": at, "minutes": 30, "reason": ""}
    appointments.make(who=tom, patient=anna, id=uuid.uuid4(), **said)
    with pytest.raises(appointments.Taken) as asked:
        appointments.make(who=otto, patient=other, id=uuid.uuid4(), **said)
    assert [each.is_named for each in asked.value.appointments] == [False]
    with pytest.raises(appointments.Taken) as asked:
        appointments.make(who=tom, patient=other, id=uuid.uuid4(), **said)
    assert [each.is_named for each in asked.value.appointments] == [True]


def test_nobody_is_booked_with_somebody_who_could_not_open_the_record(mara, otto, at_the_mill):
    said = {"starts_at": timezone.now() + timedelta(days=1), "minutes": 30, "reason": ""}
    with pytest.raises(appointments.NotKept, match="works at none of the sites"):
        appointments.make(who=mara, patient=at_the_mill, id=uuid.uuid4(), clinician=otto, **said)


def test_a_list_that_was_brought_is_known_to_who_brought_it(otto, mara, practice):
    from_mara = ImportFile.objects.create(practice=practice, what="csv", name="a.csv", brought_by=mara)
    from_otto = ImportFile.objects.create(practice=practice, what="csv", name="b.csv", brought_by=otto)
    assert set(files_of(otto)) == {from_otto} and set(files_of(mara)) == {from_mara, from_otto}


def test_two_records_made_one_are_seen_where_either_was(mara, at_the_mill, otto, practice, lake):
    other = recorded.patient(practice, 7001)
    PatientSite.objects.create(patient=other, site=lake)
    said = {"named": "7001", "known": frozenset(), "values": {}, "reason": "Asked her."}
    seen = merging_queries.state_of(at_the_mill, other)
    row = merging.merge(who=mara, kept=at_the_mill, gone=other, seen=seen, **said)
    assert where(at_the_mill) == {"At the Mill", "By the Lake"} and at_the_mill in patients_of(otto)
    apart.unmerge(who=mara, merge=row, choices={}, reason="Two cousins.")
    assert where(at_the_mill) == {"At the Mill"} and where(other) == {"By the Lake"}


def test_an_emergency_makes_no_two_records_one(otto, at_the_mill, practice, lake):
    own = recorded.patient(practice, 7001)
    PatientSite.objects.create(patient=own, site=lake)
    open_for(otto, at_the_mill)
    seen = merging_queries.state_of(own, at_the_mill)
    said = {"named": "1042", "known": frozenset(), "values": {}, "reason": "Asked her."}
    with pytest.raises(merging.NotMerged, match="in an emergency only"):
        merging.merge(who=otto, kept=own, gone=at_the_mill, seen=seen, **said)

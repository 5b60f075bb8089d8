"""Register a person: once, with a number of its own, and not twice without a warning."""

import threading
import uuid
from datetime import date

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection

from charting.patients.models import Patient
from charting.patients.services import PerhapsKnown, register
from tests.charting import recorded
from tests.charting.addresses import about

LEA = {"family_name": "Berger", "given_names": "Lea", "birth_date": date(1990, 1, 2)}


def typed(**others):
    parts = {"birth_date_day": "2", "birth_date_month": "jan", "birth_date_year": "1990"}
    return {"family_name": "Berger", "given_names": "Lea", **parts, **others}


def test_it_registers_a_person(as_poll, practice):
    response = as_poll.post("/patients/new/", typed(phone="000 000 1"))
    lea = Patient.objects.get()
    assert response.headers["Location"] == f"/patients/{lea.pk}/"
    assert (lea.practice, lea.birth_date, lea.phone) == (practice, date(1990, 1, 2), "000 000 1")


def test_it_counts_the_records_of_each_practice_by_itself(mara, ines):
    assert [register(who=mara, **LEA, all_the_same=True).record_number for _ in range(3)] == [1, 2, 3]
    assert register(who=ines, **LEA).record_number == 1


@pytest.mark.django_db(transaction=True)
def test_it_gives_no_number_twice_when_many_register_at_once(mara):
    def one(index):
        register(who=mara, **LEA, all_the_same=True)
        connection.close()

    threads = [threading.Thread(target=one, args=(index,)) for index in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(Patient.objects.values_list("record_number", flat=True)) == list(range(1, 9))


def test_it_makes_one_person_of_a_double_tap(as_poll, new_id):
    first = as_poll.post("/patients/new/", typed(id=new_id))
    second = as_poll.post("/patients/new/", typed(id=new_id))
    assert first.headers["Location"] == second.headers["Location"]
    assert Patient.objects.count() == 1


def test_it_never_takes_somebody_else_for_the_person_made_before(as_poll, new_id):
    as_poll.post("/patients/new/", typed(id=new_id))
    second = as_poll.post("/patients/new/", typed(id=new_id, given_names="Ben", family_name="Vogt"))
    ben = Patient.objects.get(given_names="Ben")
    assert second.headers["Location"] == f"/patients/{ben.pk}/" and str(ben.pk) != new_id
    assert Patient.objects.count() == 2


def test_a_draft_does_not_bring_its_old_id_back(as_poll, new_id):
    as_poll.post("/drafts/keep/", {"draft_key": "patient:new", "id": new_id, "family_name": "Vogt"})
    form = as_poll.get("/patients/new/").context["page"].form
    assert form["family_name"].value() == "Vogt" and str(form["id"].value()) != new_id


def test_it_does_not_take_an_id_of_another_practice(mara, ines):
    theirs = register(who=ines, **LEA)
    with pytest.raises(PermissionDenied):
        register(who=mara, id=theirs.pk, **LEA)


@pytest.mark.parametrize(
    ("family", "given"),
    [
        ("Keller", "Anna"),
        ("Keler", "Ana"),
        ("KELLER", "Anna Maria"),
        ("Anna", "Keller"),
        ("Keller-Berg", "A."),
        ("Berg", "Anna"),
    ],
)
def test_it_warns_of_the_same_birth_date_with_a_similar_name(anna, mara, family, given):
    with pytest.raises(PerhapsKnown) as caught:
        register(who=mara, family_name=family, given_names=given, birth_date=anna.birth_date)
    assert caught.value.patients == (anna,)


def test_it_does_not_warn_of_a_different_name_or_day(anna, mara):
    assert register(who=mara, family_name="Vogt", given_names="Peter", birth_date=anna.birth_date)
    assert register(who=mara, family_name="Keller", given_names="Anna", birth_date=date(1978, 5, 4))


def test_it_does_not_tell_of_people_of_another_practice(anna, ines):
    assert register(who=ines, family_name="Keller", given_names="Anna", birth_date=anna.birth_date)


def test_it_shows_who_it_may_be_and_creates_all_the_same(anna, as_mara):
    form = about(anna, id=str(uuid.uuid4()))
    warned = as_mara.post("/patients/new/", form)
    text = warned.content.decode()
    assert warned.status_code == 422
    assert f"/patients/{anna.pk}/" in text and "Create all the same" in text
    assert Patient.objects.count() == 1
    assert as_mara.post("/patients/new/", {**form, "all_the_same": "1"}).status_code == 302
    assert Patient.objects.count() == 2


def test_it_shows_a_form_that_is_not_right_with_what_is_wrong(as_mara, db):
    response = as_mara.post("/patients/new/", typed(birth_date_day="40", family_name=""))
    text = response.content.decode()
    assert response.status_code == 422
    assert "Error: New patient" in text
    assert 'href="#id_birth_date_0"' in text and 'href="#id_family_name"' in text
    assert not Patient.objects.exists()


def test_it_shows_times_of_the_practice(blank, as_mara):
    blank.started_at = blank.started_at.replace(hour=11, minute=5)
    blank.save()
    zone = recorded.Practice.objects.get(pk=blank.patient.practice_id).zone
    shown = f"{blank.started_at.astimezone(zone):%H:%M}"
    assert shown != "11:05"
    assert shown in as_mara.get(f"/patients/{blank.patient_id}/").content.decode()


def test_it_registers_without_a_sex_or_with_one(as_poll):
    as_poll.post("/patients/new/", typed())
    as_poll.post("/patients/new/", typed(family_name="Amsler", given_names="Ole", sex="male"))
    assert list(Patient.objects.order_by("created_at").values_list("sex", flat=True)) == ["unknown", "male"]

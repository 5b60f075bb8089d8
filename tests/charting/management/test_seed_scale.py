"""A large practice made to be measured: whole, true to the rules of the record, never beside a real one."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from charting.appointments.models import Appointment
from charting.audit.verify import verify
from charting.drawing.models import DrawnCells, StoredStroke
from charting.management.scale.sizes import Sizes
from charting.notes.models import SignedNote
from charting.patients.models import Patient, PatientSite
from charting.report.content import fingerprint
from charting.staff.models import Practice, User
from charting.visits.models import Visit

PASSWORD = "measured-practice-9"
SMALL = {"patients": 30, "visits": 70, "drawings": 20, "clinicians": 4, "years": 2, "password": PASSWORD}


@pytest.fixture
def practice(db):
    told = io.StringIO()
    call_command("seed_scale", stdout=told, **SMALL)
    assert PASSWORD in told.getvalue()
    return Practice.objects.get()


def test_it_is_as_large_as_was_asked(practice):
    assert Patient.objects.filter(practice=practice).count() == PatientSite.objects.count() == 30
    signed = Visit.objects.exclude(signed_at=None)
    assert signed.count() == SignedNote.objects.count() == 70
    assert Appointment.objects.filter(visit__in=signed).count() == 70
    assert len(set(StoredStroke.objects.values_list("visit", flat=True))) == 20
    assert set(DrawnCells.objects.values_list("visit")) == set(StoredStroke.objects.values_list("visit"))
    newest = {visit.pk for visit in signed.order_by("-started_at")[:20]}
    assert set(StoredStroke.objects.values_list("visit", flat=True)) == newest


def test_each_visit_keeps_its_own_time(practice):
    """Times of a record set themselves when a row is made; here they are told."""
    days = set(Visit.objects.exclude(signed_at=None).values_list("started_at__date", flat=True))
    assert len(days) > 40


def test_the_trail_holds_and_no_note_was_changed(practice):
    report = verify(practice.pk)
    assert report.holds and report.rows == 71
    assert all(fingerprint(note.content) == note.content_sha256 for note in SignedNote.objects.all())


def test_its_pages_open(practice):
    """Both for who works everywhere and for who knows the people of two sites only."""
    visit = Visit.objects.filter(pk__in=StoredStroke.objects.values("visit")).first()
    for username, answers in (("clinician1", {200}), ("clinician4", {200, 404})):
        client = Client()
        client.force_login(User.objects.get(username=username))
        for name, args in (("today", ()), ("patients", ()), ("patient", (visit.patient_id,))):
            assert client.get(reverse(name, args=args)).status_code in answers
    client.force_login(User.objects.get(username="clinician1"))
    for name in ("visit", "note", "drawing-step"):
        assert client.get(reverse(name, args=[visit.pk])).status_code == 200, name


def test_it_refuses_beside_a_practice(db):
    Practice.objects.create(name="Lindenhof Practice")
    with pytest.raises(CommandError, match=r"already \(Lindenhof Practice\).*empty database only"):
        call_command("seed_scale", **SMALL)
    assert not Patient.objects.exists()


@pytest.mark.parametrize(
    ("asked", "mend"),
    [({"visits": 10}, "--visits is too small"), ({"drawings": 71}, "--drawings is too large"),
     ({"clinicians": 0}, "whole number above nothing")],
)  # fmt: skip
def test_it_says_which_size_is_wrong(db, asked, mend):
    with pytest.raises(CommandError, match=mend):
        call_command("seed_scale", **{**SMALL, **asked})
    assert not Practice.objects.exists()


def test_its_usual_size_is_that_of_a_large_group_of_clinics():
    assert (Sizes().patients, Sizes().visits) == (50_000, 500_000)

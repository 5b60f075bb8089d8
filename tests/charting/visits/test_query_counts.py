"""Pages take the same number of queries for one row as for twenty."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from charting.patients.models import Patient
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.appointments.booked import booked
from tests.charting.episodes.cared import a_discharged_one, an_episode


def queries(client, url):
    client.get(url)  # what is cached once is cached
    with CaptureQueriesContext(connection) as seen:
        assert client.get(url).status_code == 200
    return len(seen)


def many_patients(practice, mara):
    for number in range(2, 22):
        person = Patient.objects.create(
            practice=practice,
            record_number=number,
            family_name=f"Keller{number}",
            given_names="A",
            birth_date=date(1980, 1, 1),
            search_name=f"a keller{number}",
        )
        Visit.objects.create(patient=person, clinician=mara)


@pytest.mark.parametrize("url", ["/", "/patients/"])
def test_lists_of_people_do_not_ask_for_each(url, blank, practice, mara, as_mara):
    one = queries(as_mara, url)
    many_patients(practice, mara)
    assert queries(as_mara, url) == one


def test_the_list_of_visits_does_not_ask_for_each(blank, mara, tom, as_mara):
    url = f"/patients/{blank.patient_id}/"
    one = queries(as_mara, url)
    for _ in range(20):
        Visit.objects.create(patient=blank.patient, clinician=tom)
    assert queries(as_mara, url) == one


def test_the_day_list_does_not_ask_for_each(practice, anna, mara, as_mara, as_poll):
    a_day_of(anna, mara)
    one, at_the_desk = queries(as_mara, "/"), queries(as_poll, "/")
    for number in range(2, 22):
        a_day_of(recorded.patient(practice, number=number), mara)
    assert queries(as_mara, "/") == one <= 16 and queries(as_poll, "/") == at_the_desk <= one


def a_day_of(person, mara):
    """Somebody in every section, and a reaction to follow up."""
    for state in ("booked", "arrived", "noshow", "cancelled"):
        booked(person, mara, state=state)
    booked(person, mara, at=timezone.now() - timedelta(days=3))
    booked(person, mara, state="fulfilled", visit=Visit.objects.create(patient=person, clinician=mara))
    said = {"what": "soreness", "severity": "mild", "words": "Sore.", "happened_at": timezone.now()}
    person.adverse_events.create(recorded_by=mara, follow_up_on=date(2026, 5, 4), **said)


def test_the_complaints_of_a_person_are_not_asked_for_one_by_one(anna, mara, as_mara):
    a_discharged_one(anna, mara)
    an_episode(anna, mara)
    booked(anna, mara)
    one = queries(as_mara, f"/patients/{anna.pk}/")
    for _ in range(20):
        a_discharged_one(anna, mara)
        an_episode(anna, mara)
        booked(anna, mara)
    assert queries(as_mara, f"/patients/{anna.pk}/") == one


def test_the_list_of_consents_does_not_ask_for_each(visit, as_mara):
    url = f"/visits/{visit.pk}/consents/"
    one = queries(as_mara, url)
    for _ in range(20):
        recorded.consent(visit)
    assert queries(as_mara, url) == one


@pytest.mark.parametrize("page", ["", "story/", "danger-screen/", "drawing-step/", "neuro-screen/"])
def test_a_full_visit_takes_no_more_queries_than_an_empty_one(page, blank, mara, as_mara):
    empty = queries(as_mara, f"/visits/{blank.pk}/{page}")
    full = recorded.whole_visit(recorded.patient(blank.patient.practice, number=9), mara)
    assert queries(as_mara, f"/visits/{full.pk}/{page}") <= empty


@pytest.mark.parametrize(
    ("page", "most"),
    [
        # One of each is the end of the trail, which the line of this look is chained to.
        # Each but the board finds the signs of danger, for the rail at least: ten queries.
        # Two for what the patient can be asked on the device, wherever it is handed over.
        ("", 36),
        # Three for what can be brought forward from the visit before.
        ("story/", 31),
        # It reads the drawing, for the published changes of that part of the body.
        ("outcomes/", 31),
        ("danger-screen/", 26),
        ("drawing-step/", 32),
        ("flags/", 25),
        ("drawing/", 15),
        ("what-to-examine/", 28),
        ("neuro-screen/", 34),
        ("vitals/", 23),
        ("assessment/", 31),
        # Six more than a list: what stands from before, the texts of the practice, what is covered, drafts.
        ("consents/", 28),
        # The last visit's treatment, today's, findings and drafts.
        ("treatment/", 29),
        # It reads all that is signed: muscles, ranges, conclusions, needles; what was done, with stops gone
        # past, reactions and exercises; what stands agreed to; scores; the episode; the last drawing; codes,
        # who pays, sentences that were changed, the practice's text blocks.
        ("note/", 68),
    ],
)
def test_the_pages_of_a_visit_take_few_queries(page, most, visit, as_mara):
    # PostgreSQL is asked for the lock of the chain besides; SQLite has one writer anyway.
    assert queries(as_mara, f"/visits/{visit.pk}/{page}") <= most + (connection.vendor == "postgresql")

"""Start a visit: with a clinician of the house, and one of a double tap."""

import pytest
from django.core.exceptions import PermissionDenied

from charting.visits.models import Visit
from charting.visits.services import start
from tests.charting import recorded


def url(patient):
    return f"/patients/{patient.pk}/visits/start/"


def test_it_starts_a_visit_of_ones_own(anna, as_mara, mara, new_id):
    response = as_mara.post(url(anna), {"id": new_id})
    visit = Visit.objects.get()
    assert response.headers["Location"] == f"/visits/{new_id}/"
    assert (str(visit.pk), visit.patient, visit.clinician) == (new_id, anna, mara)


def test_it_makes_one_visit_of_a_double_tap(anna, as_mara, new_id):
    as_mara.post(url(anna), {"id": new_id})
    as_mara.post(url(anna), {"id": new_id})
    assert Visit.objects.count() == 1


def test_it_lets_the_assistant_start_it_for_a_clinician(anna, as_poll, mara, new_id):
    page = as_poll.get(f"/patients/{anna.pk}/").content.decode()
    assert "Mara Steiner, Physiotherapist" in page
    response = as_poll.post(url(anna), {"id": new_id, "clinician": mara.pk})
    assert response.headers["Location"] == f"/patients/{anna.pk}/"
    assert Visit.objects.get().clinician == mara


def test_it_starts_none_with_somebody_who_does_not_treat(anna, as_poll, poll, vera, new_id):
    assert as_poll.post(url(anna), {"id": new_id}).status_code == 403
    assert as_poll.post(url(anna), {"id": new_id, "clinician": vera.pk}).status_code == 404
    assert not Visit.objects.exists()


def test_it_starts_none_with_a_clinician_of_another_practice(anna, as_poll, poll, ines, new_id):
    assert as_poll.post(url(anna), {"id": new_id, "clinician": ines.pk}).status_code == 404
    with pytest.raises(PermissionDenied):
        start(who=poll, patient=anna, clinician=ines, id=new_id)
    assert not Visit.objects.exists()


def test_it_starts_none_for_a_patient_of_another_practice(anna, ines, new_id):
    with pytest.raises(PermissionDenied):
        start(who=ines, patient=anna, clinician=ines, id=new_id)


def test_it_does_not_take_the_id_of_another_persons_visit(blank, mara, as_mara, new_id):
    other = recorded.patient(blank.patient.practice, number=2)
    assert as_mara.post(url(other), {"id": str(blank.pk)}).status_code == 403


def test_it_goes_back_to_the_person_when_the_form_was_not_right(anna, as_mara):
    assert as_mara.post(url(anna), {"id": "x"}).headers["Location"] == f"/patients/{anna.pk}/"

"""Saving a score: by staff, or from the device with the patient."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.handover.models import HandOver
from charting.outcomes import services
from charting.outcomes.models import OutcomeScore
from charting.outcomes.services import NotOnTheDevice, WrongAnswers, save_scores
from charting.versioning import Stale
from charting.visits.services import VisitSigned
from tests.charting.outcomes.conftest import activities

PAIN = {"now": 4, "worst": 7}


@pytest.fixture
def held(blank, mara):
    """The device is with the patient of `blank`."""
    times = {"expires_at": timezone.now() + timedelta(hours=1), "confirmed_at": timezone.now()}
    return HandOver.objects.create(visit=blank, given_by=mara, token_sha256="1" * 64, **times)


def save(who, visit, answers=PAIN, version=0, instrument="nprs", **more):
    return save_scores(who=who, visit=visit, instrument=instrument, answers=answers, version=version, **more)


def test_it_keeps_what_was_answered_and_leaves_out_what_was_not(blank, mara):
    row = save(mara, blank, {**PAIN, "best": None})
    assert (row.answers, row.version, row.said_by) == (PAIN, 1, "clinician")


def test_the_same_again_changes_nothing_whatever_the_version(blank, mara):
    save(mara, blank)
    assert save(mara, blank, version=7).version == 1


def test_a_later_answer_takes_the_place_of_an_earlier_one(blank, mara):
    save(mara, blank)
    row = save(mara, blank, {"now": 2}, version=1)
    assert (row.answers, row.version) == ({"now": 2}, 2)


def test_who_saves_on_an_old_version_is_told_what_stands_now(blank, mara):
    save(mara, blank)
    for version in (0, 5):
        with pytest.raises(Stale) as told:
            save(mara, blank, {"now": 1}, version=version)
        assert told.value.current.answers == PAIN
    with pytest.raises(Stale):
        save(mara, blank, {}, version=0)


def test_without_any_answer_it_is_taken_out(blank, mara):
    save(mara, blank)
    assert save(mara, blank, {"now": None}, version=1) is None
    assert not OutcomeScore.objects.exists()
    services.forget(who=mara, visit=blank, instrument="nprs", version=1)


def test_what_is_gone_is_not_brought_back_unseen(blank, mara):
    save(mara, blank)
    save(mara, blank, {}, version=1)
    with pytest.raises(Stale) as told:
        save(mara, blank, {"now": 3}, version=1)
    assert told.value.current.version == 0


def test_an_answer_that_cannot_be_is_refused_with_the_field_and_what_to_mend(blank, mara):
    with pytest.raises(WrongAnswers) as told:
        save(mara, blank, {"sum": 20, "answered": 27}, instrument="dash")
    assert "27 to 135" in told.value.wrong["sum"]
    with pytest.raises(WrongAnswers, match="numbering"):
        save(mara, blank, {"value": 2}, instrument="pgic")
    with pytest.raises(WrongAnswers, match="no such instrument"):
        save(mara, blank, instrument="own")
    assert not OutcomeScore.objects.exists()


def test_it_keeps_which_numbering_the_number_belongs_to(blank, mara):
    assert save(mara, blank, {"value": 6}, instrument="pgic", form="hurst").form == "hurst"


def test_names_of_activities_lose_their_stray_spaces(blank, mara):
    row = save(mara, blank, activities(4, names=["  Carry   shopping "]), instrument="psfs")
    assert row.answers["activities"] == [{"name": "Carry shopping", "value": 4}]


def test_a_signed_visit_takes_no_score(blank, mara):
    blank.signed_at = timezone.now()
    blank.save()
    with pytest.raises(VisitSigned):
        save(mara, blank)


def test_only_who_treats_records_a_score(blank, vera):
    with pytest.raises(PermissionDenied):
        save(vera, blank)


def test_the_device_records_what_a_patient_answers_alone(blank, held):
    row = save(held, blank, said_by="clinician")
    assert row.said_by == "patient"


def test_the_device_records_nothing_else(blank, held, course):
    with pytest.raises(NotOnTheDevice):
        save(held, blank, {"sum": 20, "answered": 10}, instrument="ndi")
    with pytest.raises(NotOnTheDevice):
        save(held, course[0])
    HandOver.objects.filter(pk=held.pk).update(ended_at=timezone.now())
    with pytest.raises(NotOnTheDevice):
        save(held, blank)
    assert not OutcomeScore.objects.exists()


def test_what_the_patient_said_stays_theirs_when_staff_saves_it_unchanged(blank, held, mara):
    save(held, blank)
    assert save(mara, blank, version=1).said_by == "patient"
    assert save(mara, blank, {"now": 3}, version=1).said_by == "clinician"

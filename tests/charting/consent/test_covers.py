"""What was agreed to, for which area, in which visit: what a treatment asks before it is written down.

Reference: consent must name the areas covered and be earlier than the treatment; withdrawal stops what comes
later and keeps the record (common practice of professional guidance on dry needling).
"""

from datetime import timedelta

import pytest
from django.utils import timezone

from charting.consent.models import Consent, ConsentConfirmed, ConsentWithdrawn
from charting.consent.queries import covers, standing
from charting.visits.models import Visit
from tests.charting import recorded


@pytest.fixture
def agreed(blank):
    def to(procedure, *areas, visit=blank, text_id="t"):
        said = {"text_id": text_id, "text_version": 1, "title": "T", "body": "B.", "signature": []}
        return Consent.objects.create(
            visit=visit, procedure=procedure, areas=list(areas), explained_by=visit.clinician, **said
        )

    return to


@pytest.fixture
def later(blank):
    return Visit.objects.create(patient=blank.patient, clinician=blank.clinician)


def confirm(consent, visit):
    return ConsentConfirmed.objects.create(consent=consent, visit=visit, confirmed_by=visit.clinician)


def withdraw(consent):
    said = {"said_by": "Anna Keller", "recorded_by": consent.explained_by}
    return ConsentWithdrawn.objects.create(consent=consent, **said)


def test_nothing_is_covered_before_anything_is_signed(blank):
    found = covers(blank, procedure="needling", area="neck")
    assert not found.ok and found.consent is None
    assert found.why.startswith("Consent to dry needling is not signed.")


def test_it_covers_what_was_signed_earlier_for_that_area(blank, agreed):
    consent = agreed("needling", "neck", "shoulder right")
    for area in ("neck", "shoulder right"):
        found = covers(blank, procedure="needling", area=area)
        assert found.ok and found.why == "" and found.consent == consent


def test_another_area_or_the_other_side_is_not_covered(blank, agreed):
    agreed("needling", "neck", "shoulder right")
    why = covers(blank, procedure="needling", area="shoulder left").why
    assert "does not name the left shoulder (it names: neck, right shoulder)" in why


def test_another_procedure_is_not_covered(blank, agreed):
    agreed("manual", "neck")
    assert covers(blank, procedure="manual", area="neck").ok
    assert not covers(blank, procedure="needling", area="neck").ok


def test_what_is_signed_at_the_same_moment_or_later_does_not_count(blank, agreed):
    consent = agreed("needling", "neck")
    for at in (consent.signed_at, consent.signed_at - timedelta(seconds=1)):
        found = covers(blank, procedure="needling", area="neck", at=at)
        assert not found.ok and "it has to come first" in found.why
    assert covers(
        blank, procedure="needling", area="neck", at=consent.signed_at + timedelta(microseconds=1)
    ).ok


def test_a_withdrawal_stops_what_comes_later_and_keeps_what_was(blank, agreed):
    consent = agreed("needling", "neck")
    before = timezone.now()
    row = withdraw(consent)
    found = covers(blank, procedure="needling", area="neck")
    assert not found.ok and "was withdrawn on" in found.why
    assert covers(blank, procedure="needling", area="neck", at=before).ok
    assert [(each.consent, each.withdrawn_at) for each in standing(blank.patient)] == [
        (consent, row.withdrawn_at)
    ]


def test_a_new_signature_after_a_withdrawal_counts(blank, agreed):
    withdraw(agreed("needling", "neck"))
    again = agreed("needling", "neck")
    assert covers(blank, procedure="needling", area="neck").consent == again


def test_at_a_later_visit_it_counts_once_it_is_confirmed(agreed, later):
    consent = agreed("manual", "neck")
    why = covers(later, procedure="manual", area="neck").why
    assert "is not confirmed in this visit" in why
    row = confirm(consent, later)
    assert not covers(later, procedure="manual", area="neck", at=row.confirmed_at).ok
    assert covers(later, procedure="manual", area="neck").ok
    assert standing(later.patient)[0].confirmed_in == (later.pk,)


def test_a_confirmation_in_one_visit_says_nothing_of_the_next(agreed, later):
    consent = agreed("manual", "neck")
    confirm(consent, later)
    third = Visit.objects.create(patient=later.patient, clinician=later.clinician)
    assert not covers(third, procedure="manual", area="neck").ok


def test_a_sensitive_area_needs_its_own_text_and_that_of_the_procedure(blank, agreed):
    agreed("manual needling", "buttock right", text_id="buttock")
    assert (
        "Consent to dry needling is not signed"
        in covers(blank, procedure="needling", area="buttock right").why
    )
    agreed("needling", "low_back")
    assert covers(blank, procedure="needling", area="buttock right").ok
    assert "does not name the left buttock" in covers(blank, procedure="needling", area="buttock left").why
    assert (
        "consent of its own for the right groin"
        in covers(blank, procedure="needling", area="groin right").why
    )


def test_a_sensitive_text_covers_only_what_was_named_in_it(blank, agreed):
    agreed("examination manual", "buttock right", text_id="buttock")
    agreed("needling", "low_back")
    agreed("manual", "low_back")
    assert covers(blank, procedure="manual", area="buttock right").ok
    assert not covers(blank, procedure="needling", area="buttock right").ok


def test_withdrawing_the_procedure_stops_it_in_a_sensitive_area_too(blank, agreed):
    agreed("needling", "buttock right", text_id="buttock")
    withdraw(agreed("needling", "low_back"))
    assert "withdrawn" in covers(blank, procedure="needling", area="buttock right").why


def test_the_examination_is_agreed_to_as_a_whole_but_for_sensitive_areas(blank, agreed):
    agreed("examination", text_id="examination")
    assert covers(blank, procedure="examination", area="thigh left").ok
    assert not covers(blank, procedure="examination", area="breast left").ok


def test_what_was_signed_before_areas_were_kept_counts_as_it_was_meant(blank, agreed):
    agreed("", text_id="manual-treatment")
    assert covers(blank, procedure="manual", area="neck").ok
    assert not covers(blank, procedure="manual", area="groin left").ok
    assert not covers(blank, procedure="needling", area="neck").ok


def test_needling_without_an_area_covers_none(blank, agreed):
    agreed("needling")
    assert "it names no area" in covers(blank, procedure="needling", area="neck").why


def test_consents_of_another_person_do_not_count(blank, agreed, practice, mara):
    other = recorded.patient(practice, number=77)
    agreed("manual", "neck", visit=Visit.objects.create(patient=other, clinician=mara))
    assert not covers(blank, procedure="manual", area="neck").ok


@pytest.mark.parametrize(
    ("procedure", "area"), [("massage", "neck"), ("manual", "knee"), ("manual", "shoulder")]
)
def test_it_takes_no_procedure_or_area_that_is_unknown(blank, procedure, area):
    with pytest.raises(ValueError, match="no such procedure|no area"):
        covers(blank, procedure=procedure, area=area)


def test_it_asks_the_same_number_of_times_however_many_there_are(blank, agreed, django_assert_num_queries):
    for _ in range(3):
        agreed("manual", "neck")
    with django_assert_num_queries(2):
        covers(blank, procedure="manual", area="neck")
    for _ in range(20):
        confirm(agreed("manual", "neck"), blank)
    with django_assert_num_queries(2):
        covers(blank, procedure="manual", area="neck")

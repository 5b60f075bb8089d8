"""A consent is taken back: nothing more is done under it, and the record is kept."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.consent import services
from charting.consent.models import Consent, ConsentWithdrawn
from charting.consent.queries import covers
from tests.charting import recorded
from tests.charting.agreed import a_consent, an_earlier


def url(consent):
    return f"/patients/{consent.visit.patient_id}/consents/{consent.pk}/withdraw/"


def sent(*consents, **more):
    said = {"said_by": "Anna Keller", "way": "by telephone", "words": "No needles any more."}
    return {**said, "which": [row.pk for row in consents], **more}


def test_it_stops_what_comes_later_and_keeps_the_record(blank, as_mara, mara):
    consent = a_consent(blank, "dry-needling", ["neck"])
    before = timezone.now()
    assert covers(blank, procedure="needling", area="neck").ok
    assert as_mara.post(url(consent), sent(consent)).status_code == 302
    row = ConsentWithdrawn.objects.get()
    assert (row.said_by, row.words) == ("Anna Keller, by telephone", "No needles any more.")
    assert row.recorded_by == mara
    assert "withdrawn" in covers(blank, procedure="needling", area="neck").why
    assert covers(blank, procedure="needling", area="neck", at=before).ok
    assert Consent.objects.get(pk=consent.pk).body == consent.body
    for page in (f"/visits/{blank.pk}/consents/", f"/patients/{blank.patient_id}/consents/"):
        text = as_mara.get(page).content.decode()
        assert "No needles any more." in text and consent.title in text


def test_it_works_between_two_visits_and_after_the_note_is_signed(blank, as_mara):
    consent = an_earlier(blank, "dry-needling", ["neck"])
    type(blank).objects.update(signed_at=timezone.now() - timedelta(hours=1))
    assert as_mara.post(url(consent), sent(consent)).status_code == 302
    assert ConsentWithdrawn.objects.exists()


def test_what_is_most_likely_meant_is_ticked_and_can_be_changed(blank, as_mara):
    first = an_earlier(blank, "dry-needling", ["neck"])
    second = an_earlier(blank, "dry-needling", ["low_back"])
    hands = an_earlier(blank, "manual-treatment", ["neck"])
    form = as_mara.get(url(first)).context["page"].form
    assert form["which"].value() == [str(first.pk), str(second.pk)]
    assert str(hands.pk) in dict(form.fields["which"].choices)
    as_mara.post(url(first), sent(first, second))
    assert set(ConsentWithdrawn.objects.values_list("consent", flat=True)) == {first.pk, second.pk}


def test_it_asks_who_and_how_and_loses_nothing_typed(blank, as_mara):
    consent = a_consent(blank)
    response = as_mara.post(url(consent), sent(way=""))
    text = response.content.decode()
    assert response.status_code == 422 and "Choose how it was said." in text
    assert "Tick what is taken back." in text and "No needles any more." in text
    assert not ConsentWithdrawn.objects.exists()


def test_a_second_tap_changes_nothing(blank, as_mara):
    consent = a_consent(blank)
    for words in ("First.", "Second."):
        as_mara.post(url(consent), sent(consent, words=words))
    assert ConsentWithdrawn.objects.get().words == "First."


def test_nobody_withdraws_for_another_person(blank, as_mara, mara, practice):
    other = recorded.patient(practice, number=99)
    consent = a_consent(blank)
    with pytest.raises(PermissionDenied):
        services.withdraw(who=mara, patient=other, consents=[consent], said_by="A", words="")
    assert as_mara.get(f"/patients/{other.pk}/consents/{consent.pk}/withdraw/").status_code == 404


def test_the_desk_is_told_where_a_withdrawal_by_telephone_goes(blank, as_poll):
    text = as_poll.get(f"/patients/{blank.patient_id}/contacts/").content.decode()
    assert "takes a consent back" in text

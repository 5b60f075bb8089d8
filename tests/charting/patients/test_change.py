"""Change what is on record about a person; of two at once nobody loses a word."""

import pytest
from django.core.exceptions import PermissionDenied

from charting.audit.models import AuditEntry
from charting.patients.services import change
from charting.versioning import Stale
from tests.charting.addresses import about


def url(patient):
    return f"/patients/{patient.pk}/edit/"


def test_it_changes_what_is_on_record(anna, as_poll):
    as_poll.post(url(anna), about(anna, family_name="Keller-Vogt", phone="000 000 5"))
    anna.refresh_from_db()
    assert (anna.family_name, anna.phone, anna.version) == ("Keller-Vogt", "000 000 5", 2)
    assert anna.search_name == "anna keller vogt"
    assert AuditEntry.objects.get(action="changed").detail["fields"] == ["family_name", "phone"]


def test_it_shows_both_texts_when_somebody_saved_meanwhile(anna, as_mara, as_poll):
    seen = about(anna)
    as_poll.post(url(anna), {**seen, "phone": "111 from poll"})
    response = as_mara.post(url(anna), {**seen, "phone": "222 from mara"})
    text = response.content.decode()
    assert response.status_code == 409
    assert "111 from poll" in text and "222 from mara" in text
    anna.refresh_from_db()
    assert anna.phone == "111 from poll"


def test_it_saves_the_second_text_when_that_is_decided(anna, as_mara, as_poll):
    seen = about(anna)
    as_poll.post(url(anna), {**seen, "phone": "111 from poll"})
    shown = as_mara.post(url(anna), {**seen, "phone": "222 from mara"}).context["page"].form
    assert shown.initial["version"] == 2
    as_mara.post(url(anna), {**seen, "phone": "222 from mara", "version": shown.initial["version"]})
    anna.refresh_from_db()
    assert (anna.phone, anna.version) == ("222 from mara", 3)


def test_it_leaves_no_audit_row_for_a_stale_save(anna, mara):
    names = {"family_name": "K", "given_names": "A"}
    with pytest.raises(Stale):
        change(who=mara, patient=anna, version=7, **names)
    assert not AuditEntry.objects.filter(action="changed").exists()


def test_it_changes_nobody_of_another_practice(anna, ines):
    with pytest.raises(PermissionDenied):
        change(who=ines, patient=anna, version=1, family_name="K", given_names="A")


def test_it_keeps_sex_and_emergency_contact(anna, as_poll):
    called = {"emergency_name": "Urs Keller", "emergency_relation": "brother", "emergency_phone": "000 000 7"}
    as_poll.post(url(anna), about(anna, sex="female", **called))
    anna.refresh_from_db()
    assert (anna.sex, anna.emergency_name, anna.emergency_phone) == ("female", "Urs Keller", "000 000 7")
    assert AuditEntry.objects.get(action="changed").detail["fields"] == [*sorted(called), "sex"]
    text = as_poll.get(f"/patients/{anna.pk}/").content.decode()
    assert "<dd>female</dd>" in text and "Urs Keller, brother, " in text and "000 000 7" in text


def test_it_asks_whose_number_it_is(anna, as_poll):
    response = as_poll.post(url(anna), about(anna, emergency_phone="000 000 7"))
    assert response.status_code == 422
    text = response.content.decode()
    assert "Enter the name of the person to call." in text and 'value="000 000 7"' in text


def test_it_shows_two_different_sexes_in_words(anna, as_mara, as_poll):
    seen = about(anna)
    as_poll.post(url(anna), {**seen, "sex": "female"})
    response = as_mara.post(url(anna), {**seen, "sex": "other"})
    assert response.context["page"].clashes == (("Sex (optional)", "Female", "Other"),)


def test_it_refuses_a_sex_that_is_no_code(anna, as_mara):
    assert as_mara.post(url(anna), about(anna, sex="x")).status_code == 422

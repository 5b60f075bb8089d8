"""What is recorded beside words and signature: areas, guardian, interpreter, chaperone, answers, time."""

from datetime import date

import pytest
from django.utils import timezone

from charting.consent import circumstances, services
from charting.consent.circumstances import Circumstances, Incomplete
from charting.consent.models import Consent
from charting.consent.texts import load
from charting.history.models import StandingFact
from charting.patients.models import Patient
from tests.charting.addresses import signature as form
from tests.charting.recorded import answer_danger_screen


@pytest.fixture(autouse=True)
def _safe(blank):
    answer_danger_screen(blank)


def url(visit, text="dry-needling"):
    return f"/visits/{visit.pk}/consents/{text}/sign/"


def refused(client, visit, words, text="dry-needling", **sent):
    response = client.post(url(visit, text), form(**sent))
    assert response.status_code == 422 and not Consent.objects.exists()
    said = response.content.decode()
    assert words in said
    return said


def test_it_keeps_areas_interpreter_chaperone_and_both_times(blank, as_mara):
    when = "2026-11-25T14:03:07+01:00"
    more = {"interpreter": "Ana Lima, Portuguese", "chaperone": "accepted", "chaperone_name": "Poll Weber"}
    before = timezone.now()
    as_mara.post(url(blank), form(areas=["neck", "shoulder right"], device_time=when, **more))
    row = Consent.objects.get()
    assert (row.procedure, row.areas) == ("needling", ["neck", "shoulder right"])
    assert (row.interpreter, row.chaperone, row.chaperone_name) == tuple(more.values())
    assert row.device_time == when and before < row.signed_at < timezone.now()
    page = as_mara.get(f"/visits/{blank.pk}/consents/").content.decode()
    assert "neck, right shoulder" in page and "Interpreter: Ana Lima, Portuguese" in page
    assert "Chaperone: offered and accepted, Poll Weber" in page
    assert "the device said 25 November 2026, 14:03:07 UTC+01:00" in page


def test_nothing_is_ticked_beforehand(blank, as_mara):
    page = as_mara.get(url(blank)).context["page"]
    assert not page.form["areas"].value() and not page.form["chaperone"].value()
    assert not as_mara.get(url(blank, "buttock")).context["page"].form["allows"].value()


def test_needling_needs_an_area_and_loses_nothing_typed(blank, as_mara):
    said = refused(as_mara, blank, "Tick every area that is agreed to.", questions="Does it hurt? A prick.")
    assert "Does it hurt? A prick." in said and "[[[10, 10], [200, 150]]]" in said


def test_a_sensitive_area_is_not_among_the_areas_of_another_text(blank, as_mara):
    refused(as_mara, blank, "buttock right", areas=["neck", "buttock right"])


def test_a_sensitive_area_needs_side_purpose_and_a_word_about_the_chaperone(blank, as_mara):
    said = refused(as_mara, blank, "Tick the side or sides.", text="buttock")
    assert "Tick what is agreed to." in said and "Offer a chaperone, and record what was said." in said
    told = {"areas": ["buttock left"], "allows": ["manual"], "chaperone": "accepted"}
    refused(as_mara, blank, "Name the person who is present.", text="buttock", **told)
    as_mara.post(url(blank, "buttock"), form(**told, chaperone_name="Poll Weber"))
    row = Consent.objects.get()
    assert (row.procedure, row.areas, row.chaperone_name) == ("manual", ["buttock left"], "Poll Weber")


def test_the_pelvic_floor_has_no_sides(blank, as_mara):
    told = {"allows": ["examination", "manual"], "chaperone": "declined"}
    as_mara.post(url(blank, "pelvic-floor"), form(**told))
    row = Consent.objects.get()
    assert (row.procedure, row.areas, row.chaperone) == ("examination manual", ["pelvic_floor"], "declined")


def test_a_guardian_says_how_they_are_related(blank, as_mara):
    refused(as_mara, blank, "Say how they are related", areas=["neck"], signer="guardian")


def test_a_child_is_signed_for_and_may_still_sign_with_a_warning(blank, as_mara):
    born = date(timezone.localdate().year - 12, 1, 1)
    Patient.objects.filter(pk=blank.patient_id).update(birth_date=born)
    page = as_mara.get(url(blank))
    assert page.context["page"].is_under_age and "a parent or guardian signs" in page.content.decode()
    assert page.context["page"].form["signer"].value() == "guardian"
    answer = as_mara.post(url(blank), form(areas=["neck"]), follow=True).content.decode()
    assert "under age and signed alone" in answer and Consent.objects.count() == 1


def test_what_is_known_of_the_person_is_read_and_signed_too(blank, as_mara, mara):
    said = {"value": "yes", "confirmed_by": mara}
    StandingFact.objects.create(patient=blank.patient, visit=blank, key="anticoagulant", **said)
    page = as_mara.get(url(blank)).content.decode()
    assert "Blood thinner or bleeding disorder: yes" in page and "Allergy: not asked" in page
    as_mara.post(url(blank), form(areas=["neck"]))
    body = Consent.objects.get().body
    assert body.startswith(load()["dry-needling"].body)
    assert "Blood thinner or bleeding disorder: yes" in body.partition(circumstances.ANSWERS)[2]
    assert circumstances.words_alone(body) == load()["dry-needling"].body


def test_answers_that_changed_since_they_were_read_are_read_again(blank, as_mara, mara):
    seen = as_mara.get(url(blank)).context["page"].form["answers_read"].value()
    StandingFact.objects.create(
        patient=blank.patient, visit=blank, key="anticoagulant", value="yes", confirmed_by=mara
    )
    response = as_mara.post(url(blank), form(areas=["neck"], answers_read=seen, questions="Typed."))
    text = response.content.decode()
    assert response.status_code == 409 and "answers on record changed" in text and "Typed." in text
    assert response.context["page"].form["areas"].value() == ["neck"] and not Consent.objects.exists()
    new = response.context["page"].form["answers_read"].value()
    assert as_mara.post(url(blank), form(areas=["neck"], answers_read=new)).status_code == 302


def test_the_rule_stands_in_the_service_too(blank, mara):
    text = load()["breast"]
    said = {"signer": "patient", "signer_name": "Anna Keller", "questions": "", "device_time": ""}
    said |= {"signature": [[[1.0, 2.0], [90.0, 80.0]]], "by_typed_name": False}
    around = Circumstances(allows=("manual",), areas=("breast left",))
    with pytest.raises(Incomplete, match="chaperone"):
        services.sign(who=mara, visit=blank, text=text, version=text.version, around=around, **said)


def test_examining_a_sensitive_area_does_not_wait_for_a_decision(blank, as_mara):
    type(blank).objects.get(pk=blank.pk).danger_answers.filter(question="fever").update(answer="yes")
    told = {"areas": ["groin left"], "chaperone": "declined"}
    assert as_mara.post(url(blank, "groin"), form(**told, allows=["manual"])).status_code == 409
    assert as_mara.post(url(blank, "groin"), form(**told, allows=["examination"])).status_code == 302

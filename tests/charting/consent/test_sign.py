"""Signing a consent: what was read is what is stored, honestly signed, and never changed."""

import dataclasses
import json

import pytest

from charting.audit.models import AuditEntry
from charting.consent import queries, signature
from charting.consent.models import Consent
from charting.consent.signature import NoSignature
from charting.consent.texts import load
from tests.charting.addresses import signature as form

GUARDIAN = {"signer": "guardian", "signer_name": "Eva Keller", "guardian_relation": "mother"}


def url(visit, text="examination"):
    return f"/visits/{visit.pk}/consents/{text}/sign/"


def test_it_stores_the_words_as_they_were_read(blank, as_mara, mara):
    when = "2026-11-25T14:03:07+01:00"
    as_mara.post(url(blank), form(questions="May I keep my shirt on? Yes.", device_time=when))
    row = Consent.objects.get()
    text = load()["examination"]
    assert (row.title, row.body, row.text_version) == (text.title, text.body, 1)
    assert (row.explained_by, row.signer, row.signer_name) == (mara, "patient", "Anna Keller")
    assert (row.questions, row.device_time) == ("May I keep my shirt on? Yes.", when)
    assert row.signature == [[[10, 10], [200, 150]]]
    assert AuditEntry.objects.get(action="took consent").object_id == str(row.pk)


def test_it_shows_it_afterwards_with_the_signature(blank, as_mara):
    as_mara.post(url(blank), form())
    text = as_mara.get(f"/visits/{blank.pk}/consents/").content.decode()
    assert 'd="M10.0 10.0L200.0 150.0"' in text
    assert "signed by hand on the screen" in text and "Explained by Mara Steiner, Physiotherapist" in text


def test_it_says_honestly_when_it_was_signed_by_typed_name(blank, as_mara):
    as_mara.post(url(blank), form(ink="", by_typed_name="on", **GUARDIAN))
    row = Consent.objects.get()
    assert (row.signature, row.is_drawn, row.how_signed) == ([], False, "signed by typed name")
    text = as_mara.get(f"/visits/{blank.pk}/consents/").content.decode()
    assert "Eva Keller (a parent or guardian, mother), signed by typed name" in text
    assert 'class="signature"' not in text


@pytest.mark.parametrize("ink", ["", "[]", "[[]]", "[[[5, 5]]]", "[[[5, 5], [20, 20]]]"])
def test_it_takes_no_empty_box_and_no_slip_of_the_finger(blank, as_mara, ink):
    response = as_mara.post(url(blank), form(ink=ink))
    assert response.status_code == 422
    assert "Sign in the box, or sign by the typed name." in response.content.decode()
    assert not Consent.objects.exists()


@pytest.mark.parametrize(
    "ink",
    ["{", "7", '[[["a", 1]]]', "[[[1, NaN], [2, 3]]]", "[[[1, 2, 3]]]", "[[[true, 2], [90, 90]]]"],
)
def test_it_takes_no_signature_that_is_none(blank, as_mara, ink):
    assert as_mara.post(url(blank), form(ink=ink)).status_code == 422
    assert not Consent.objects.exists()


def test_it_keeps_a_signature_to_its_box_and_to_its_size():
    assert signature.read("[[[-50, 20], [900, 500]]]") == [[[0, 20], [600, 200]]]
    line = [[x % 600, 100] for x in range(signature.MOST_POINTS)]
    assert signature.read(json.dumps([line]))
    with pytest.raises(NoSignature):
        signature.read(json.dumps([[*line, [1, 1]]]))
    with pytest.raises(NoSignature):
        signature.read(json.dumps([[[0, 0], [99, 99]]] * (signature.MOST_STROKES + 1)))


def test_it_draws_a_dot_as_a_line_to_itself():
    assert signature.path([[[1, 2]]]) == "M1.0 2.0L1.0 2.0"


def test_it_makes_one_row_of_a_double_tap(blank, as_mara):
    for _ in range(2):
        assert as_mara.post(url(blank), form()).status_code == 302
    assert Consent.objects.count() == 1


def test_it_stores_a_second_signature_as_a_second_row(blank, as_mara):
    as_mara.post(url(blank), form())
    as_mara.post(url(blank), form(ink="[[[10, 10], [300, 150]]]"))
    assert Consent.objects.count() == 2


def test_it_does_not_store_words_that_were_not_read(blank, as_mara, monkeypatch):
    newer = dataclasses.replace(load()["examination"], version=2)
    monkeypatch.setattr(queries.texts, "load", lambda: {"examination": newer})
    response = as_mara.post(url(blank), form(questions="Typed before."))
    text = response.content.decode()
    assert response.status_code == 409
    assert "newer version" in text and "Typed before." in text
    assert not Consent.objects.exists()


def test_an_old_consent_keeps_its_old_words(blank, as_mara, monkeypatch):
    as_mara.post(url(blank), form())
    old = Consent.objects.get().body
    newer = dataclasses.replace(load()["examination"], version=2, parts=())
    monkeypatch.setattr(queries.texts, "load", lambda: {"examination": newer})
    page = as_mara.get(f"/visits/{blank.pk}/consents/").content.decode()
    assert Consent.objects.get().body == old
    assert "Pressing on a tender muscle" in page


def test_it_needs_a_name(blank, as_mara):
    assert as_mara.post(url(blank), form(signer_name=" ")).status_code == 422
    assert as_mara.post(url(blank), form(signer="neighbour")).status_code == 422


def test_it_brings_back_questions_but_never_a_signature(blank, as_mara):
    draft = {"draft_key": f"consent:examination:{blank.pk}", **form(questions="Half a", by_typed_name="on")}
    as_mara.post("/drafts/keep/", draft)
    page = as_mara.get(url(blank)).context["page"]
    assert page.form["questions"].value() == "Half a"
    assert not page.form["ink"].value() and not page.form["by_typed_name"].value()


def test_it_knows_no_other_text(blank, as_mara):
    assert as_mara.get(url(blank, "something-else")).status_code == 404


def test_it_takes_none_once_the_visit_is_signed(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.get(url(blank)).status_code == 403
    assert as_mara.post(url(blank), form()).status_code == 403
    assert not Consent.objects.exists()

"""A practice words the consent texts itself: each change is a version, and the old ones stay to be read."""

import dataclasses

import pytest
from django.core.exceptions import PermissionDenied
from django.http import Http404

from charting.audit.models import AuditEntry
from charting.consent import texts, wording
from charting.consent.models import Consent, ConsentTextVersion
from charting.consent.queries import text_for, texts_in_use
from charting.consent.texts import Part, load
from charting.consent.wording import wording_of
from charting.consent.wording_forms import WordingForm
from tests.charting.addresses import signature

TEXT = "examination"
URL = f"/consent-texts/{TEXT}/"


def typed(practice, **others):
    """The form of a text as a browser sends it, with some fields typed otherwise."""
    said = {**WordingForm.of(wording_of(practice, TEXT).text), "reason": "Plainer words."}
    return {**said, **others}


def changed(practice, words="Plain words."):
    return typed(practice, words_1=words)


def reword(who, words="Plain words.", based_on=1):
    text = wording_of(who.practice, TEXT).text
    parts = (Part("What is done", words, ("common practice",)),)
    said = {"title": text.title, "for_what": text.for_what, "parts": parts, "reason": "Plainer."}
    return wording.reword(who=who, text_id=TEXT, based_on=based_on, **said)


def test_a_change_is_the_next_version_and_the_old_one_stays(practice, mara, as_mara):
    assert as_mara.post(f"{URL}edit/", changed(practice)).status_code == 302
    first, second = ConsentTextVersion.objects.order_by("number")
    assert (first.number, second.number, second.reason) == (1, 2, "Plainer words.")
    assert texts_in_use(practice)[TEXT].parts[1].words == "Plain words."
    assert wording_of(practice, TEXT).version(1).body == load()[TEXT].body
    assert AuditEntry.objects.get(action="worded consent text").detail == {"text": TEXT, "version": 2}
    page = as_mara.get(f"{URL}versions/1/").content.decode()
    assert "Pressing on a tender muscle" in page and "An earlier version" in page


def test_a_consent_that_was_signed_keeps_its_words(blank, as_mara, mara):
    as_mara.post(f"/visits/{blank.pk}/consents/{TEXT}/sign/", signature())
    reword(mara)
    assert Consent.objects.get().body == load()[TEXT].body
    response = as_mara.post(
        f"/visits/{blank.pk}/consents/{TEXT}/sign/", signature(ink="[[[1, 1], [90, 90]]]")
    )
    assert response.status_code == 409 and "Plain words." in response.content.decode()
    as_mara.post(f"/visits/{blank.pk}/consents/{TEXT}/sign/", signature(version=2))
    assert Consent.objects.order_by("signed_at").last().body == "What is done. Plain words."


def test_it_shows_word_by_word_what_changed(practice, as_mara, mara):
    reword(mara, "A mild risk.")
    reword(mara, "A rare risk.", based_on=2)
    page = as_mara.get(f"{URL}versions/3/")
    pieces = [(each.kind, each.words) for row in page.context["page"].changes for each in row.pieces]
    assert pieces == [("same", "What is done. A"), ("gone", "mild"), ("new", "rare"), ("same", "risk.")]
    assert "<del>" in page.content.decode() and "<ins>" in page.content.decode()


def test_a_rate_without_a_source_is_refused_and_the_part_is_named(practice, as_mara, mara):
    sent = changed(practice, "About 22 in 100 people are sore.")
    response = as_mara.post(f"{URL}edit/", sent)
    text = response.content.decode()
    assert response.status_code == 422 and not ConsentTextVersion.objects.exists()
    assert "The part “What you feel” tells a rate. Name the published source" in text
    assert "About 22 in 100 people are sore." in text
    sources = {"sources_1": "Carnes et al. 2010, Manual Therapy 15:355-63"}
    assert as_mara.post(f"{URL}edit/", {**sent, **sources}).status_code == 302
    parts = (Part("Risk", "Sore in 19.18 %.", ("common practice",)),)
    said = {"title": "T", "for_what": "F", "parts": parts, "reason": "R"}
    with pytest.raises(texts.ConsentTextError, match="“Risk” tells a rate"):
        wording.reword(who=mara, text_id=TEXT, based_on=2, **said)


def test_it_needs_a_reason_and_words_for_every_heading(practice, as_mara):
    response = as_mara.post(f"{URL}edit/", typed(practice, reason="", words_0="", heading_2=""))
    text = response.content.decode()
    assert response.status_code == 422 and "Write why the text is changed." in text
    assert "has no words" in text and "Give this part a heading." in text
    same = as_mara.post(f"{URL}edit/", typed(practice))
    assert same.status_code == 422 and "Nothing was changed" in same.content.decode()


def test_parts_are_added_left_out_and_put_in_another_order(practice, as_mara):
    count = len(load()[TEXT].parts)
    new = {f"heading_{count}": "New", f"words_{count}": "First of all.", f"place_{count}": "0"}
    refused = as_mara.post(f"{URL}edit/", typed(practice, **new))
    assert refused.status_code == 422
    gone = {"heading_0": "", "words_0": "", "place_0": ""}
    as_mara.post(f"{URL}edit/", typed(practice, **{**new, f"place_{count}": "1"}, **gone))
    headings = [part.heading for part in texts_in_use(practice)[TEXT].parts]
    assert headings == ["New", *[part.heading for part in load()[TEXT].parts[1:]]]


def test_a_preview_stores_nothing_and_shows_what_would_change(practice, as_mara):
    response = as_mara.post(f"{URL}edit/", {**changed(practice), "preview": ""})
    text = response.content.decode()
    assert response.status_code == 200 and "Preview: not saved yet" in text
    assert response.context["page"].changes and not ConsentTextVersion.objects.exists()
    assert response.context["page"].form["words_1"].value() == "Plain words."


def test_two_who_save_at_once_both_see_what_differs(practice, as_mara, tom):
    sent = changed(practice, "Mine.")
    reword(tom, "His.")
    response = as_mara.post(f"{URL}edit/", sent)
    assert response.status_code == 409
    page = response.context["page"]
    pieces = [(each.kind, each.words) for row in page.clash for each in row.pieces]
    assert any(kind == "gone" and "His." in words for kind, words in pieces)
    assert page.form["words_1"].value() == "Mine." and page.form["based_on"].value() == 2
    assert as_mara.post(f"{URL}edit/", {**sent, "based_on": 2}).status_code == 302
    assert ConsentTextVersion.objects.order_by("-number").first().number == 3


def test_a_later_release_does_not_overwrite_the_practices_words(practice, mara, as_mara, monkeypatch):
    reword(mara)
    new = dataclasses.replace(
        load()[TEXT], version=2, parts=(Part("New", "Of the release.", ("common practice",)),)
    )
    monkeypatch.setattr(texts, "load", lambda: {TEXT: new})
    assert text_for(practice, TEXT).body == "What is done. Plain words."
    page = as_mara.get(URL).content.decode()
    assert "does not overwrite" in page and "The release words it otherwise now" in page
    assert "Of the release." in as_mara.get(f"{URL}edit/?release").content.decode()
    assert reword(mara, "More.", based_on=2).number == 3


def test_a_text_is_taken_out_of_use_and_brought_back(blank, practice, as_mara, mara):
    sent = {"based_on": 1, "reason": "We do not examine."}
    assert as_mara.post(f"{URL}use/", {**sent, "reason": ""}).status_code == 422
    assert as_mara.post(f"{URL}use/", sent).status_code == 302
    assert TEXT not in texts_in_use(practice)
    with pytest.raises(Http404):
        text_for(practice, TEXT)
    assert as_mara.get(f"/visits/{blank.pk}/consents/{TEXT}/sign/").status_code == 404
    assert "out of use" in as_mara.get("/consent-texts/").content.decode()
    assert as_mara.post(f"{URL}use/", sent).status_code == 409
    assert as_mara.post(f"{URL}use/", {**sent, "based_on": 2}).status_code == 302
    assert text_for(practice, TEXT).version == 3


def test_managers_word_texts_and_the_desk_does_not(practice, as_vera, as_poll, poll):
    assert as_poll.get(f"{URL}edit/").status_code == 403
    assert "Change the words" not in as_poll.get(URL).content.decode()
    with pytest.raises(PermissionDenied):
        reword(poll)
    assert as_vera.post(f"{URL}edit/", changed(practice)).status_code == 302


def test_another_practice_keeps_its_own_words(mara, ines, as_ines):
    reword(mara)
    assert text_for(ines.practice, TEXT).body == load()[TEXT].body
    assert as_ines.get(f"{URL}versions/2/").status_code == 404


def test_what_was_typed_and_not_saved_comes_back(practice, as_mara):
    draft = {"draft_key": f"consent-text:{TEXT}", **changed(practice, "Half a")}
    as_mara.post("/drafts/keep/", draft)
    page = as_mara.get(f"{URL}edit/")
    assert page.context["page"].form["words_1"].value() == "Half a"
    assert "was brought back" in page.content.decode()

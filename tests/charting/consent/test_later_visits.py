"""Confirmed by word of mouth at each later visit; what has changed since is signed anew."""

import pytest

from charting.consent import services, wording
from charting.consent.models import Consent, ConsentConfirmed
from charting.consent.queries import covers
from charting.consent.texts import load
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.agreed import a_consent, an_earlier


@pytest.fixture(autouse=True)
def _safe(blank):
    recorded.answer_danger_screen(blank)


def confirm(client, visit, consent, **sent):
    said = {f"c{consent.pk}-{name}": value for name, value in sent.items()}
    return client.post(f"/visits/{visit.pk}/consents/{consent.pk}/confirm/", said)


def page(client, visit):
    return client.get(f"/visits/{visit.pk}/consents/")


def test_what_was_signed_earlier_is_shown_to_be_confirmed_and_then_covers(blank, as_mara, mara):
    consent = an_earlier(blank, "dry-needling", ["neck"])
    text = page(as_mara, blank).content.decode()
    assert "to be confirmed" in text and "Confirmed today by word of mouth" in text
    assert not covers(blank, procedure="needling", area="neck").ok
    assert confirm(as_mara, blank, consent, questions="Any news? No.").status_code == 302
    row = ConsentConfirmed.objects.get()
    assert (row.confirmed_by, row.visit, row.questions) == (mara, blank, "Any news? No.")
    assert covers(blank, procedure="needling", area="neck").ok
    text = page(as_mara, blank).content.decode()
    assert "confirmed in this visit" in text and "Any news? No." in text


def test_a_second_tap_confirms_once(blank, as_mara):
    consent = an_earlier(blank)
    for _ in range(2):
        assert confirm(as_mara, blank, consent).status_code == 302
    assert ConsentConfirmed.objects.count() == 1


def test_a_sensitive_area_asks_about_the_chaperone_again(blank, as_mara):
    consent = an_earlier(blank, "buttock", ["buttock left"], procedure="manual", chaperone="declined")
    response = confirm(as_mara, blank, consent, questions="Typed.")
    text = response.content.decode()
    assert response.status_code == 422 and "Offer a chaperone" in text and "Typed." in text
    sent = {"chaperone": "accepted", "chaperone_name": "Poll Weber"}
    assert confirm(as_mara, blank, consent, **sent).status_code == 302
    assert ConsentConfirmed.objects.get().chaperone_name == "Poll Weber"


def test_a_text_that_was_changed_needs_a_new_signature_and_says_what_changed(blank, as_mara, mara):
    consent = an_earlier(blank, "dry-needling", ["neck"])
    text = load()["dry-needling"]
    first, *rest = text.parts
    changed = type(first)(first.heading, first.words.replace("thin, sterile", "very thin"), first.sources)
    said = {"title": text.title, "for_what": text.for_what, "reason": "Plainer."}
    wording.reword(who=mara, text_id=text.id, based_on=1, parts=(changed, *rest), **said)
    shown = page(as_mara, blank)
    (earlier,) = shown.context["page"].earlier
    assert earlier.form is None and "needs a new signature" in shown.content.decode()
    pieces = [(piece.kind, piece.words) for each in earlier.changes for piece in each.pieces]
    assert ("gone", "thin, sterile") in pieces and ("new", "very thin") in pieces
    with pytest.raises(services.CannotConfirm, match="changed since"):
        services.confirm(who=mara, visit=blank, consent=consent)
    assert confirm(as_mara, blank, consent).status_code == 409
    assert Consent.objects.get(pk=consent.pk).body == text.body
    again = as_mara.get(f"/visits/{blank.pk}/consents/dry-needling/sign/").content.decode()
    assert "Changed since this person signed it last" in again


def test_a_text_out_of_use_is_not_confirmed(blank, as_mara, mara):
    consent = an_earlier(blank, "dry-needling", ["neck"])
    wording.use(who=mara, text_id="dry-needling", based_on=1, in_use=False, reason="No needles here.")
    assert "text out of use" in page(as_mara, blank).content.decode()
    assert confirm(as_mara, blank, consent).status_code == 409
    wording.use(who=mara, text_id="dry-needling", based_on=2, in_use=True, reason="Needles again.")
    assert confirm(as_mara, blank, consent).status_code == 302


def test_of_two_alike_only_the_later_is_shown_and_others_stay_apart(blank, as_mara):
    an_earlier(blank, "dry-needling", ["neck"])
    wider = an_earlier(blank, "dry-needling", ["neck", "head"])
    other = an_earlier(blank, "dry-needling", ["low_back"])
    earlier = page(as_mara, blank).context["page"].earlier
    assert [each.signed.consent for each in earlier] == [wider, other]


def test_what_is_signed_anew_today_is_not_asked_again(blank, as_mara):
    an_earlier(blank, "dry-needling", ["neck"])
    other = an_earlier(blank, "dry-needling", ["low_back"])
    a_consent(blank, "dry-needling", ["neck", "head"])
    assert [each.signed.consent for each in page(as_mara, blank).context["page"].earlier] == [other]


def test_it_says_which_examined_areas_are_not_covered_and_why(blank, as_mara):
    a_consent(blank, "manual-treatment", ["shoulder right"])
    for side in ("right", "left"):
        recorded.MuscleFinding.objects.create(visit=blank, muscle="infraspinatus", side=side, position=1)
    (reach,) = page(as_mara, blank).context["page"].reach
    assert reach.procedure == "treatment by hand"
    assert "right shoulder" in reach.covered
    assert "does not name the left shoulder" in dict(reach.left)["left shoulder"]


def test_what_is_signed_today_has_nothing_to_confirm(blank, mara):
    with pytest.raises(services.CannotConfirm, match="signed in this visit"):
        services.confirm(who=mara, visit=blank, consent=a_consent(blank))


def test_a_signed_visit_takes_no_confirmation(blank, as_mara, mara):
    consent = an_earlier(blank)
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    blank.refresh_from_db()
    with pytest.raises(VisitSigned):
        services.confirm(who=mara, visit=blank, consent=consent)
    text = page(as_mara, blank).content.decode()
    assert "Confirmed today" not in text


def test_a_confirmation_waits_with_treatment_for_a_decision(blank, as_mara):
    consent = an_earlier(blank, "dry-needling", ["neck"])
    blank.danger_answers.filter(question="fever").update(answer="yes")
    response = confirm(as_mara, blank, consent, questions="Typed.")
    assert response.status_code == 409 and "Typed." in response.content.decode()
    assert not ConsentConfirmed.objects.exists()


def test_a_consent_of_another_person_is_not_found(blank, as_mara, practice, mara):
    other = type(blank).objects.create(patient=recorded.patient(practice, number=88), clinician=mara)
    assert confirm(as_mara, blank, an_earlier(other)).status_code == 404

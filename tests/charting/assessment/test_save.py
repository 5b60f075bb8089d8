"""Saving: rights, two people at once, a signed visit, what is left on record."""

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.assessment import pages, services
from charting.assessment.models import Conclusion
from charting.assessment.writing import Asked, apply
from charting.assessment.written import Written
from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.versioning import Stale
from charting.visits.services import VisitSigned

OWN = apply(Written(), Asked(own="Mine."), {})


@pytest.fixture
def visit(blank):
    """Nothing drawn, so nothing ranked: these tests are about the saving alone."""
    return blank


@pytest.fixture
def conclude(visit, mara):
    def conclude(who=mara, version=0, said=OWN, stroke=""):
        areas = pages.read_visit(visit).found.areas
        return services.conclude(
            who=who, visit=visit, areas=areas, stroke=stroke, where="", version=version, said=said
        )

    return conclude


def test_it_is_only_for_who_treats(conclude, vera, poll):
    for who in (vera, poll):
        with pytest.raises(PermissionDenied):
            conclude(who=who)


def test_it_leaves_a_trace_without_a_word_of_the_patient(conclude, mara, visit):
    row = conclude()
    entry = AuditEntry.objects.get(action="concluded")
    assert (entry.actor_id, entry.object_id) == (mara.pk, str(row.pk))
    assert entry.detail == {"visit": str(visit.pk), "sources": 0, "sentences": 1}


def test_a_signed_visit_takes_no_further_word_and_shows_what_was_written(conclude, visit, as_mara):
    conclude()
    visit.signed_at = timezone.now()
    visit.save()
    with pytest.raises(VisitSigned):
        conclude(version=1)
    shown = as_mara.get(f"/visits/{visit.pk}/assessment/").content.decode()
    assert "Mine." in shown
    assert "<textarea" not in shown


def test_the_first_of_two_who_begin_is_not_overwritten(conclude, tom):
    conclude()
    with pytest.raises(Stale):
        conclude(who=tom, said=apply(Written(), Asked(own="His."), {}))
    assert Conclusion.objects.get().sentences[0]["text"] == "Mine."


def test_it_shows_both_when_somebody_saved_meanwhile(conclude, send, page, visit, tom, as_mara):
    conclude()
    card = next(card for card in page().cards if card.is_whole)
    theirs = apply(OWN, Asked(texts={"own:1": "Changed by Tom."}), {})
    conclude(who=tom, version=1, said=theirs)
    sent = {"stroke": "", "version": card.version, "t-own:1": "Changed by Mara."}
    response = as_mara.post(f"/visits/{visit.pk}/assessment/", sent)
    shown = response.content.decode()
    assert response.status_code == 409
    assert "Somebody else saved this meanwhile" in shown
    assert "Changed by Tom." in shown
    assert "Changed by Mara.</textarea>" in shown
    assert Conclusion.objects.get().sentences[0]["text"] == "Changed by Tom."


def test_it_refuses_a_certainty_that_there_is_not(conclude):
    by = ("muscle", "soleus", "left")
    with pytest.raises(ValueError, match="no certainty"):
        conclude(said=apply(Written(), Asked(certainty={by: "90 %"}, names={by: "Soleus"}), {}))


def test_words_that_come_after_the_signature_are_kept_and_shown(visit, as_mara, page):
    card = page().cards[0]
    visit.signed_at = timezone.now()
    visit.save()
    sent = {"stroke": card.place.first, "where": card.place.where, "version": 0, "own": "Too late."}
    shown = as_mara.post(f"/visits/{visit.pk}/assessment/", sent, follow=True).content.decode()
    assert "signed meanwhile" in shown
    assert "Too late." in shown
    assert Conclusion.objects.count() == 0


def test_a_draft_about_an_area_that_is_gone_is_shown(visit, mara, as_mara):
    typed = {"own": ["Half a sent"], "where": ["Area 4, left knee"]}
    Draft.objects.create(user=mara, key=services.draft_key(visit, "gone"), data=typed)
    shown = as_mara.get(f"/visits/{visit.pk}/assessment/").content.decode()
    assert "Typed and not saved: Area 4, left knee" in shown
    assert "Half a sent" in shown


def test_a_second_tap_on_save_adds_nothing_and_is_no_clash(visit, as_mara, page):
    card = next(card for card in page().cards if card.is_whole)
    sent = {"stroke": "", "version": card.version, "own": "Once."}
    for _ in range(2):
        assert as_mara.post(f"/visits/{visit.pk}/assessment/", sent).status_code == 302
    assert [each["text"] for each in Conclusion.objects.get().sentences] == ["Once."]

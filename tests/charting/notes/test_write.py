"""Assessment and plan: saved, never silently overwritten, kept as a draft while half typed."""

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.drafts.services import keep
from charting.notes import queries, services
from charting.staff.models import User
from charting.versioning import Stale
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.people import signed_in
from tests.charting.recorded import PASSWORD


def url(visit, name="note"):
    return reverse(name, args=[visit.pk])


def post(client, visit, **fields):
    typed = {"assessment": "Tender.", "plan": "Stretching.", "version": 1}
    return client.post(url(visit), {**typed, **fields})


def test_it_saves_the_words_and_leaves_a_trace(as_mara, visit):
    assert post(as_mara, visit).status_code == 302
    assert queries.text_of(visit).assessment == "Tender."
    assert AuditEntry.objects.filter(action="wrote note", object_id=str(visit.pk)).count() == 1


def test_it_shows_both_texts_when_somebody_saved_meanwhile(as_mara, visit, tom):
    services.save_text(who=tom, visit=visit, version=1, assessment="Tom's words.", plan="")
    answer = post(as_mara, visit, assessment="Mara's words.")
    assert answer.status_code == 409
    assert "Tom&#x27;s words." in answer.content.decode()
    assert "Mara&#x27;s words." in answer.content.decode()
    assert queries.text_of(visit).assessment == "Tom's words."


def test_it_saves_over_the_other_text_only_when_asked_again(as_mara, visit, tom):
    services.save_text(who=tom, visit=visit, version=1, assessment="Tom's words.", plan="")
    again = post(as_mara, visit, assessment="Mara's words.").context["form"]["version"].value()
    assert post(as_mara, visit, assessment="Mara's words.", version=again).status_code == 302
    assert queries.text_of(visit).assessment == "Mara's words."


def test_it_refuses_a_first_text_that_claims_to_change_another(visit, mara):
    visit.note_text.delete()
    with pytest.raises(Stale):
        services.save_text(who=mara, visit=visit, version=3, assessment="x", plan="")


def test_it_brings_back_what_was_half_typed(as_mara, visit, mara):
    keep(
        who=mara, key=f"note:{visit.pk}", data={"assessment": ["Half a sen"], "plan": [""], "version": ["1"]}
    )
    assert "Half a sen" in as_mara.get(url(visit)).content.decode()


def test_it_keeps_the_version_of_a_draft(as_mara, visit, mara, tom):
    """Otherwise a draft from before tom's save would overwrite it without a word."""
    keep(who=mara, key=f"note:{visit.pk}", data={"assessment": ["Mine"], "plan": [""], "version": ["1"]})
    services.save_text(who=tom, visit=visit, version=1, assessment="Tom's words.", plan="")
    version = as_mara.get(url(visit)).context["form"]["version"].value()
    assert post(as_mara, visit, version=version).status_code == 409


def test_it_forgets_the_draft_once_it_is_saved(as_mara, visit, mara):
    keep(who=mara, key=f"note:{visit.pk}", data={"assessment": ["Half"]})
    post(as_mara, visit)
    assert not Draft.objects.exists()


def test_it_takes_8000_characters_and_not_one_more(as_mara, visit):
    assert post(as_mara, visit, assessment="x" * 8000).status_code == 302
    refused = post(as_mara, visit, assessment="x" * 8001, version=2)
    assert refused.status_code == 422
    assert len(queries.text_of(visit).assessment) == 8000


def test_it_lets_a_manager_read_and_not_write(visit, practice):
    owner = recorded.member(practice, "rosa", role=User.Role.OWNER)
    assert "<textarea" not in signed_in(owner).get(url(visit)).content.decode()
    with pytest.raises(PermissionDenied):
        services.save_text(who=owner, visit=visit, version=1, assessment="x", plan="")


@pytest.mark.parametrize("name", ["note", "note-sign", "note-pdf"])
def test_it_is_closed_to_another_practice_and_to_the_desk(visit, ines, poll, name):
    assert signed_in(ines).get(url(visit, name)).status_code == 404
    assert signed_in(poll).get(url(visit, name)).status_code == 404


def test_it_refuses_words_once_the_visit_is_signed(as_mara, note, visit, mara):
    with pytest.raises(VisitSigned):
        services.save_text(who=mara, visit=visit, version=1, assessment="later", plan="")


def test_words_that_come_too_late_are_offered_as_an_addendum(as_mara, note, visit):
    answer = as_mara.post(url(visit), {"version": 1, "assessment": "Mine.", "plan": "Later."}, follow=True)
    assert "was signed meanwhile" in answer.content.decode()
    assert answer.context["form"]["text"].value() == "Mine.\n\nLater."
    added = {"kind": "addendum", "text": "Mine.\n\nLater.", "password": PASSWORD}
    as_mara.post(reverse("note-addendum", args=[visit.pk]), added)
    assert note.addenda.get().text == "Mine.\n\nLater."
    assert as_mara.get(url(visit)).context["form"]["text"].value() is None

"""Signing: once, by the person who is signed in, with nothing missing."""

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.consent.models import Consent
from charting.history.models import DangerAnswer
from charting.notes import queries, services
from charting.notes.models import NoteText, SignedNote, SignedPaper
from charting.notes.password import WRONG_PASSWORD
from charting.notes.services import AlreadySigned, NotSigned
from charting.report import pdf
from charting.staff.models import User
from charting.staff.tries import WRONG_TRIES
from charting.versioning import Stale
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.people import signed_in
from tests.charting.recorded import PASSWORD, as_read


@pytest.fixture
def sign(visit, mara, quick_paper):
    def act(who=mara, password=PASSWORD, read=""):
        found = Visit.objects.get(pk=visit.pk)
        return services.sign(who=who, visit=found, password=password, read=read or as_read(found))

    return act


def test_it_stores_who_signed_as_what_and_when(sign, visit):
    note = sign()
    assert (note.signer_name, note.signer_title, note.meaning) == (
        "Mara Steiner",
        "Physiotherapist",
        "author",
    )
    assert note.time_zone == "Europe/Zurich"
    assert Visit.objects.get(pk=visit.pk).signed_at == note.signed_at
    assert AuditEntry.objects.filter(action="signed", object_id=str(visit.pk)).count() == 1
    assert sorted(note.papers.values_list("paper", flat=True)) == ["a4", "letter"]


def test_it_hashes_the_content_together_with_the_signature(sign):
    note = sign()
    assert note.content["signature"]["name"] == "Mara Steiner"
    assert note.content["signature"]["at"] == note.signed_at.isoformat()


def test_it_refuses_a_wrong_password_and_remembers_the_try(sign):
    with pytest.raises(NotSigned, match="not your password"):
        sign(password="not mine")
    assert not SignedNote.objects.exists()
    assert AuditEntry.objects.filter(action=WRONG_PASSWORD).count() == 1


def test_it_stops_guessing_after_five_wrong_passwords(sign, tom):
    for _ in range(WRONG_TRIES):
        with pytest.raises(NotSigned, match="not your password"):
            sign(password="guess")
    with pytest.raises(NotSigned, match="Too many"):
        sign()
    assert sign(who=tom).signed_by == tom


def test_it_refuses_an_incomplete_danger_screen(sign, visit):
    DangerAnswer.objects.filter(visit=visit).last().delete()
    with pytest.raises(NotSigned, match="danger screen is not complete"):
        sign()


def test_it_refuses_an_empty_assessment(sign, visit):
    NoteText.objects.filter(visit=visit).update(assessment="  \n")
    with pytest.raises(NotSigned, match="assessment is empty"):
        sign()


def test_it_only_warns_of_a_missing_consent(sign, anna, mara, quick_paper):
    bare = Visit.objects.create(patient=anna, clinician=mara)
    recorded.answer_danger_screen(bare)
    NoteText.objects.create(visit=bare, assessment="Seen.")
    assert any("consent" in warning for warning in queries.gaps_in(queries.recorded_in(bare)).warnings)
    assert not Consent.objects.filter(visit=bare).exists()
    assert services.sign(who=mara, visit=bare, password=PASSWORD, read=as_read(bare)).pk


def test_it_warns_of_an_alarm_that_asks_for_action(visit):
    DangerAnswer.objects.filter(visit=visit, question="chest").update(answer="yes")
    warnings = queries.gaps_in(queries.recorded_in(visit)).warnings
    assert "The danger screen asks for action: heart." in warnings


def change_words(visit):
    NoteText.objects.filter(visit=visit).update(assessment="Changed.")


def change_an_answer(visit):
    DangerAnswer.objects.filter(visit=visit, question="chest").update(answer="yes")


def change_the_drawing(visit):
    recorded.draw(visit, recorded.CALF_BURNING)


@pytest.mark.parametrize("change", [change_words, change_an_answer, change_the_drawing, recorded.consent])
def test_it_refuses_what_the_signer_has_not_read(sign, visit, change):
    read = as_read(visit)
    change(visit)
    with pytest.raises(Stale):
        sign(read=read)
    assert not SignedNote.objects.exists()


def test_it_shows_what_was_changed_before_it_lets_sign(as_mara, visit, quick_paper):
    url = reverse("note-sign", args=[visit.pk])
    read = as_mara.get(url).context["form"]["read"].value()
    change_an_answer(visit)
    answer = as_mara.post(url, {"password": PASSWORD, "read": read}, follow=True)
    assert answer.redirect_chain == [(url, 302)]
    assert "was changed meanwhile" in answer.content.decode()
    again = answer.context["form"]["read"].value()
    assert as_mara.post(url, {"password": PASSWORD, "read": again}).status_code == 302
    assert SignedNote.objects.get().content["danger"]["alarms"]


@pytest.mark.parametrize("role", [User.Role.OWNER, User.Role.DESK])
def test_it_refuses_a_role_without_the_right(sign, practice, role):
    with pytest.raises(PermissionDenied):
        sign(who=recorded.member(practice, "rosa", role=role))


def test_it_tells_the_second_signer_who_was_first(sign, tom):
    sign()
    with pytest.raises(AlreadySigned, match="by Mara Steiner"):
        sign(who=tom)
    assert SignedNote.objects.count() == 1


def test_it_refuses_when_something_came_in_between(sign, visit, monkeypatch):
    """A stroke that arrives while the papers are made must not be missing from a signed visit."""

    def slow(content, **how):
        recorded.draw(visit, recorded.CALF_BURNING)
        return b"%PDF"

    monkeypatch.setattr(pdf, "render", slow)
    with pytest.raises(Stale):
        sign()
    assert not SignedNote.objects.exists()
    assert Visit.objects.get(pk=visit.pk).signed_at is None


def test_it_leaves_nothing_behind_when_storing_fails(sign, visit, monkeypatch):
    monkeypatch.setattr(services, "record", lambda **said: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        sign()
    assert not SignedNote.objects.exists()
    assert not SignedPaper.objects.exists()
    assert Visit.objects.get(pk=visit.pk).signed_at is None


def test_it_signs_through_the_page(as_mara, visit, quick_paper):
    url = reverse("note-sign", args=[visit.pk])
    read = as_mara.get(url).context["form"]["read"].value()
    assert as_mara.post(url, {"password": "wrong", "read": read}).status_code == 422
    assert as_mara.post(url, {"password": PASSWORD, "read": read}).status_code == 302
    page = as_mara.get(reverse("note", args=[visit.pk])).content.decode()
    assert "Signed by Mara Steiner" in page
    assert as_mara.get(url).status_code == 302


def test_a_second_tap_of_the_signer_is_no_reason_to_warn(as_mara, visit, tom, quick_paper):
    url = reverse("note-sign", args=[visit.pk])
    sent = {"password": PASSWORD, "read": as_read(visit)}
    for client, warned in ((as_mara, False), (as_mara, False), (signed_in(tom), True)):
        page = client.post(url, sent, follow=True).content.decode()
        assert ("signed already by Mara Steiner" in page) == warned


def test_it_never_shows_the_password_again(as_mara, visit):
    answer = as_mara.post(reverse("note-sign", args=[visit.pk]), {"password": "guess-4711", "read": "x"})
    assert "guess-4711" not in answer.content.decode()

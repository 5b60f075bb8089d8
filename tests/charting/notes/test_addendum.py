"""What comes after signing is added, never changed."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.notes.later_services import Entry, write_later
from charting.notes.models import Addendum, SignedNote
from charting.notes.services import NotSigned
from charting.report import pdf
from charting.staff.models import User
from tests.charting import recorded
from tests.charting.recorded import PASSWORD


@pytest.fixture
def add(note, mara):
    def act(text="Better now.", who=mara, password=PASSWORD):
        return write_later(who=who, note=note, entry=Entry("addendum", text), password=password)

    return act


def test_it_numbers_addenda_and_names_their_authors(add, note, tom):
    add()
    add("Seen again.", who=tom)
    told = list(note.addenda.values_list("number", "author_name", "text"))
    assert told == [(1, "Mara Steiner", "Better now."), (2, "Tom Berg", "Seen again.")]
    assert AuditEntry.objects.filter(action="added addendum").count() == 2


def test_it_stores_new_papers_and_leaves_the_old_ones_alone(add, note):
    before = {(each.paper, each.sha256) for each in note.papers.all()}
    content = SignedNote.objects.get(pk=note.pk).content_sha256
    add()
    assert {(each.paper, each.sha256) for each in note.papers.filter(addenda=0)} == before
    assert sorted(note.papers.filter(addenda=1).values_list("paper", flat=True)) == ["a4", "letter"]
    assert SignedNote.objects.get(pk=note.pk).content_sha256 == content


def test_it_adds_the_words_of_a_second_tap_once(add, note, tom):
    assert add() == add()
    assert add(who=tom).number == 2
    assert note.addenda.count() == 2


def test_it_adds_the_words_of_two_taps_at_once_once(add, note, monkeypatch):
    def meanwhile(content, **how):
        monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
        add()
        return b"%PDF"

    monkeypatch.setattr(pdf, "render", meanwhile)
    assert add() == note.addenda.get()


def test_it_prints_the_earlier_addenda_too(add, monkeypatch):
    printed = []
    monkeypatch.setattr(pdf, "render", lambda content, **how: printed.append(how["addenda"]) or b"%PDF")
    add()
    add("Seen again.")
    assert [each.number for each in printed[-1]] == [1, 2]
    assert printed[-1][0].when.endswith("Europe/Zurich)")


def test_it_cannot_be_changed_or_deleted(add):
    add()
    for act in (lambda rows: rows.update(text="other"), lambda rows: rows.delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            act(Addendum.objects.all())


def test_it_asks_for_the_password(add):
    with pytest.raises(NotSigned, match="not your password"):
        add(password="wrong")
    assert not Addendum.objects.exists()


def test_it_refuses_a_role_without_the_right(add, practice):
    with pytest.raises(PermissionDenied):
        add(who=recorded.member(practice, "rosa", role=User.Role.OWNER))


def test_it_tells_the_slower_of_two_to_read_first(add, note, tom, monkeypatch):
    """Both read a note without addenda; the number can be given once."""

    def meanwhile(content, **how):
        monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
        add("Tom was faster.", who=tom)
        return b"%PDF"

    monkeypatch.setattr(pdf, "render", meanwhile)
    with pytest.raises(NotSigned, match="Somebody else added"):
        add()
    assert [each.text for each in note.addenda.all()] == ["Tom was faster."]


def test_it_is_added_through_the_page(as_mara, note):
    url = reverse("note-addendum", args=[note.visit_id])
    sent = {"kind": "addendum", "text": "Typed <b>so</b>", "password": "wrong"}
    refused = as_mara.post(url, sent)
    assert refused.status_code == 422
    assert "Typed &lt;b&gt;so&lt;/b&gt;" in refused.content.decode()
    assert as_mara.post(url, {**sent, "text": "Better now.", "password": PASSWORD}).status_code == 302
    assert "Better now." in as_mara.get(reverse("note", args=[note.visit_id])).content.decode()


def test_nothing_is_added_until_somebody_chose_which_of_the_four_it_is(as_mara, note):
    url = reverse("note-addendum", args=[note.visit_id])
    refused = as_mara.post(url, {"text": "Better now.", "password": PASSWORD})
    assert refused.status_code == 422 and "Choose which of the four it is." in refused.content.decode()
    named = {"kind": "addendum", "wrong": "Tender.", "text": "Better now.", "password": PASSWORD}
    assert "Only a correction names wrong words." in as_mara.post(url, named).content.decode()
    amendment = {"kind": "amendment", "text": "So.", "password": PASSWORD}
    assert "An amendment begins with a request." in as_mara.post(url, amendment).content.decode()
    assert not note.addenda.exists()


def test_it_has_nothing_to_add_to_before_the_note_is_signed(as_mara, visit):
    answer = as_mara.post(reverse("note-addendum", args=[visit.pk]), {"text": "x", "password": PASSWORD})
    assert answer.status_code == 404

"""A trainee's note waits until somebody who answers for it has read and co-signed it.

What a signature shows (name, time, meaning) and that it cannot be moved to another record: 21 CFR 11.50 and
11.70, checked; used here as a good model, for they do not bind an ordinary practice. Co-signature itself:
common practice.
"""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.notes import queries, services
from charting.notes.cosign_services import AlreadyCosigned, Changed, cosign, mark_trainee
from charting.notes.later_services import Entry, write_later
from charting.notes.models import CoSignature, SignedNote
from charting.notes.password import NotSigned
from charting.report import pdf
from charting.report.content import fingerprint
from charting.staff.models import User
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.notes.kept import QUOTED, kept_note
from tests.charting.people import signed_in
from tests.charting.recorded import PASSWORD, as_read
from tests.charting.report import printed


@pytest.fixture
def lea(practice) -> User:
    names = {"first_name": "Lea", "last_name": "Brun", "title": "Physiotherapist"}
    return recorded.member(practice, "lea", is_trainee=True, **names)


@pytest.fixture
def waiting(blank, lea, quick_paper) -> SignedNote:
    """A note that a trainee signed."""
    return kept_note(blank, lea, needs_cosign=True)


def act(note, who, **others):
    said = {"read": note.content_sha256, "entries": 0, "words": "", "password": PASSWORD, **others}
    return cosign(who=who, note=SignedNote.objects.get(pk=note.pk), **said)


def test_a_note_of_a_trainee_waits_and_says_so_under_the_signature(visit, lea, mara, quick_paper):
    waiting = services.sign(who=lea, visit=visit, password=PASSWORD, read=as_read(visit))
    assert waiting.needs_cosign
    assert waiting.content["signature"]["meaning"] == "author (trainee)"
    page = signed_in(mara).get(reverse("note", args=[waiting.visit_id])).content.decode()
    assert "Waits for co-signature." in page and "Read and co-sign" in page


def test_a_note_of_anybody_else_waits_for_nobody(blank, mara, tom, quick_paper):
    note = kept_note(blank, mara)
    assert not note.needs_cosign
    with pytest.raises(NotSigned, match="needs no co-signature"):
        act(note, tom)
    assert signed_in(tom).get(reverse("note-cosign", args=[note.visit_id])).status_code == 404


def test_the_co_signer_signs_what_was_signed_byte_for_byte(waiting, mara):
    before = SignedNote.objects.filter(pk=waiting.pk).values().get()
    papers = list(waiting.papers.order_by("pk").values())
    row = act(waiting, mara, words="Read with her.")
    assert row.content_sha256 == waiting.content_sha256 == fingerprint(waiting.content)
    assert SignedNote.objects.filter(pk=waiting.pk).values().get() == before
    assert list(waiting.papers.filter(cosigned=False).order_by("pk").values()) == papers
    assert sorted(waiting.papers.filter(cosigned=True).values_list("addenda", "paper")) == [
        (0, "a4"),
        (0, "letter"),
    ]
    done = AuditEntry.objects.get(action="co-signed")
    assert (done.actor_id, done.detail["sha256"]) == (mara.pk, waiting.content_sha256)


def test_its_paper_waits_on_every_page_and_then_names_both(visit, lea, mara):
    """Real papers: what is printed."""
    note = services.sign(who=lea, visit=visit, password=PASSWORD, read=as_read(visit))
    before = bytes(queries.paper_of(note, paper="a4").pdf)
    assert all("Waits for co-signature" in page for page in printed.pages(before))
    act(note, mara, words="Read with her.")
    after = printed.pages(bytes(queries.paper_of(note, paper="a4").pdf))
    assert not any("Waits for co-signature" in page for page in after)
    last = after[-1]
    assert "Lea Brun, Physiotherapist" in last and "Meaning of the signature: author (trainee)." in last
    assert "Mara Steiner, Physiotherapist, registration PT 4711" in last
    assert "Meaning of the signature: co-signer" in last and "Read with her." in last
    assert last.count("Europe/Zurich)") >= 2
    assert bytes(queries.paper_of(note, paper="a4", addenda=0, cosigned=False).pdf) == before


def test_nobody_co_signs_the_own_note(waiting, lea):
    """Also not once she is no trainee any more."""
    with pytest.raises(PermissionDenied):
        act(waiting, lea)
    lea.is_trainee = False
    lea.save()
    with pytest.raises(PermissionDenied, match="own note"):
        act(waiting, lea)
    assert not CoSignature.objects.exists()


def test_no_other_trainee_and_no_manager_co_signs(waiting, practice, vera):
    for who in (recorded.member(practice, "nina", is_trainee=True), vera):
        with pytest.raises(PermissionDenied):
            act(waiting, who)


def test_it_asks_for_the_password(waiting, mara):
    with pytest.raises(NotSigned, match="not your password"):
        act(waiting, mara, password="wrong")


def test_one_changed_byte_of_the_content_breaks_it(waiting, mara):
    """As somebody with the rights of the machine could do it, past the triggers."""
    content = {**waiting.content, "plan": waiting.content["plan"] + "!"}
    changed = SignedNote.objects.get(pk=waiting.pk)
    changed.content = content
    said = {"read": waiting.content_sha256, "entries": 0, "words": "", "password": PASSWORD}
    with pytest.raises(NotSigned, match="does not match its fingerprint"):
        cosign(who=mara, note=changed, **said)
    assert not CoSignature.objects.exists()


def test_another_fingerprint_than_the_one_that_was_read_is_refused(waiting, mara):
    with pytest.raises(NotSigned, match="does not match"):
        act(waiting, mara, read="0" * 64)


def test_what_was_written_into_it_meanwhile_is_read_first(waiting, mara, lea):
    write_later(who=lea, note=waiting, entry=Entry("late", "Left out."), password=PASSWORD)
    with pytest.raises(Changed, match="Read it again"):
        act(waiting, mara)
    act(waiting, mara, entries=1)
    assert set(waiting.papers.filter(cosigned=True).values_list("addenda", flat=True)) == {1}


def test_an_entry_while_somebody_co_signs_stops_the_co_signature(waiting, mara, lea, monkeypatch):
    """Between the last look and the signature."""

    def meanwhile(content, **how):
        monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
        write_later(who=lea, note=waiting, entry=Entry("late", "Left out."), password=PASSWORD)
        return b"%PDF"

    monkeypatch.setattr(pdf, "render", meanwhile)
    with pytest.raises(Changed):
        act(waiting, mara)
    assert not CoSignature.objects.exists()


def test_a_co_signature_while_somebody_writes_stops_the_entry(waiting, mara, lea, monkeypatch):
    """Its papers would say that the note waits."""

    def meanwhile(content, **how):
        monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
        act(waiting, mara)
        return b"%PDF"

    monkeypatch.setattr(pdf, "render", meanwhile)
    with pytest.raises(NotSigned, match="co-signed just now"):
        write_later(who=lea, note=waiting, entry=Entry("late", "Left out."), password=PASSWORD)
    assert not waiting.addenda.exists()


def test_what_is_added_after_the_co_signature_is_printed_with_it(waiting, mara):
    act(waiting, mara)
    write_later(who=mara, note=waiting, entry=Entry("addendum", "The scan came."), password=PASSWORD)
    newest = queries.paper_of(waiting, paper="a4")
    assert (newest.addenda, newest.cosigned) == (1, True)


def test_it_can_not_be_changed_or_deleted(waiting, mara):
    act(waiting, mara)
    for write in (lambda rows: rows.update(words="other"), lambda rows: rows.delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            write(CoSignature.objects.all())


def test_through_the_page_it_shows_the_note_and_keeps_a_remark(waiting, mara):
    client, url = signed_in(mara), reverse("note-cosign", args=[waiting.visit_id])
    page = client.get(url).content.decode()
    assert waiting.content_sha256 in page and QUOTED in page
    sent = {"read": waiting.content_sha256, "entries": 0, "words": "Typed <b>so</b>", "password": "wrong"}
    refused = client.post(url, sent)
    assert refused.status_code == 422 and "Typed &lt;b&gt;so&lt;/b&gt;" in refused.content.decode()
    write_later(who=mara, note=waiting, entry=Entry("late", "Left out."), password=PASSWORD)
    assert client.post(url, {**sent, "password": PASSWORD}).url == url
    again = client.get(url).content.decode()
    assert "Typed &lt;b&gt;so&lt;/b&gt;" in again and "Left out." in again
    assert client.post(url, {**sent, "entries": 1, "password": PASSWORD}).status_code == 302
    assert CoSignature.objects.get().words == "Typed <b>so</b>"


def test_the_day_page_lists_it_for_who_may_and_for_who_waits(waiting, mara, lea, ines):
    for who, way in ((mara, "note-cosign"), (lea, "note")):
        page = signed_in(who).get("/").content.decode()
        assert f'href="{reverse(way, args=[waiting.visit_id])}"' in page and "waits for co-signature" in page
    assert "waits for co-signature" not in signed_in(ines).get("/").content.decode()
    act(waiting, mara)
    assert "waits for co-signature" not in signed_in(mara).get("/").content.decode()


def test_a_manager_says_who_is_a_trainee(vera, tom, mara, ines):
    client = signed_in(vera)
    client.post("/trainees/", {"user": tom.pk, "is_trainee": "on"})
    tom.refresh_from_db()
    assert tom.is_trainee and AuditEntry.objects.filter(action="marked trainee", object_id=tom.pk).exists()
    client.post("/trainees/", {"user": tom.pk})
    tom.refresh_from_db()
    assert not tom.is_trainee
    for who, whom in ((mara, tom), (vera, ines), (vera, vera)):
        with pytest.raises(PermissionDenied):
            mark_trainee(who=who, user=whom, is_trainee=True)


@pytest.mark.django_db(transaction=True)
def test_it_lets_exactly_one_of_many_co_sign(monkeypatch):
    monkeypatch.setattr(pdf, "render", lambda content, **how: b"%PDF")
    here = recorded.practice()
    lea = recorded.member(here, "lea", is_trainee=True)
    visit = Visit.objects.create(patient=recorded.patient(here), clinician=lea)
    note = kept_note(visit, lea, needs_cosign=True)
    people = [recorded.member(here, f"signer{number}") for number in range(4)]

    def one(who):
        try:
            act(note, who)
            return "co-signed"
        except AlreadyCosigned as problem:
            return str(problem)
        finally:
            connection.close()

    with ThreadPoolExecutor(len(people)) as pool:
        told = list(pool.map(one, people))
    assert told.count("co-signed") == 1
    assert sum("co-signed already by" in each for each in told) == len(people) - 1
    assert note.papers.filter(cosigned=True).count() == 2
    assert AuditEntry.objects.filter(action="co-signed").count() == 1

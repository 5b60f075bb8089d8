"""The note as PDF: a draft made now, or exactly the bytes that were stored at signing."""

import hashlib

import pytest
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.notes import services
from charting.notes.later_services import Entry, write_later
from charting.notes.models import SignedPaper
from tests.charting.recorded import PASSWORD, as_read
from tests.charting.report import printed


@pytest.fixture
def paper(as_mara, visit):
    return lambda query="": as_mara.get(reverse("note-pdf", args=[visit.pk]) + query)


@pytest.fixture
def signed(visit, mara):
    """Signed for good, with real papers."""
    return services.sign(who=mara, visit=visit, password=PASSWORD, read=as_read(visit))


def test_it_prints_a_draft_with_the_words_as_saved(paper, visit):
    answer = paper()
    assert answer["Content-Type"] == "application/pdf"
    pages = printed.pages(answer.content)
    assert all("Draft - not signed" in page for page in pages)
    assert "Infraspinatus tender." in " ".join(pages)
    assert AuditEntry.objects.filter(action="printed draft", object_id=str(visit.pk)).count() == 1


def test_it_returns_the_stored_bytes_from_then_on(paper, signed, visit):
    for size in ("a4", "letter"):
        answer = paper(f"?paper={size}")
        stored = SignedPaper.objects.get(note=signed, paper=size)
        assert answer.content == bytes(stored.pdf)
        assert hashlib.sha256(answer.content).hexdigest() == stored.sha256
    assert AuditEntry.objects.filter(action="printed", object_id=str(visit.pk)).count() == 2


def test_it_prints_the_signature_and_its_hash(paper, signed):
    last = printed.pages(paper().content)[-1]
    assert "Mara Steiner, Physiotherapist, registration PT 4711" in last
    assert f"Note SHA-256 {signed.content_sha256}" in last


def test_it_gives_the_newest_paper_and_the_original_on_request(paper, signed, mara):
    original = paper().content
    write_later(who=mara, note=signed, entry=Entry("addendum", "Better now."), password=PASSWORD)
    assert "Better now." in printed.pages(paper().content)[-1]
    assert paper("?addenda=0").content == original


def test_it_names_the_file_without_a_name_of_a_person(paper, visit):
    named = paper()["Content-Disposition"]
    assert named.startswith('attachment; filename="visit-note-1042-')
    assert named.endswith('-draft.pdf"')
    assert "Keller" not in named


def test_it_takes_the_practices_own_size_when_none_is_asked_for(paper, practice):
    practice.paper = "letter"
    practice.save()
    assert printed.size_mm(paper().content) == (216, 279)


@pytest.mark.parametrize("query", ["?paper=a5", "?addenda=x", "?paper=a4&addenda=-1"])
def test_it_knows_no_other_papers(paper, query):
    assert paper(query).status_code == 404


def test_it_knows_no_paper_with_more_addenda_than_there_are(paper, note):
    assert paper("?addenda=3").status_code == 404

"""What was signed keeps the name and the number that it was signed with."""

import pytest
from django.urls import reverse

from charting.merging import queries
from charting.notes.models import SignedNote, SignedPaper
from charting.patients.models import Patient
from charting.visits.models import Visit
from tests.charting.notes.conftest import note, quick_paper

__all__ = ["note", "quick_paper"]


@pytest.fixture
def joined(anna, practice, note, merged):  # noqa: F811 - the fixture
    """Anna, whose note is signed, merged into a record of another name."""
    told = {"family_name": "Keller-Roth", "given_names": "Anna", "search_name": "anna keller roth"}
    kept = Patient.objects.create(
        practice=practice, record_number=2002, birth_date=anna.birth_date, sex=anna.sex, **told
    )
    merged(kept=kept, gone=anna)
    return kept


def test_note_and_paper_stay_as_they_were_signed(note, visit, joined):  # noqa: F811
    stored = SignedNote.objects.get(pk=note.pk)
    assert Visit.objects.get(pk=visit.pk).patient == joined
    assert (stored.content, stored.content_sha256) == (note.content, note.content_sha256)
    assert stored.content["patient"]["name"] == "Anna Keller"
    assert SignedPaper.objects.filter(note=note).count() == note.papers.count() > 0


def test_the_page_of_the_note_says_under_which_record_it_was_signed(as_mara, visit, joined):
    page = as_mara.get(reverse("note", args=[visit.pk])).content.decode()
    assert "Signed as the note of Anna Keller, record 1042" in page


def test_the_pages_of_a_merge_tell_of_it(as_mara, joined, visit):
    (row,) = queries.merges_of(visit.clinician, joined)
    page = as_mara.get(reverse("merged", args=[row.pk])).content.decode()
    assert "Record 1042 was Anna Keller" in page and "1 visit" in page

"""Four things are written into a signed note afterwards, and none may be taken for another.

The four and what each has to show: Medicare Program Integrity Manual, chapter 3, section 3.3.2.5 (permanently
marked, date and author, nothing of the original deleted), and 45 CFR 164.526(c)(1) for the amendment that a
patient asks for: both checked. How late entry, addendum and correction are told apart: from memory.
"""

from datetime import date, timedelta

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.notes import queries
from charting.notes.later_services import Entry, NotInNote, write_later
from charting.notes.models import Addendum, AmendmentRequest, AmendmentStep, SignedNote
from charting.notes.password import NotSigned
from charting.report.content import fingerprint
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.notes.kept import QUOTED, kept_note
from tests.charting.recorded import PASSWORD

WORDS = {
    "late": Entry("late", "The left shoulder was looked at too."),
    "addendum": Entry("addendum", "The scan shows no tear.", of_day=date(2026, 5, 6)),
    "correction": Entry("correction", "It is strength of the triceps.", wrong=QUOTED),
}


@pytest.fixture
def note(blank, mara, quick_paper):
    return kept_note(blank, mara)


@pytest.fixture
def write(note, mara):
    return lambda entry, who=mara: write_later(who=who, note=note, entry=entry, password=PASSWORD)


@pytest.fixture
def accepted(note, mara):
    """A request about the note, received on 1 March 2026 and accepted."""
    about = {"patient": note.visit.patient, "visit": note.visit, "recorded_by": mara}
    said = {"received_on": date(2026, 3, 1), "asked_by": "Anna Keller", "words": "I work standing."}
    request = AmendmentRequest.objects.create(**about, **said)
    step(request, mara, "accepted")
    return request


def step(request, who, what):
    said = {"what": what, "words": "Entered.", "done_on": date(2026, 3, 20), "done_by": who}
    return AmendmentStep.objects.create(request=request, **said)


def kept(note):
    """Everything of the signing, as it stands in the tables."""
    row = SignedNote.objects.filter(pk=note.pk).values().get()
    return row, list(note.papers.filter(addenda=0, cosigned=False).order_by("pk").values())


def all_four(write, accepted):
    amendment = Entry("amendment", "Works standing, not sitting.", request=accepted)
    return [write(entry) for entry in (*WORDS.values(), amendment)]


def test_each_has_a_label_of_its_own(write, note, accepted):
    all_four(write, accepted)
    assert [each.name for each in queries.addenda_of(note)] == [
        "Late entry 1",
        "Addendum 2",
        "Correction 3",
        "Amendment at the patient's request 4",
    ]


def test_it_leaves_original_and_papers_as_they_were_byte_for_byte(write, note, accepted):
    before = kept(note)
    all_four(write, accepted)
    assert kept(note) == before
    again = SignedNote.objects.get(pk=note.pk)
    assert fingerprint(again.content) == again.content_sha256 == note.content_sha256
    assert note.papers.count() == 2 * 5


def test_it_keeps_the_day_of_the_visit_and_the_day_of_writing_apart(write, note, accepted):
    """Signed two weeks ago: the visit has its day, each entry the day on which it is written."""
    then = timezone.now() - timedelta(days=14)
    Visit.objects.filter(pk=note.visit_id).update(started_at=then)
    note.visit.started_at = then
    all_four(write, accepted)
    service, today = (at.astimezone(note.visit.patient.practice.zone).date() for at in (then, timezone.now()))
    for row, shown in zip(note.addenda.all(), queries.addenda_of(note), strict=True):
        assert shown.day == f"{service:%-d %B %Y}"
        assert shown.when.startswith(f"{today:%-d %B %Y}, ")
        assert row.about_on == (date(2026, 5, 6) if row.kind == "addendum" else service)


def test_only_each_kind_says_what_belongs_to_it(write, note, accepted):
    late, addendum, correction, amendment = all_four(write, accepted) and queries.addenda_of(note)
    assert (late.of_day, late.wrong, late.asked) == ("", "", "")
    assert (addendum.of_day, addendum.wrong, addendum.asked) == ("6 May 2026", "", "")
    assert (correction.of_day, correction.wrong) == ("", QUOTED)
    assert amendment.asked == "Anna Keller on 1 March 2026, accepted on 20 March 2026"


def test_a_correction_quotes_the_note_as_it_stands(write, note):
    """Blanks, line breaks and capitals do not count; words that are not there do."""
    with pytest.raises(NotInNote, match="Copy them"):
        write(Entry("correction", "Right.", wrong="Strength of the triceps is to be followed."))
    assert not note.addenda.exists()
    assert write(Entry("correction", "Right.", wrong="  strength of the\n WRIST extensors ")).number == 1


def test_what_was_written_afterwards_can_be_corrected_too(write):
    write(Entry("addendum", "The scan shows a tear of the tendon."))
    assert write(Entry("correction", "It shows none.", wrong="a tear of the tendon")).number == 2


def test_a_correction_without_wrong_words_is_refused(write):
    with pytest.raises(NotSigned, match="which words"):
        write(Entry("correction", "Right.", wrong="  "))


def test_an_amendment_needs_a_request_that_was_accepted(write, note, mara, accepted):
    with pytest.raises(NotSigned, match="Choose the request"):
        write(Entry("amendment", "So."))
    about = {"patient": note.visit.patient, "recorded_by": mara, "received_on": date(2026, 3, 1)}
    other = AmendmentRequest.objects.create(asked_by="Anna Keller", words="Wrong.", **about)
    with pytest.raises(NotSigned, match="not accepted"):
        write(Entry("amendment", "So.", request=other))
    step(other, mara, "denied")
    with pytest.raises(NotSigned, match="not accepted"):
        write(Entry("amendment", "So.", request=other))


def test_a_request_is_entered_into_a_note_once(write, accepted):
    row = write(Entry("amendment", "So.", request=accepted))
    assert write(Entry("amendment", "So.", request=accepted)) == row
    with pytest.raises(NotSigned, match="stands in the note already"):
        write(Entry("amendment", "Once more.", request=accepted))


def test_a_request_of_another_person_or_another_visit_is_refused(write, practice, mara, accepted, note):
    other = recorded.patient(practice, 1043)
    said = {"received_on": date(2026, 3, 1), "asked_by": "Lea", "words": "No.", "recorded_by": mara}
    of_other = AmendmentRequest.objects.create(patient=other, **said)
    visit = Visit.objects.create(patient=note.visit.patient, clinician=mara)
    of_visit = AmendmentRequest.objects.create(patient=note.visit.patient, visit=visit, **said)
    for request in (of_other, of_visit):
        step(request, mara, "accepted")
        with pytest.raises(NotSigned, match="another record"):
            write(Entry("amendment", "So.", request=request))


def test_it_leaves_a_row_that_says_which_it_was(write, accepted):
    all_four(write, accepted)
    done = AuditEntry.objects.filter(action__startswith="added ").values_list("action", flat=True)
    assert list(done.order_by("pk")) == [
        "added late entry",
        "added addendum",
        "added correction",
        "added amendment at the patient's request",
    ]


def test_nothing_of_it_is_changed_or_deleted(write, accepted):
    all_four(write, accepted)
    for table, words in ((Addendum, "text"), (AmendmentRequest, "words"), (AmendmentStep, "words")):
        rows = table.objects.all()
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.update(**{words: "other"})
        with pytest.raises(DatabaseError), transaction.atomic():
            rows._raw_delete("default")


def test_an_entry_by_a_trainee_says_so(write, note, practice):
    lea = recorded.member(practice, "lea", title="Physiotherapist", is_trainee=True)
    assert write(WORDS["late"], who=lea).author_title == "Physiotherapist, trainee"

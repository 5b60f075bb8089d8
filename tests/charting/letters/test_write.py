"""Every sentence can be changed, left out and put back, and nothing typed is lost."""

import html
import re

import pytest

from charting.drafts.services import keep
from charting.letters import editing, services
from charting.letters.editing import Edits
from charting.letters.models import Letter
from charting.notes.models import SignedNote
from charting.report.sentences import Edit


@pytest.fixture
def letter(write) -> Letter:
    return write("referrer")


def url(letter: Letter) -> str:
    return f"/patients/{letter.patient_id}/letters/{letter.pk}/"


def fields(page: bytes) -> dict[str, str]:
    """What the form of a page would send."""
    text = page.decode()
    found = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', text))
    found |= dict(re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>([^<]*)</textarea>', text))
    found |= dict(re.findall(r'<input type="text" name="([^"]+)"[^>]* value="([^"]*)"', text))
    found |= {name: "on" for name in re.findall(r'<input type="checkbox" name="([^"]+)" checked', text)}
    keep = ("stood:", "now:", "words:", "out:", "own:", "row:", "shown:", "to_", "version")
    return {name: html.unescape(said) for name, said in found.items() if name.startswith(keep)}


def test_sending_the_page_as_it_is_changes_no_sentence(letter, as_mara):
    sent = fields(as_mara.get(url(letter)).content)
    assert sum(name.startswith("words:") for name in sent) > 8
    assert as_mara.post(url(letter), sent).status_code == 302
    assert Letter.objects.get(pk=letter.pk).edits == {}


def test_a_sentence_is_changed_left_out_and_put_back(letter, as_mara):
    key = "treatment.place:infraspinatus, right"
    sent = fields(as_mara.get(url(letter)).content)
    as_mara.post(url(letter), {**sent, f"words:{key}": "Pressed three times.", "own:request": "An image?"})
    page = as_mara.get(url(letter)).content.decode()
    assert "Pressed three times." in page and "The record says: Infraspinatus, right, at 3 visits" in page
    sent = fields(page.encode())
    as_mara.post(url(letter), {**sent, f"out:{key}": "on"})
    kept = Letter.objects.get(pk=letter.pk).edits
    assert kept[key]["taken_out"] and kept[key]["words"] == "Pressed three times."
    assert kept["own:request"]["words"] == "An image?"
    sent = fields(as_mara.get(url(letter)).content)
    assert sent.pop(f"out:{key}") == "on"
    as_mara.post(url(letter), sent)
    assert Letter.objects.get(pk=letter.pk).edits[key]["words"] == "Pressed three times."


def test_a_sentence_that_the_record_has_changed_under_is_named_old(letter, as_mara, episode):
    Letter.objects.filter(pk=letter.pk).update(
        edits={
            "course.span": {"stood": "2 visits in 2 days.", "words": "Twice seen.", "taken_out": False},
            "treatment.place:gone": {"stood": "Gone.", "words": "My words on it.", "taken_out": False},
        }
    )
    page = as_mara.get(url(letter)).content.decode()
    assert "The record has changed since you wrote this. It says now: 5 visits in 12 weeks" in page
    assert "My words on it." in page and "The record holds this no longer." in page
    assert "1 sentence of yours was written before the record changed" in page
    # Saving the rest of the letter is no word about it; the tick is.
    as_mara.post(url(letter), fields(page.encode()))
    assert Letter.objects.get(pk=letter.pk).edits["course.span"]["stood"] == "2 visits in 2 days."
    again = as_mara.get(url(letter)).content
    as_mara.post(url(letter), {**fields(again), "seen:course.span": "on"})
    assert Letter.objects.get(pk=letter.pk).edits["course.span"]["words"] == "Twice seen."
    assert "The record has changed since" not in as_mara.get(url(letter)).content.decode()


def test_two_who_save_at_once_both_see_both(letter, as_mara, tom, mara):
    first = fields(as_mara.get(url(letter)).content)
    edits = Edits(own={"request": "Tom's question."})
    services.save(who=tom, letter=letter, typed=editing.Typed(1, "", "", edits))
    answer = as_mara.post(url(letter), {**first, "own:request": "Mara's question."})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Tom&#x27;s question." in page and "Mara&#x27;s question." in page
    assert as_mara.post(url(letter), fields(answer.content)).status_code == 302
    assert Letter.objects.get(pk=letter.pk).edits["own:request"]["words"] == "Mara's question."


def test_too_much_is_refused_and_stays_in_its_field(letter, as_mara):
    sent = fields(as_mara.get(url(letter)).content)
    answer = as_mara.post(url(letter), {**sent, "own:plan": "x" * 4001, "to_name": "Dr. Lang"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "At most 4000 characters; these are 4001." in page
    assert "x" * 4001 in page and 'value="Dr. Lang"' in page


def test_a_half_typed_letter_comes_back(letter, as_mara, mara):
    keep(who=mara, key=services.draft_key(letter), data={"own:plan": ["Half a sen"], "version": ["1"]})
    page = as_mara.get(url(letter)).content.decode()
    assert "Half a sen" in page and "brought back" in page


def test_it_says_what_was_written_into_a_note_after_signing(letter, as_mara, mara):
    note = SignedNote.objects.filter(visit__episode=letter.episode).first()
    said = {"number": 1, "kind": "correction", "author": mara, "author_name": "Mara Steiner", "text": "Left."}
    note.addenda.create(written_at=note.signed_at, **said)
    note.needs_cosign = True
    page = as_mara.get(url(letter)).content.decode()
    assert re.search(r"Something was written into the note of .* after signing \(correction\)", page)


@pytest.mark.parametrize(
    "sent", [{}, {"version": "99999999999"}, {"version": "-1", "stood:elsewhere.x": "a"}]
)
def test_a_form_that_nobody_made_is_answered(letter, as_mara, sent):
    assert as_mara.post(url(letter), sent).status_code in (302, 409, 422)


def test_edits_come_back_as_they_were_kept():
    edits = Edits(
        {"a.b": Edit("stood", "words"), "a.c": Edit("stood", "", True)}, {"a": "own"}, frozenset({"nprs"})
    )
    assert Edits.of(edits.as_json()) == edits

"""A signed visit is closed, and no later change of the atlas reaches it."""

import dataclasses

import pytest
from django.db import DatabaseError, connection, transaction
from django.urls import reverse

from bodymaps import atlas
from bodymaps.reasoning import evidence_rules, flag_rules
from charting.assessment.models import Conclusion
from charting.drawing.services import save_events
from charting.examination.models import MuscleFinding, RangeReading
from charting.history import danger_screen
from charting.history import services as history
from charting.history.queries import state_of
from charting.notes import services
from charting.notes.models import SignedNote
from charting.report.content import assemble, fingerprint
from charting.screening.models import NeuroFinding
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import VisitSigned, require_open
from tests.charting import recorded


@pytest.fixture
def signed_visit(note):
    return Visit.objects.get(pk=note.visit_id)


def page(client, visit, name="note"):
    return client.get(reverse(name, args=[visit.pk]))


def test_it_keeps_content_whose_hash_can_be_checked(note):
    stored = SignedNote.objects.get(pk=note.pk)
    assert fingerprint(stored.content) == stored.content_sha256


def test_it_notices_one_changed_byte(note):
    stored = SignedNote.objects.get(pk=note.pk)
    changed = {**stored.content, "plan": stored.content["plan"] + " "}
    assert fingerprint(changed) != stored.content_sha256


@pytest.mark.parametrize("table", ["charting_signednote", "charting_signedpaper"])
@pytest.mark.parametrize("words", ["UPDATE {} SET id = id + 100", "DELETE FROM {}"])
def test_it_is_guarded_by_the_database_itself(note, table, words):
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(words.format(table))


def test_it_shows_the_signed_ranking_whatever_the_atlas_says_later(as_mara, signed_visit, monkeypatch):
    before = record_on(page(as_mara, signed_visit))
    assert "Infraspinatus" in before
    emptied = dataclasses.replace(atlas.load(), version="atlas-99", muscles={})
    monkeypatch.setattr(atlas, "load", lambda: emptied)
    assert record_on(page(as_mara, signed_visit)) == before


def record_on(answer) -> str:
    """The part of the page that is the record: without the form, whose token changes each time."""
    return answer.content.decode().split('<div class="record">')[1].split('id="addenda"')[0]


def test_it_leads_from_the_ranked_page_to_the_signed_one(as_mara, signed_visit):
    answer = page(as_mara, signed_visit, "candidates")
    assert answer.status_code == 302
    assert answer.url == reverse("note", args=[signed_visit.pk])


def test_it_refuses_every_write_of_the_visit(signed_visit, mara):
    answers = {question.id: ("yes", "") for question in danger_screen.load().questions}
    with pytest.raises(VisitSigned), transaction.atomic():
        require_open(signed_visit)
    with pytest.raises(VisitSigned):
        history.save_story(who=mara, visit=signed_visit, version=1, complaint="later", history="")
    with pytest.raises(VisitSigned):
        history.answer_danger_screen(
            who=mara, visit=signed_visit, state=state_of(signed_visit), answers=answers
        )


def test_it_refuses_a_stroke_in_plain_words(signed_visit, mara):
    sent = [recorded.stroke(90, *recorded.CALF_BURNING)]
    outcome = save_events(who=mara, visit=signed_visit, drawn_by="clinician", sent=sent)
    assert outcome.saved == ()
    assert "signed" in outcome.refused[0][1]


def test_it_offers_no_form_of_the_visit_on_the_signed_page(as_mara, signed_visit):
    shown = page(as_mara, signed_visit).content.decode()
    assert 'name="assessment"' not in shown
    assert 'name="text"' in shown


def test_it_keeps_what_was_signed_whatever_the_rules_say_later(as_mara, signed_visit, monkeypatch):
    """Other signs of danger, no evidence, another version: page, fingerprint and papers stay."""
    stored = SignedNote.objects.get(visit=signed_visit)
    before, papers = (
        record_on(page(as_mara, signed_visit)),
        {row.paper: bytes(row.pdf) for row in stored.papers.all()},
    )
    assert "With story and findings" in before
    assert "Watch:" in before and "Weakness or loss of feeling" in before
    emptied = dataclasses.replace(flag_rules.flags(), version="flags-99", rules=())
    monkeypatch.setattr(flag_rules, "flags", lambda: emptied)
    monkeypatch.setattr(evidence_rules, "rules", lambda: ())
    changed = assemble(signed_visit)
    assert changed["versions"]["flags"] == "flags-99"
    assert fingerprint(changed) != fingerprint(stored.content)
    assert record_on(page(as_mara, signed_visit)) == before
    again = SignedNote.objects.get(visit=signed_visit)
    assert fingerprint(again.content) == again.content_sha256 == stored.content_sha256
    assert {row.paper: bytes(row.pdf) for row in again.papers.all()} == papers


def test_what_the_hand_found_and_was_concluded_stays_as_it_was_signed(as_mara, visit, mara, quick_paper):
    """The rows are changed past every service, as no page can: page, fingerprint and papers stay."""
    recorded.hands_on(visit)
    stored = services.sign(who=mara, visit=visit, password=recorded.PASSWORD, read=recorded.as_read(visit))
    before, papers = record_on(page(as_mara, visit)), set(stored.papers.values_list("sha256", flat=True))
    assert "Active trigger point, 3 of 3" in before
    MuscleFinding.objects.filter(visit=visit).update(signs={}, pain=None)
    RangeReading.objects.filter(visit=visit).update(active=90)
    NeuroFinding.objects.filter(visit=visit, item="shoulder:hawkins").update(grade="negative")
    Conclusion.objects.filter(visit=visit).update(sources=[], sentences=[])
    assert fingerprint(assemble(visit)) != fingerprint(stored.content)
    assert record_on(page(as_mara, visit)) == before
    again = SignedNote.objects.get(visit=visit)
    assert fingerprint(again.content) == again.content_sha256 == stored.content_sha256
    assert set(again.papers.values_list("sha256", flat=True)) == papers


@pytest.mark.parametrize("change", [
    lambda visit: MuscleFinding.objects.filter(visit=visit, position=1).update(pain=2),
    lambda visit: RangeReading.objects.filter(visit=visit, side="left").update(active=30),
    lambda visit: Conclusion.objects.filter(visit=visit).update(sentences=[]),
])  # fmt: skip
def test_a_change_of_the_hands_after_reading_is_not_signed(visit, mara, quick_paper, change):
    recorded.hands_on(visit)
    read = recorded.as_read(visit)
    change(visit)
    with pytest.raises(Stale):
        services.sign(who=mara, visit=visit, password=recorded.PASSWORD, read=read)

"""The page of two drawings laid over each other, and what of it goes into a note."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.drawing.models import BoardAnswer, EnteredInError, StoredStroke
from charting.history.models import Story
from charting.progress.compare_pages import SAME, TURNED, UNKNOWN, compare_page
from charting.progress.since_last import since_last
from charting.visits.models import Visit
from tests.charting import recorded

# A smaller one of the same shoulder.
LESS = ("front", "ache", ("humeral_head", "deltoid_insertion"), 40)


@pytest.fixture
def course(anna, mara):
    """Three visits: shoulder and thumb; shoulder and neck; less of the shoulder. One without."""
    visits = [Visit.objects.create(patient=anna, clinician=mara) for _ in range(4)]
    recorded.draw(visits[0], recorded.SHOULDER_ACHE, recorded.THUMB_TINGLING)
    recorded.draw(visits[1], recorded.SHOULDER_ACHE, recorded.NECK_PRESSURE)
    recorded.draw(visits[2], LESS)
    return visits


def url(visit, before="", after=""):
    return f"/patients/{visit.patient_id}/progress/compare/?before={before}&after={after}"


def test_it_begins_with_the_first_and_the_last_drawing(course, anna):
    page = compare_page(anna, "", "")
    assert [page.before.visit, page.after.visit] == [course[0].pk, course[2].pk]
    assert [choice.visit for choice in page.choices] == [visit.pk for visit in course[:3]]
    states = {kind.label: kind.state for kind in page.facts.kinds}
    assert states == {"Ache": "smaller", "Tingling": "gone"}
    assert page.facts.lines[2].label == "Gone" and "of what was drawn before" in page.facts.lines[2].share


def test_any_two_can_be_chosen(course, as_mara):
    answer = as_mara.get(url(course[0], course[0].pk, course[1].pk))
    assert answer.status_code == 200
    page = answer.context["page"]
    assert [page.before.visit, page.after.visit] == [course[0].pk, course[1].pk]
    text = answer.content.decode()
    assert "Pressure" in text and "0.62 ± 0.18" in text and "towards the spine" in text.lower()
    assert "proves neither" in text
    assert AuditEntry.objects.filter(
        action="opened two drawings", object_id=str(course[0].patient_id)
    ).exists()


def test_the_earlier_one_is_always_before(course, anna):
    page = compare_page(anna, str(course[2].pk), str(course[0].pk))
    assert page.notice == TURNED and not page.is_refused
    assert [page.before.visit, page.after.visit] == [course[0].pk, course[2].pk]


def test_the_same_visit_twice_is_said_so(course, anna):
    page = compare_page(anna, str(course[1].pk), str(course[1].pk))
    assert page.notice == SAME and page.facts.scale.shown == "1.00"


@pytest.mark.parametrize("asked", ["nonsense", "0d3f8f5e-41ab-4b43-8a39-5f3f1c0b7a51", "\x00"])
def test_what_cannot_be_chosen_is_named_and_nothing_of_it_is_said(asked, course, as_mara):
    answer = as_mara.get(f"/patients/{course[0].patient_id}/progress/compare/", {"before": asked})
    assert answer.status_code == 422
    assert UNKNOWN in answer.content.decode()


def test_a_visit_without_a_drawing_cannot_be_chosen(course, anna):
    assert compare_page(anna, "", str(course[3].pk)).is_refused


def test_a_drawing_that_was_struck_is_left_out(course, anna, mara):
    ids = [str(row.event_id) for row in StoredStroke.objects.filter(visit=course[0])]
    EnteredInError.objects.create(visit=course[0], events=ids, reason="Another person's.", struck_by=mara)
    page = compare_page(anna, "", "")
    assert [choice.visit for choice in page.choices] == [course[1].pk, course[2].pk]


def test_one_drawing_alone_is_not_compared(anna, mara, as_mara):
    empty = as_mara.get(f"/patients/{anna.pk}/progress/compare/").content.decode()
    assert "No visit has a drawing yet." in empty
    only = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(only, LESS)
    assert "Only one visit has a drawing so far" in as_mara.get(url(only)).content.decode()


def test_no_pain_any_more_is_a_drawing_too(course, anna):
    sent = {"event_id": "0d3f8f5e-41ab-4b43-8a39-5f3f1c0b7a52", "seq": 1, "drawn_by": "patient"}
    BoardAnswer.objects.create(visit=course[3], no_pain=True, body_sha256="", **sent)
    page = compare_page(anna, "", "")
    assert page.after.visit == course[3].pk and page.after.said_no_pain
    assert page.facts.scale is None and page.facts.lines[2].share == "100 % of what was drawn before"
    assert page.facts.sides[0].words == "On the right no pain is drawn any more."


def test_the_persons_own_cm2_need_height_and_weight(course, anna):
    assert not compare_page(anna, "", "").facts.has_person
    Story.objects.create(visit=course[0], height_cm=180, weight_kg=80)
    facts = compare_page(anna, "", "").facts
    assert facts.has_person and all(line.person for line in facts.lines)


def test_a_hundred_visits_take_no_more_queries_than_three(course, as_mara, anna, mara):
    as_mara.get(url(course[0]))
    with CaptureQueriesContext(connection) as few:
        as_mara.get(url(course[0]))
    for _ in range(97):
        recorded.draw(Visit.objects.create(patient=anna, clinician=mara), LESS)
    with CaptureQueriesContext(connection) as many:
        assert as_mara.get(url(course[0])).status_code == 200
    assert len(many) == len(few)


# For the note.


def test_a_note_is_told_what_changed_since_the_last_drawing(course):
    said = since_last(course[2])
    assert said["before_visit"] == str(course[1].pk)
    assert said["numbers"]["before"]["cm2"] > said["numbers"]["after"]["cm2"]
    assert 0 < said["jaccard"] < 1 and said["spread"]["source"]
    assert [kind.split(":")[0] for kind in said["kinds"]] == ["Ache", "Pressure or tightness"]
    assert said["sentences"][0].startswith("Gone: ")


def test_without_two_drawings_a_note_is_told_nothing(course):
    assert since_last(course[0]) is None and since_last(course[3]) is None


def test_it_skips_visits_without_a_drawing_and_signed_ones_count(course, anna, mara):
    later = Visit.objects.create(patient=anna, clinician=mara)
    recorded.draw(later, LESS)
    Visit.objects.filter(pk=course[2].pk).update(signed_at=timezone.now())
    said = since_last(later)
    assert said["before_visit"] == str(course[2].pk)
    assert said["jaccard"] == 1 and said["numbers"]["gone"]["cm2"] == 0

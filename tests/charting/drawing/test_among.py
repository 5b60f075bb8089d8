"""The drawings of many visits read at once are what each visit shows by itself."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from bodymaps import extent
from charting.drawing.among import painted_among
from charting.drawing.models import BoardAnswer, EnteredInError, StoredStroke, Withdrawal
from charting.drawing.queries import drawing_of
from charting.visits.models import Visit
from tests.charting import recorded


@pytest.fixture
def three(anna, mara):
    """One with two areas of which one was taken back, one drawn and struck, one without any."""
    first, struck, none = (Visit.objects.create(patient=anna, clinician=mara) for _ in range(3))
    for visit in (first, struck):
        recorded.draw(visit, recorded.SHOULDER_ACHE, recorded.NECK_PRESSURE)
    taken_back = str(StoredStroke.objects.filter(visit=first).first().event_id)
    sent = {"event_id": "0d3f8f5e-41ab-4b43-8a39-5f3f1c0b7a51", "seq": 90, "drawn_by": "patient"}
    Withdrawal.objects.create(visit=first, strokes=[taken_back], body_sha256="", **sent)
    ids = [str(row.event_id) for row in StoredStroke.objects.filter(visit=struck)]
    EnteredInError.objects.create(visit=struck, events=ids, reason="Another person's.", struck_by=mara)
    return first, struck, none


def test_each_is_what_its_own_visit_shows(three):
    found = painted_among(three)
    for visit in three:
        alone = drawing_of(visit).marks
        assert found[visit.pk].marks == alone
        assert found[visit.pk].percent == pytest.approx(extent.extent(alone).percent)
    assert [len(found[visit.pk].marks) for visit in three] == [1, 0, 0]
    assert [found[visit.pk].is_told for visit in three] == [True, False, False]


def test_no_pain_is_told_and_nothing_said_is_not(three):
    none = three[2]
    sent = {"event_id": "0d3f8f5e-41ab-4b43-8a39-5f3f1c0b7a52", "seq": 1, "drawn_by": "patient"}
    BoardAnswer.objects.create(visit=none, no_pain=True, body_sha256="", **sent)
    found = painted_among([none])[none.pk]
    assert found.said_no_pain and found.is_told and found.percent == 0


def test_it_takes_no_more_queries_for_many_and_none_for_what_is_signed(three, anna, mara):
    with CaptureQueriesContext(connection) as few:
        painted_among(three[:1])
    more = [Visit.objects.create(patient=anna, clinician=mara) for _ in range(20)]
    with CaptureQueriesContext(connection) as many:
        painted_among([*three, *more])
    assert len(many) == len(few) == 4
    Visit.objects.filter(pk=three[0].pk).update(signed_at=timezone.now())
    three[0].refresh_from_db()
    first = painted_among(three[:1])
    StoredStroke.objects.filter(visit=three[1]).count()
    with CaptureQueriesContext(connection) as again:
        assert painted_among(three[:1]) == first
    assert len(again) == 0

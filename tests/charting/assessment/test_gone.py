"""Words about an area that was joined with another or taken back: kept, moved, or left out; never lost."""

import uuid

import pytest

from charting.assessment.models import Conclusion
from charting.assessment.queries import conclusions
from charting.candidates.queries import ranked
from charting.drawing.services import save_events


def send_event(visit, **event):
    sent = {"id": str(uuid.uuid4()), "seq": ranked(visit).kept.last_seq + 1, **event}
    outcome = save_events(who=visit.clinician, visit=visit, drawn_by="clinician", sent=[sent])
    assert not outcome.refused, outcome.refused


@pytest.fixture
def two(visit, send):
    """Something written about areas 1 and 2."""
    send(1, own="Of the first.")
    send(2, own="Of the second.", other="soleus left", other_certainty="likely")
    return ranked(visit).areas[:2]


@pytest.fixture
def joined(visit, two):
    strokes = [stroke for area in two for stroke in area.strokes]
    send_event(visit, type="group", strokes=strokes, together=True)
    assert len(ranked(visit).areas) == 2


def settle(client, visit, row, **sent):
    return client.post(f"/visits/{visit.pk}/assessment/{row.pk}/", {"version": row.version, **sent})


def told(visit):
    return [(said.number, said.is_gone, said.about("own")) for said in conclusions(visit, ranked(visit))]


def test_what_was_written_about_an_area_that_joined_another_is_shown_beside_it(visit, joined, page):
    (loose,) = page().loose
    assert (loose.fell_to, loose.told.about("own")) == (1, ("Of the second.",))
    assert told(visit) == [(1, False, ("Of the first.",)), (0, True, ("Of the second.",))]


def test_it_can_be_moved_and_both_stand_together(visit, joined, page, as_mara):
    (loose,) = page().loose
    settle(as_mara, visit, loose.row, move="", to=page().cards[0].place.first)
    assert told(visit) == [(1, False, ("Of the first.", "Of the second."))]
    assert [source["name"] for source in Conclusion.objects.get().sources] == ["Soleus"]


def test_it_can_be_moved_to_where_nothing_was_written(visit, two, page, as_mara):
    send_event(visit, type="withdraw", strokes=list(two[1].strokes))
    (loose,) = page().loose
    settle(as_mara, visit, loose.row, move="", to="")
    assert told(visit) == [(1, False, ("Of the first.",)), (0, False, ("Of the second.",))]


def test_it_can_be_left_out_of_the_note_and_put_back(visit, two, page, as_mara):
    send_event(visit, type="withdraw", strokes=list(two[1].strokes))
    (loose,) = page().loose
    assert "gone" in as_mara.get(f"/visits/{visit.pk}/assessment/").content.decode()
    settle(as_mara, visit, loose.row, leave_out="")
    assert told(visit) == [(1, False, ("Of the first.",))]
    (loose,) = page().loose
    settle(as_mara, visit, loose.row, put_back="")
    assert len(told(visit)) == 2


def test_an_older_page_settles_nothing(visit, two, page, as_mara):
    send_event(visit, type="withdraw", strokes=list(two[1].strokes))
    (loose,) = page().loose
    settle(as_mara, visit, loose.row, leave_out="", version=99)
    assert len(told(visit)) == 2


def test_what_is_saved_while_the_area_goes_is_kept_with_what_stood_there(visit, two, page, as_mara):
    card = page().cards[1]
    send_event(visit, type="withdraw", strokes=list(two[1].strokes))
    sent = {"stroke": card.place.first, "where": card.place.where, "version": card.version, "own": "More."}
    assert as_mara.post(f"/visits/{visit.pk}/assessment/", sent).status_code == 302
    assert told(visit)[-1] == (0, True, ("Of the second.", "More."))

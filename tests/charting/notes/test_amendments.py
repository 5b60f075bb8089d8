"""A patient asks for a change: due days, one extension, four grounds, and what follows a denial.

45 CFR 164.526: 60 days to act and one further 30 with reasons told in writing; four grounds; nothing is
erased, the amendment is linked. Checked. The days of the worked example are arithmetic.
"""

import uuid
from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.notes import amendments, amendments_queries
from charting.notes.amendments import AmendmentsError
from charting.notes.amendments_queries import pending_requests, request_of
from charting.notes.amendments_services import NotKept, record_request, take_step
from charting.notes.later_services import Entry, write_later
from charting.notes.models import AmendmentRequest, AmendmentStep
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.notes.kept import kept_note
from tests.charting.people import signed_in
from tests.charting.recorded import PASSWORD

FIRST_OF_MARCH = date(2026, 3, 1)


@pytest.fixture
def ask(anna, mara):
    def act(who=mara, **others):
        said = {"received_on": FIRST_OF_MARCH, "asked_by": "Anna Keller", "words": "I work standing."}
        return record_request(who=who, patient=anna, **{"id": uuid.uuid4(), **said, **others})

    return act


@pytest.fixture
def take(mara):
    def act(request, what, done_on=date(2026, 3, 20), who=mara, **others):
        said = {"words": "Said so.", "ground": "accurate" if what == "denied" else "", **others}
        return take_step(who=who, request=request, what=what, done_on=done_on, **said)

    return act


@pytest.fixture
def note(blank, mara, quick_paper):
    return kept_note(blank, mara)


def state_of(request):
    return request_of(request.patient, request.pk)


def test_of_1_march_2026_it_is_due_on_30_april_and_extended_on_30_may(ask, take):
    request = ask()
    assert state_of(request).due_on == date(2026, 4, 30)
    take(request, "extended", words="The paper record is still to be fetched.")
    assert state_of(request).due_on == date(2026, 5, 30)


def test_more_time_is_taken_once_with_reasons_and_within_the_first_days(ask, take):
    request = ask()
    with pytest.raises(NotKept, match="reasons"):
        take(request, "extended", words=" ")
    with pytest.raises(NotKept, match="until 30 April 2026 only"):
        take(request, "extended", date(2026, 5, 1))
    take(request, "extended", date(2026, 4, 30))
    with pytest.raises(NotKept, match="can't be done now"):
        take(request, "extended", date(2026, 4, 30), words="Once more.")


def test_a_denial_names_one_of_the_four_grounds(ask, take):
    assert set(amendments.load().grounds) == {"not_ours", "not_in_set", "not_open", "accurate"}
    request = ask()
    for ground in ("", "too much work"):
        with pytest.raises(NotKept, match="Choose the ground"):
            take(request, "denied", ground=ground)
    assert take(request, "denied", ground="not_ours").ground == "not_ours"


def test_only_what_can_follow_follows(ask, take):
    request = ask()
    for what in ("disagreed", "answered"):
        with pytest.raises(NotKept, match="can't be done now"):
            take(request, what)
    for what in ("denied", "disagreed", "answered"):
        take(request, what)
        for again in ("accepted", "denied", "extended"):
            with pytest.raises(NotKept, match="can't be done now"):
                take(request, again, words="Other words.")
    assert [step.what for step in state_of(request).steps] == ["denied", "disagreed", "answered"]


def test_a_second_tap_adds_nothing(ask, take):
    number = uuid.uuid4()
    request = ask(id=number)
    assert ask(id=number) == request
    assert take(request, "denied") == take(request, "denied")
    assert (AmendmentRequest.objects.count(), AmendmentStep.objects.count()) == (1, 1)


def test_the_slower_of_two_who_decide_is_told(ask, take, tom):
    request = ask()
    take(request, "accepted")
    with pytest.raises(NotKept, match="the request is accepted"):
        take(request, "denied", who=tom)


@pytest.mark.parametrize("day", [date(2026, 2, 28), timezone.localdate() + timedelta(days=2)])
def test_a_step_lies_between_the_request_and_today(ask, take, day):
    with pytest.raises(NotKept, match="between 1 March 2026 and today"):
        take(ask(), "accepted", day)


def test_it_refuses_a_request_of_tomorrow_and_one_without_words(ask):
    with pytest.raises(NotKept, match="lies ahead"):
        ask(received_on=timezone.localdate() + timedelta(days=2))
    with pytest.raises(NotKept, match="for what"):
        ask(words="  ")


def test_it_is_about_a_signed_visit_of_the_same_person(ask, anna, note, practice, mara):
    unsigned = Visit.objects.create(patient=anna, clinician=mara)
    other = Visit.objects.create(patient=recorded.patient(practice, 1043), clinician=mara)
    kept_note(other, mara)
    for visit in (unsigned, other):
        with pytest.raises(NotKept, match="signed visits"):
            ask(visit=visit)
    assert ask(visit=note.visit).visit_id == note.visit_id


def test_managers_answer_requests_and_the_desk_does_not(ask, vera, poll, ines):
    assert ask(who=vera)
    for who in (poll, ines):
        with pytest.raises(PermissionDenied):
            ask(who=who)


def test_it_is_listed_until_somebody_decided_and_the_note_holds_it(ask, take, note, mara, vera, ines):
    request = ask(visit=note.visit)
    for user, listed in ((mara, 1), (vera, 1), (ines, 0)):
        assert len(pending_requests(user)) == listed
    take(request, "accepted")
    assert [one.state for one in pending_requests(mara)] == ["accepted, not yet in the note"]
    entry = Entry("amendment", "Works standing.", request=request)
    write_later(who=mara, note=note, entry=entry, password=PASSWORD)
    assert pending_requests(mara) == ()


def test_a_denied_one_and_one_about_the_whole_record_wait_for_nothing_more(ask, take, mara):
    take(ask(), "denied")
    take(ask(), "accepted", words="The address is changed.")
    assert pending_requests(mara) == ()


def test_the_day_page_lists_it_with_its_day(ask, as_mara, as_poll):
    ask()
    page = as_mara.get("/").content.decode()
    assert "request for amendment, not decided" in page and "overdue since 30 Apr" in page
    assert "request for amendment" not in as_poll.get("/").content.decode()


def test_request_and_denial_stand_beside_the_note(ask, take, note, as_mara):
    take(ask(visit=note.visit), "denied")
    page = as_mara.get(reverse("note", args=[note.visit_id])).content.decode()
    assert "Request of 1 March 2026" in page and ">denied<" in page


def test_through_the_pages_nothing_typed_is_lost(as_mara, anna):
    url = reverse("amendments", args=[anna.pk])
    day = {"received_on_day": "1", "received_on_month": "March", "received_on_year": "2026"}
    sent = {"id": uuid.uuid4(), "asked_by": "", "words": "Typed <b>so</b>", **day}
    refused = as_mara.post(url, sent)
    assert refused.status_code == 422 and "Typed &lt;b&gt;so&lt;/b&gt;" in refused.content.decode()
    assert as_mara.post(url, {**sent, "asked_by": "Anna Keller"}).status_code == 302
    one = reverse("amendment", args=[anna.pk, AmendmentRequest.objects.get().pk])
    step = {"what": "denied", "done_on_day": "2", "done_on_month": "3", "done_on_year": "2026"}
    refused = as_mara.post(one, {**step, "words": "Not <i>so</i>"})
    assert refused.status_code == 422
    assert (
        "Choose the ground" in refused.content.decode()
        and "Not &lt;i&gt;so&lt;/i&gt;" in refused.content.decode()
    )
    assert as_mara.post(one, {**step, "words": "Not so.", "ground": "accurate"}).status_code == 302
    assert "What stands there is accurate and complete." in as_mara.get(one).content.decode()


def test_another_practice_sees_none_of_it(ask, as_ines, anna):
    request = ask()
    for address in ("amendments", "amendment"):
        more = [request.pk] if address == "amendment" else []
        assert as_ines.get(reverse(address, args=[anna.pk, *more])).status_code == 404


def test_every_step_leaves_a_row_without_words(ask, take):
    request = ask(words="About Mrs Keller")
    take(request, "denied", words="Mrs Keller is wrong")
    rows = AuditEntry.objects.filter(object_id=str(request.pk)).order_by("pk")
    assert [row.action for row in rows] == ["recorded request for amendment", "request for amendment: denied"]
    assert "Keller" not in str([row.detail for row in rows])


def test_a_merged_record_brings_its_requests_along(ask, take, anna, practice, mara):
    """They are never changed: they stay under the record they were written for, and are read through both."""
    request = ask()
    kept = recorded.patient(practice, 1043)
    anna.merged_into = kept
    anna.save()
    assert [one.row for one in amendments_queries.requests_of(kept)] == [request]


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"time": {"days": 0}}, "time: days is a number of days above 0"),
        ({"time": {"days": "60"}}, "time: days is a number of days above 0"),
        ({"time": {"status": "guessed"}}, "time: status is one of"),
        ({"ground": {"words": " "}}, "ground not_ours: words is in words"),
        ({"ground": {"id": "x" * 21}}, "more than 20 letters"),
        ({"tell": {"when": "later"}}, "tell 1: when is one of"),
    ],
)
def test_a_wrong_file_is_refused_with_the_entry_and_what_to_mend(change, named):
    checked = {"source": "45 CFR 164.526", "status": "checked"}
    data = {
        "time": {"days": 60, "further_days": 30, **checked},
        "ground": {"id": "not_ours", "words": "Not made here.", **checked},
        "tell": {"when": "denied", "words": "Why.", **checked},
    }
    for entry, said in change.items():
        data[entry] = {**data[entry], **said}
    with pytest.raises(AmendmentsError, match=named) as told:
        amendments.read({**data, "ground": [data["ground"]], "tell": [data["tell"]]})
    assert "amendments.toml" in str(told.value)


def test_a_request_of_a_colleague_page_opens(ask, vera, anna):
    """An owner reads and answers; the page offers what can follow."""
    request = ask()
    page = signed_in(vera).get(reverse("amendment", args=[anna.pk, request.pk])).content.decode()
    for words in ("Take more time", "Accept it", "Deny it", "30 April 2026", "30 May 2026"):
        assert words in page

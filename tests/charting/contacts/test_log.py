"""The contact log: a further line for everything, none is changed, and each is read by whom it concerns."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.contacts import services
from charting.contacts.models import Contact
from charting.contacts.queries import log_of, open_contact_follow_ups
from charting.contacts.services import NotKept
from charting.drafts.services import keep
from tests.charting import recorded


def url(patient, *more):
    return "/".join((f"/patients/{patient.pk}/contacts", *map(str, more), ""))


def typed(**others):
    day = {"day_day": "4", "day_month": "May", "day_year": "2026", "at": "14:05"}
    return {"id": str(uuid.uuid4()), "way": "call_from", "words": "Sore since Tuesday.", **day, **others}


def line(patient, by, **others):
    said = {"way": "call_from", "words": "Sore since Tuesday.", "happened_at": timezone.now(), **others}
    return Contact.objects.create(patient=patient, written_by=by, **said)


def said(**others):
    usual = {"way": "call_to", "happened_at": timezone.now(), "words": "Better.", "needs_follow_up": False}
    return {"id": uuid.uuid4(), **usual, **others}


def test_it_keeps_what_was_said_and_when_by_the_clock_of_the_practice(anna, as_mara, mara):
    response = as_mara.post(url(anna), typed(needs_follow_up="on"))
    assert response.headers["Location"] == url(anna)
    row = Contact.objects.get()
    assert (row.way, row.words, row.needs_follow_up) == ("call_from", "Sore since Tuesday.", True)
    # Two hours ahead of UTC in May.
    assert row.happened_at.isoformat() == "2026-05-04T12:05:00+00:00"
    assert row.written_by == mara
    entry = AuditEntry.objects.get(action="logged contact")
    assert (entry.object_id, entry.detail) == (str(anna.pk), {"contact": str(row.pk), "way": "call_from"})


def test_it_shows_the_line_on_the_log_and_on_the_page_of_the_person(anna, as_mara, mara):
    line(anna, mara, words="Asks for an earlier visit.", needs_follow_up=True)
    for address in (url(anna), f"/patients/{anna.pk}/"):
        text = as_mara.get(address).content.decode()
        assert "Asks for an earlier visit." in text and "to be followed up" in text


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"way": ""}, "Choose what it was."),
        ({"way": "rumour"}, "Select a valid choice"),
        ({"words": " "}, "Write what was said or done."),
        ({"at": "25:00"}, "hours and minutes: 14:05."),
        ({"at": ""}, "Enter the time."),
        ({"day_day": "31", "day_month": "6"}, "June 2026 has no day 31."),
        ({"day_year": "2999"}, "must not be in the future"),
        ({"day_year": "1950"}, "must not be before the date of birth"),
        ({"day_day": "29", "day_month": "3", "at": "2:30"}, "no such time"),
    ],
)
def test_it_says_what_to_mend_and_keeps_every_word(anna, as_mara, wrong, words):
    sent = typed(needs_follow_up="on", **wrong)
    response = as_mara.post(url(anna), sent)
    text = response.content.decode()
    assert response.status_code == 422 and words in text
    assert not Contact.objects.exists()
    if "words" not in wrong:
        assert "Sore since Tuesday." in text


def test_it_takes_a_clock_that_is_a_little_ahead_and_not_more(anna, mara):
    services.log(who=mara, patient=anna, **said(happened_at=timezone.now() + timedelta(minutes=4)))
    with pytest.raises(NotKept, match="future"):
        services.log(who=mara, patient=anna, **said(happened_at=timezone.now() + timedelta(minutes=6)))


def test_the_page_refuses_a_time_later_today(anna, as_mara, monkeypatch):
    noon = datetime.fromisoformat("2026-05-04T12:00:00+02:00")
    monkeypatch.setattr(timezone, "now", lambda: noon)
    response = as_mara.post(url(anna), typed(at="12:10"))
    assert "The time must not be in the future." in response.content.decode()
    assert as_mara.post(url(anna), typed(at="12:04")).status_code == 302


def test_a_double_tap_makes_one_line(anna, as_mara):
    sent = typed()
    assert as_mara.post(url(anna), sent).status_code == as_mara.post(url(anna), sent).status_code == 302
    assert Contact.objects.count() == 1


def test_a_follow_up_is_settled_by_a_further_line(anna, as_poll, poll, mara):
    asked = line(anna, mara, words="Wants to be called.", needs_follow_up=True)
    assert [(each.patient, each.words) for each in open_contact_follow_ups(poll)] == [
        (anna, "Wants to be called.")
    ]
    as_poll.post(url(anna, asked.pk, "settle"), typed(way="call_to", words="Reached, feels better."))
    assert open_contact_follow_ups(poll) == ()
    settled = next(each for each in log_of(poll, anna) if each.contact == asked)
    assert settled.settled_by.words == "Reached, feels better." and not settled.is_open
    assert AuditEntry.objects.get(action="settled follow-up").detail["of"] == str(asked.pk)


def test_a_follow_up_may_call_for_the_next(anna, mara):
    asked = line(anna, mara, needs_follow_up=True)
    further = services.settle(who=mara, line=asked, **said(words="Nobody there.", needs_follow_up=True))
    assert [each.words for each in open_contact_follow_ups(mara)] == [further.words]


def test_a_follow_up_is_settled_once(anna, as_mara, mara):
    asked = line(anna, mara, needs_follow_up=True)
    services.settle(who=mara, line=asked, **said())
    response = as_mara.post(url(anna, asked.pk, "settle"), typed(words="I called as well."))
    text = response.content.decode()
    assert response.status_code == 422
    assert "settled or corrected meanwhile" in text and "I called as well." in text


def test_a_wrong_line_stays_struck_through_with_who_and_when(anna, as_mara, mara, tom):
    wrong = line(anna, tom, words="Left knee.")
    as_mara.post(url(anna, wrong.pk, "correct"), typed(words="Right knee."))
    text = as_mara.get(url(anna)).content.decode()
    assert "<s>Left knee.</s>" in text and "Right knee." in text
    assert "by Tom Berg" in text and "Corrected on" in text and "by Mara Steiner" in text
    wrong.refresh_from_db()
    assert wrong.words == "Left knee."
    assert "Left knee." not in as_mara.get(f"/patients/{anna.pk}/").content.decode()


def test_the_form_to_correct_begins_with_the_wrong_words(anna, as_mara, mara):
    then = datetime.fromisoformat("2026-05-04T14:05:00+02:00")
    wrong = line(anna, mara, words="Left knee.", happened_at=then, needs_follow_up=True)
    text = as_mara.get(url(anna, wrong.pk, "correct")).content.decode()
    assert ">\nLeft knee.</textarea>" in text and 'value="14:05"' in text and 'value="2026"' in text


def test_a_line_is_corrected_once(anna, mara, tom):
    wrong = line(anna, mara)
    services.correct(who=mara, line=wrong, **said())
    with pytest.raises(NotKept, match="Somebody corrected"):
        services.correct(who=tom, line=wrong, **said())


def test_a_corrected_line_waits_for_nobody(anna, mara):
    wrong = line(anna, mara, needs_follow_up=True)
    services.correct(who=mara, line=wrong, **said(words="Another person called."))
    assert open_contact_follow_ups(mara) == ()


def test_what_a_corrected_line_settled_stays_settled(anna, mara):
    asked = line(anna, mara, needs_follow_up=True)
    wrong = services.settle(who=mara, line=asked, **said(words="Called on Monday."))
    services.correct(who=mara, line=wrong, **said(words="Called on Tuesday."))
    assert open_contact_follow_ups(mara) == ()
    assert next(each for each in log_of(mara, anna) if each.contact == asked).settled_by.words.endswith(
        "Tuesday."
    )


def test_the_longest_waiting_follow_up_comes_first(anna, mara):
    now = timezone.now()
    line(anna, mara, words="new", needs_follow_up=True, happened_at=now)
    line(anna, mara, words="old", needs_follow_up=True, happened_at=now - timedelta(days=3))
    assert [each.words for each in open_contact_follow_ups(mara)] == ["old", "new"]


def test_the_assistant_logs_and_reads_calls_and_no_reactions(anna, as_poll, poll, mara):
    line(anna, mara, way="reaction", words="Dizzy after needling.", needs_follow_up=True)
    line(anna, mara, way="missed", words="Did not come.")
    text = as_poll.get(url(anna)).content.decode()
    assert "Did not come." in text and "Dizzy" not in text
    assert "Reaction reported" not in text
    assert open_contact_follow_ups(poll) == () != open_contact_follow_ups(mara)
    assert as_poll.post(url(anna), typed()).status_code == 302
    assert as_poll.post(url(anna), typed(way="reaction")).status_code == 422
    with pytest.raises(PermissionDenied, match="this kind"):
        services.log(who=poll, patient=anna, **said(way="reaction"))


def test_what_became_a_reaction_by_correction_is_closed_to_the_assistant(anna, as_poll, mara):
    wrong = line(anna, mara, words="Dizzy after needling.")
    assert "Dizzy" in as_poll.get(url(anna)).content.decode()
    services.correct(who=mara, line=wrong, **said(way="reaction", words="Dizzy after needling."))
    assert "Dizzy" not in as_poll.get(url(anna)).content.decode()
    assert as_poll.get(url(anna, wrong.pk, "correct")).status_code == 404
    assert "Dizzy" not in as_poll.get(f"/patients/{anna.pk}/").content.decode()


def test_the_manager_reads_every_line_and_writes_none(anna, as_vera, vera, mara):
    asked = line(anna, mara, way="reaction", words="Dizzy after needling.", needs_follow_up=True)
    page = as_vera.get(url(anna)).content.decode()
    assert "Dizzy" in page and "Add a line" not in page and "settle/" not in page
    for address in (url(anna), url(anna, asked.pk, "settle"), url(anna, asked.pk, "correct")):
        assert as_vera.post(address, typed()).status_code == 403
    assert Contact.objects.count() == 1


def test_another_practice_sees_and_writes_nothing(anna, as_ines, ines, mara):
    asked = line(anna, mara, needs_follow_up=True)
    for address in (url(anna), url(anna, asked.pk, "settle"), url(anna, asked.pk, "correct")):
        assert as_ines.get(address).status_code == as_ines.post(address, typed()).status_code == 404
    assert open_contact_follow_ups(ines) == ()
    with pytest.raises(PermissionDenied):
        services.log(who=ines, patient=anna, **said())


def test_a_line_belongs_to_one_person(anna, as_mara, mara, practice):
    other = recorded.patient(practice, number=7)
    asked = line(other, mara, needs_follow_up=True)
    assert as_mara.get(url(anna, asked.pk, "settle")).status_code == 404


def test_half_typed_words_come_back(anna, as_mara, mara):
    data = {name: [value] for name, value in typed(words="She said that").items()}
    keep(who=mara, key=services.draft_key(anna), data=data)
    text = as_mara.get(url(anna)).content.decode()
    assert "She said that" in text and "brought back" in text and 'value="14:05"' in text
    as_mara.post(url(anna), typed(words="She said that it is better."))
    assert "brought back" not in as_mara.get(url(anna)).content.decode()


def test_the_log_costs_the_same_however_long_it_is(anna, as_mara, mara, django_assert_max_num_queries):
    for number in range(30):
        line(anna, mara, words=f"Call {number}", needs_follow_up=True)
    with django_assert_max_num_queries(14):
        as_mara.get(url(anna))

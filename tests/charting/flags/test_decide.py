"""A decision: what it must say, what is kept of the flag, that nothing typed is lost, that no row changes."""

import uuid
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.flags import services
from charting.flags.models import Decision
from charting.versioning import Stale
from charting.visits.services import VisitSigned
from tests.charting.flags.conftest import CAUDA, call_at, decide, said_of, say, sent


def url(visit, flag):
    return f"/visits/{visit.pk}/flags/{flag.id}/decide/"


def today(visit):
    return timezone.localdate(timezone=visit.patient.practice.zone)


def day(name, when):
    return {f"{name}_day": when.day, f"{name}_month": when.month, f"{name}_year": when.year}


def test_it_keeps_the_flag_as_it_stood(raised, flag, mara):
    row = decide(mara, raised, flag.id)
    assert row.shown["title"] == flag.title and row.shown["level"] == flag.level
    assert tuple(row.shown["reasons"]) == flag.reasons and row.shown["action"] == flag.action
    assert row.decided_by == mara


def test_it_is_written_down_without_a_word_of_the_patient(raised, flag, mara):
    row = decide(mara, raised, flag.id, why="She has a catheter.")
    entry = AuditEntry.objects.get(action="decided about danger")
    assert (entry.object_id, entry.actor_id) == (str(row.pk), mara.pk)
    assert "catheter" not in str(entry.detail)


@pytest.mark.parametrize("outcome", ["sent_now", "sent_today", "spoken"])
def test_somebody_sent_or_spoken_with_was_called_by_name_and_time(raised, flag, mara, as_mara, outcome):
    with pytest.raises(ValueError, match="whom you called"):
        decide(mara, raised, flag.id, outcome=outcome)
    response = as_mara.post(url(raised, flag), sent(raised, flag.id, outcome=outcome))
    text = response.content.decode()
    assert response.status_code == 422
    assert "Say whom you called." in text and "Enter the time of the call." in text
    assert not Decision.objects.exists()


def test_a_call_is_kept_in_the_clock_of_the_practice(raised, flag, as_mara):
    when = timezone.now().astimezone(ZoneInfo("Europe/Zurich")) - timedelta(minutes=5)
    called = {"called": "Emergency service", "called_time": f"{when:%H:%M}", **day("called_on", when)}
    response = as_mara.post(url(raised, flag), sent(raised, flag.id, outcome="sent_now", **called))
    assert response.headers["Location"] == f"/visits/{raised.pk}/flags/"
    row = Decision.objects.get()
    assert row.called == "Emergency service"
    assert row.called_at == when.replace(second=0, microsecond=0)


@pytest.mark.parametrize(
    ("others", "words"),
    [
        ({"outcome": ""}, "Choose what was decided."),
        ({"why": " "}, "Say why."),
        ({"advised": ""}, "Say what was advised."),
        ({"understood": ""}, "Choose yes or no."),
        ({"called": "Dr Frei", "called_time": "half past two"}, "such as 14:05"),
        ({"called": "Dr Frei", "called_time": "25:00"}, "such as 14:05"),
        ({"called": "Dr Frei", "called_time": "10:00"}, "Enter the day of the call."),
        ({"follow_up_on_day": "31", "follow_up_on_month": "Feb", "follow_up_on_year": "2099"}, "no day 31"),
        ({"follow_up_on_day": "4", "follow_up_on_month": "May", "follow_up_on_year": "2020"}, "not be past"),
    ],
)
def test_it_names_what_is_missing_and_loses_nothing(raised, flag, as_mara, others, words):
    typed = {"why": "Looked at the whole leg.", "advised": "To rest until Monday.", **others}
    response = as_mara.post(url(raised, flag), sent(raised, flag.id, **typed))
    text = response.content.decode()
    assert response.status_code == 422 and words in text
    for name in ("why", "advised"):
        assert typed[name].strip() in text
    assert not Decision.objects.exists()


def test_a_call_is_never_in_the_future(raised, flag, as_mara):
    tomorrow = today(raised) + timedelta(days=1)
    called = {"called": "Dr Frei", "called_time": "10:00", **day("called_on", tomorrow)}
    response = as_mara.post(url(raised, flag), sent(raised, flag.id, **called))
    assert response.status_code == 422 and "must not be in the future" in response.content.decode()


def test_without_a_call_the_day_that_stands_there_means_nothing(raised, flag, as_mara):
    as_mara.post(url(raised, flag), sent(raised, flag.id, **day("called_on", today(raised))))
    assert Decision.objects.get().called_at is None


def test_that_the_patient_did_not_understand_can_be_said(raised, flag, as_mara):
    as_mara.post(url(raised, flag), sent(raised, flag.id, understood="no"))
    assert Decision.objects.get().understood is False
    assert "not understood" in as_mara.get(f"/visits/{raised.pk}/flags/").content.decode()


def test_a_double_tap_decides_once(raised, flag, mara, as_mara):
    data = sent(raised, flag.id)
    for _ in range(2):
        assert as_mara.post(url(raised, flag), data).status_code == 302
    assert Decision.objects.count() == 1


def test_of_two_who_decide_at_once_the_second_reads_the_first(raised, flag, mara, as_mara, tom, client):
    mine, toms = sent(raised, flag.id), sent(raised, flag.id, why="Called the family physician.")
    as_mara.post(url(raised, flag), mine)
    client.force_login(tom)
    response = client.post(url(raised, flag), toms)
    text = response.content.decode()
    assert response.status_code == 409 and Decision.objects.count() == 1
    assert "Called the family physician." in text and "Mara Steiner" in text
    again = response.context["page"].wrong.data
    assert client.post(url(raised, flag), again).status_code == 302
    assert [row.decided_by for row in Decision.objects.all()] == [mara, tom]


def test_a_reason_that_came_while_it_was_written_is_shown_first(raised, flag, mara, as_mara):
    data = sent(raised, flag.id, why="An old matter.")
    say(raised, saddle_numb="yes")
    response = as_mara.post(url(raised, flag), data)
    text = response.content.decode()
    assert response.status_code == 409 and not Decision.objects.exists()
    assert "An old matter." in text and "between the legs" in text
    with pytest.raises(Stale):
        services.decide(who=mara, visit=raised, **{**said_of(raised, flag.id), "state": "0" * 16})


def test_what_was_typed_about_a_flag_that_is_raised_no_more_comes_back_with_it(raised, flag, as_mara):
    data = sent(raised, flag.id, why="She has a catheter for years.")
    say(raised, **{CAUDA: "no"})
    response = as_mara.post(url(raised, flag), data)
    assert response.status_code == 409 and not Decision.objects.exists()
    say(raised, **{CAUDA: "yes"})
    text = as_mara.get(f"/visits/{raised.pk}/flags/").content.decode()
    assert "She has a catheter for years." in text and "brought back" in text


def test_a_draft_comes_back_and_is_forgotten_once_decided(raised, flag, mara, as_mara):
    key = services.decision_draft(raised, flag.id)
    Draft.objects.create(user=mara, key=key, data={f"{flag.id}-why": ["Half a sent"]})
    assert "Half a sent" in as_mara.get(f"/visits/{raised.pk}/flags/").content.decode()
    as_mara.post(url(raised, flag), sent(raised, flag.id))
    assert not Draft.objects.filter(key=key).exists()


def test_a_flag_to_watch_takes_no_decision(blank, mara):
    say(blank, weight_loss="yes")
    with pytest.raises(Stale):
        decide(mara, blank, "cancer")


def test_only_who_treats_decides_and_only_in_an_open_visit(raised, flag, mara, vera, as_vera):
    with pytest.raises(PermissionDenied):
        decide(vera, raised, flag.id)
    assert as_vera.post(url(raised, flag), sent(raised, flag.id)).status_code == 403
    type(raised).objects.filter(pk=raised.pk).update(signed_at=raised.started_at)
    with pytest.raises(VisitSigned):
        decide(mara, raised, flag.id)
    assert not Decision.objects.exists()


def test_the_manager_reads_it_and_is_offered_no_form(raised, flag, mara, as_vera):
    decide(mara, raised, flag.id, outcome="spoken", called="Dr Frei", called_at=call_at(raised))
    text = as_vera.get(f"/visits/{raised.pk}/flags/").content.decode()
    assert "Dr Frei" in text and "data-draft" not in text


def test_another_practice_finds_nothing(raised, flag, as_ines):
    data = {f"{flag.id}-id": str(uuid.uuid4())}
    assert as_ines.post(url(raised, flag), data).status_code == 404
    assert as_ines.get(f"/visits/{raised.pk}/flags/").status_code == 404

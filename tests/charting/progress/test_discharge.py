"""The end of an episode: the summary that was seen is frozen, and nothing typed is lost on the way."""

import json
import re

import pytest
from django.urls import reverse

from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.episodes import services as episodes
from charting.episodes.models import EpisodeEvent
from charting.outcomes.models import OutcomeScore
from charting.progress.course import course_of
from charting.progress.services import draft_key
from charting.progress.summary import fingerprint, summary_of
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.progress import courses


@pytest.fixture
def five(anna, mara):
    return courses.five(anna, mara)


@pytest.fixture
def url(five) -> str:
    return reverse("discharge", args=[five[0].patient_id, five[0].pk])


def seen(client, url: str) -> str:
    return re.search(r'name="seen" value="(\w+)"', client.get(url).content.decode()).group(1)


def end(client, url: str, **others):
    said = {"reason": "goals", "words": "Back at work. Come again when it returns.", **others}
    return client.post(url, {"seen": seen(client, url), **said})


def test_the_summary_holds_first_and_last_of_every_measure_with_both_rules(five, mara):
    found = summary_of(course_of(mara, five[0]))
    pain = found["measures"][0]
    assert (pain["first"]["words"], pain["last"]["words"]) == ("7 of 10", "3 of 10")
    assert (pain["first"]["on"], pain["last"]["on"]) == ("4 May 2026", "29 July 2026")
    rules = [each["rule"] for each in pain["judged"]]
    # In points and in per cent (Farrar 2001, checked).
    assert "Important change 2 points" in rules and "Important change 30 %" in rules
    assert all(each["met"] is not None for each in pain["judged"])
    assert {each["key"].split(":")[0].split(".")[0] for each in found["measures"]} == {
        "nprs",
        "extent",
        "threshold",
        "range",
    }


def test_the_summary_holds_treatments_reactions_missed_visits_and_the_home_programme(five, mara):
    found = summary_of(course_of(mara, five[0]))
    assert found["visits"] == 5 and found["treated_visits"] == 3
    assert found["treated"][0] == {
        "where": "Infraspinatus, right",
        "visits": "3 visits",
        "done": "manual pressure 3 times",
    }
    assert [each["on"] for each in found["reactions"]] == ["7 May 2026", "21 May 2026"]
    assert found["missed"] == [{"on": "3 June 2026", "words": "Forgot it."}]
    assert found["programme"]["items"][0]["title"] == "Arm circles"
    assert json.loads(json.dumps(found)) == found


def test_it_ends_the_episode_and_keeps_what_was_seen(five, url, mara, as_mara):
    before = summary_of(course_of(mara, five[0]))
    answer = end(as_mara, url)
    assert (answer.status_code, answer.url) == (302, url)
    event = EpisodeEvent.objects.get(episode=five[0])
    assert (event.reason, event.done_by, event.summary) == ("goals", mara, before)
    five[0].refresh_from_db()
    assert not five[0].is_open


def test_it_leaves_one_row_in_the_trace(five, url, as_mara):
    end(as_mara, url)
    rows = AuditEntry.objects.filter(action="discharged episode")
    assert [row.object_id for row in rows] == [str(five[0].pk)]


def test_afterwards_it_is_read_only_and_never_worked_out_again(five, url, as_mara):
    end(as_mara, url)
    OutcomeScore.objects.all().update(answers={"average": 10})
    page = as_mara.get(url).content.decode()
    assert '<button class="main">Discharge</button>' not in page
    assert "Goals reached." in page and "Back at work." in page
    assert "7 to 3: 4 points less (57.1 %)" in page
    assert reverse("episode-reopen", args=[five[0].pk]) in page


def test_a_reopened_episode_shows_its_earlier_discharge_and_can_end_again(five, url, mara, as_mara):
    end(as_mara, url)
    episodes.reopen(who=mara, episode=five[0], words="It came back.")
    page = as_mara.get(url).content.decode()
    assert "An earlier discharge, reopened since" in page and "Back at work." in page
    assert end(as_mara, url, reason="plateau").status_code == 302
    page = as_mara.get(url).content.decode()
    assert "Discharged: " in page and "An earlier discharge" in page


def test_unsigned_visits_are_named_and_what_was_typed_stays(five, url, as_mara):
    Visit.objects.filter(pk=five[1][4].pk).update(signed_at=None)
    assert "Visit of 29 July 2026" in as_mara.get(url).content.decode()
    answer = end(as_mara, url)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Sign this first: the visit of 29 July 2026 with Mara Steiner." in page
    assert "Back at work. Come again when it returns." in page
    assert not EpisodeEvent.objects.exists()


def test_a_record_that_changed_meanwhile_is_not_frozen_unseen(five, url, as_mara):
    then = seen(as_mara, url)
    OutcomeScore.objects.filter(visit=five[1][4]).update(answers={"average": 5})
    answer = as_mara.post(url, {"seen": then, "reason": "goals", "words": "Well."})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "The record has changed since this page was opened." in page
    assert "7 to 5: 2 points less" in page and ">Well.</textarea>" in page.replace("\n", "")
    now = re.search(r'name="seen" value="(\w+)"', page).group(1)
    assert as_mara.post(url, {"seen": now, "reason": "goals", "words": "Well."}).status_code == 302


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"reason": ""}, "Choose why the episode ends."),
        ({"reason": "bored"}, "Choose one of these reasons."),
        ({"reason": "other", "words": " "}, "Write why the episode ends."),
        ({"words": "x" * 4001}, "at most 4000 characters"),
    ],
)
def test_what_is_missing_is_said_and_nothing_ends(url, as_mara, said, words):
    answer = end(as_mara, url, **said)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not EpisodeEvent.objects.exists()


def test_ending_it_twice_names_the_first_time_and_keeps_the_words(five, url, mara, as_mara):
    then = seen(as_mara, url)
    episodes.discharge(who=mara, episode=five[0], reason="goals", words="", summary={})
    answer = as_mara.post(url, {"seen": then, "reason": "goals", "words": "Second time."})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "discharged already" in page and "Second time." in page
    assert EpisodeEvent.objects.count() == 1


def test_a_draft_comes_back_and_is_gone_once_it_has_ended(five, url, mara, as_mara):
    key = draft_key(five[0])
    as_mara.post(reverse("draft-keep"), {"draft_key": key, "words": "Half a sent", "reason": "choice"})
    page = as_mara.get(url).content.decode()
    assert "Half a sent" in page and "was brought back" in page
    end(as_mara, url)
    assert not Draft.objects.filter(user=mara, key=key).exists()


def test_who_may_not_treat_reads_it_and_can_not_end_it(five, url, as_vera):
    page = as_vera.get(url)
    assert page.status_code == 200 and b"Who treats patients can discharge it" in page.content
    assert as_vera.post(url, {"reason": "goals"}).status_code == 403


def test_an_episode_of_another_person_or_practice_is_unknown(five, url, practice, as_mara, as_ines):
    other = recorded.patient(practice, number=77)
    assert as_mara.get(reverse("discharge", args=[other.pk, five[0].pk])).status_code == 404
    assert as_ines.get(url).status_code == 404


def test_the_same_record_has_the_same_fingerprint(five, mara):
    both = [fingerprint(summary_of(course_of(mara, five[0]))) for _ in range(2)]
    assert both[0] == both[1]

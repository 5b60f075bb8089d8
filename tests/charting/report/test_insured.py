"""What the insurer asks, as the note keeps it: plain data, and as it prints."""

import json
from datetime import UTC, date, datetime, time

import pytest
from django.template.loader import render_to_string

from charting.insurance import services
from charting.insurance.models import Payer
from charting.report.insured import insured
from charting.visits.models import Visit
from tests.charting.episodes.cared import an_episode
from tests.charting.insured import a_claim, a_payer, a_policy, an_authorisation


@pytest.fixture
def paid(anna, mara) -> Visit:
    """The second visit about a complaint that an insurer pays for; the first is the one of the cast."""
    episode = an_episode(anna, mara)
    Visit.objects.filter(episode=episode).update(started_at=datetime(2026, 5, 4, 8, tzinfo=UTC))
    payer = a_payer(anna.practice, payer_number="NL 9", units=Payer.Units.EIGHT_MINUTES)
    a_claim(mara, episode, policy=a_policy(anna, payer))
    an_authorisation(mara, episode, begins=date(2026, 5, 1), ends=date(2026, 6, 30))
    visit = Visit.objects.create(patient=anna, clinician=mara, episode=episode)
    Visit.objects.filter(pk=visit.pk).update(started_at=datetime(2026, 5, 6, 8, tzinfo=UTC))
    visit.refresh_from_db()
    return visit


def rows(visit, title):
    groups = {group["title"]: dict(group["rows"]) for group in insured(visit)["groups"]}
    return groups[title]


def treat(visit, technique, minutes, began, ended):
    said = {"muscle": "infraspinatus", "side": "right", "entered_by": visit.clinician}
    place = visit.treatments.count() + 1
    clock = {"began_at": time(*began), "ended_at": time(*ended), "minutes": minutes}
    return visit.treatments.create(technique=technique, position=place, **said, **clock)


def test_there_is_nothing_where_nobody_else_pays(visit, anna, mara):
    assert insured(visit) == {}
    alone = Visit.objects.create(patient=anna, clinician=mara, episode=an_episode(anna, mara))
    services.save_claim(who=mara, episode=alone.episode, version=0, claim_number="CL-1")
    assert insured(alone) == {}


def test_it_says_each_group_in_words(paid):
    assert rows(paid, "Payer and policy")["Payer"] == "Northlake Mutual (payer number NL 9)"
    assert rows(paid, "The injury")["Day of the injury"] == "5 March 2026"
    assert rows(paid, "Referral")["Referred by"] == "Dr Lena Vogt, family physician, number GP 12"
    held = "from 1 January 2026 until 31 December 2027"
    assert rows(paid, "Plan of care")["Plan of care"] == held


def test_visits_are_counted_up_to_this_one(paid, mara):
    later = Visit.objects.create(patient=paid.patient, clinician=mara, episode=paid.episode)
    Visit.objects.filter(pk=later.pk).update(started_at=datetime(2026, 5, 11, 8, tzinfo=UTC))
    said = rows(paid, "Authorisations")["Number A-7"]
    assert said == "2 of 6 visits used; from 1 May 2026 until 30 June 2026"


def test_the_work_status_is_that_of_the_day(paid, mara):
    for status, day in (("none", date(2026, 5, 1)), ("full", date(2026, 5, 20))):
        said = {"status": status, "percent": None, "limits": "", "from_on": day}
        services.add_work_status(who=mara, episode=paid.episode, **said)
    assert rows(paid, "Work")["Work status"] == "No work, from 1 May 2026"


def test_minutes_in_and_out_make_units(paid):
    """41 timed minutes are 3 units by the published table (38 to 52 minutes: checked)."""
    treat(paid, "pressure", 21, (9, 0), (9, 21))
    treat(paid, "needling", 9, (9, 21), (9, 30))
    treat(paid, "exercise", 20, (9, 30), (9, 50))
    found = insured(paid)["time"]
    assert [(one["began"], one["ended"], one["minutes"]) for one in found["entries"]] == [
        ("09:00", "09:21", 21),
        ("09:30", "09:50", 20),
    ]
    assert (found["minutes"], found["units"]) == (41, 3)


def test_it_is_plain_data(paid):
    treat(paid, "pressure", 21, (9, 0), (9, 21))
    found = insured(paid)
    assert json.loads(json.dumps(found)) == found


def test_it_prints_what_is_kept(paid):
    treat(paid, "pressure", 21, (9, 0), (9, 21))
    text = render_to_string("report/_insurance.html", {"note": {"insurance": insured(paid)}})
    for said in (
        "Northlake Mutual",
        "NM-1042",
        "2 of 6 visits used",
        "09:00",
        "21 timed minutes",
        "1 unit (15 minutes each",
    ):
        assert said in text
    assert "The payer's own rules decide." in text.replace("&#x27;", "'")


def test_a_note_of_before_prints_nothing_of_it():
    assert render_to_string("report/_insurance.html", {"note": {}}).strip() == ""

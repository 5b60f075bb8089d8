"""What is missing is told before anything prints: what every payer asks, and what this one does."""

from datetime import date, time

import pytest

from charting.insurance import missing_file, services
from charting.insurance.missing import missing_of
from charting.insurance.missing_file import MissingError
from charting.visits.models import Visit
from tests.charting.insured import a_claim, a_payer, a_policy, an_authorisation


def of(episode, visit=None, **more):
    return {one.what for one in missing_of(episode, visit, **more)}


@pytest.fixture
def held(episode, anna, mara):
    anna.practice.registration = "PR 1"
    anna.practice.save()
    return Visit.objects.create(patient=anna, clinician=mara, episode=episode)


def told(who, episode, *, asks=(), units="none", **more):
    payer = a_payer(episode.patient.practice, asks=list(asks), units=units)
    more.setdefault("cause", "illness")
    return a_claim(who, episode, policy=a_policy(episode.patient, payer), **more)


def test_a_patient_who_pays_alone_is_asked_nothing(episode, held):
    assert of(episode, held) == set()


def test_a_report_for_the_payer_asks_who_that_is(episode):
    assert of(episode) == {"payer"}
    assert of(episode, paper="referrer") == set()


def test_nothing_is_missing_when_all_is_recorded(episode, held, mara):
    told(mara, episode)
    assert of(episode, held) == of(episode) == set()


@pytest.mark.parametrize(
    ("left_out", "expected"),
    [
        ({"cause": ""}, "cause"),
        ({"injured_on": None}, "injured_on"),
        ({"referred_on": None}, "referral_day"),
        ({"prior_function": " "}, "prior_function"),
        ({"plan_until": None}, "plan"),
        ({"plan_until": date(2026, 2, 1)}, "plan_over"),
        ({"cause": "work"}, "work_after_accident"),
    ],
)
def test_it_tells_each_thing_that_every_payer_asks(episode, held, mara, left_out, expected):
    told(mara, episode, **left_out)
    assert of(episode, held) == {expected}


@pytest.mark.parametrize(
    ("asked", "left_out"),
    [
        ("claim_number", {"claim_number": ""}),
        ("referral", {"referred_by": ""}),
        ("work", {}),
        ("certification", {}),
        ("authorisation", {}),
    ],
)
def test_it_tells_what_this_payer_asks_and_no_other(episode, held, mara, asked, left_out):
    claim = told(mara, episode, asks=[asked], **left_out)
    assert of(episode, held) == {asked}
    claim.policy.payer.asks = []
    claim.policy.payer.save()
    assert of(episode, held) == set()


def test_it_tells_when_more_visits_were_held_than_authorised(episode, held, mara):
    told(mara, episode)
    an_authorisation(mara, episode, visits=1)
    (one,) = missing_of(episode, held)
    assert (one.what, "A-7, 2 of 1" in one.words) == ("authorisation_spent", True)
    assert one.url == f"/episodes/{episode.pk}/insurance/#authorisations"


def test_it_tells_the_registration_numbers_of_clinician_and_practice(episode, held, mara, anna):
    told(mara, episode)
    mara.registration = anna.practice.registration = ""
    mara.save()
    anna.practice.save()
    visit = Visit.objects.get(pk=held.pk)
    found = {one.what: one for one in missing_of(visit.episode, visit)}
    assert set(found) == {"registration", "practice_registration"}
    assert "Mara Steiner" in found["registration"].words


def test_it_tells_timed_procedures_without_minutes_or_clock(episode, held, mara):
    told(mara, episode, asks=["clock"])
    said = {"visit": held, "entered_by": mara, "side": "right", "muscle": "infraspinatus"}
    held.treatments.create(**said, technique="pressure", position=1)
    held.treatments.create(**said, technique="needling", position=2, needles={"count_in": 1, "count_out": 1})
    found = {one.what: one.words for one in missing_of(episode, held)}
    assert set(found) == {"minutes", "clock"}
    assert "manual pressure (entry 1)" in found["minutes"]
    assert "needling" not in found["clock"]


def test_it_tells_two_procedures_at_the_same_time(episode, held, mara):
    told(mara, episode)
    said = {"visit": held, "entered_by": mara, "minutes": 10, "side": "right", "muscle": "infraspinatus"}
    clock = [(time(9, 0), time(9, 10)), (time(9, 5), time(9, 15))]
    for number, (began, ended) in enumerate(clock, 1):
        held.treatments.create(**said, technique="pressure", position=number, began_at=began, ended_at=ended)
    assert of(episode, held) == {"overlap"}


def test_a_policy_that_was_over_is_named(episode, held, mara):
    claim = told(mara, episode)
    said = {"payer": claim.policy.payer, "number": "NM-1", "group_number": "", "holder": ""}
    over = {"holder_relation": "", "began_on": None, "ended_on": date(2026, 1, 1)}
    services.change_policy(who=mara, policy=claim.policy, version=1, **said, **over)
    assert of(episode, held) == {"policy_over"}


@pytest.mark.parametrize(
    ("wrong", "right", "said"),
    [
        ('id = "cause"', 'id = "because"', "because: has to stand here and in missing_checks.py"),
        ('at = "insurance#injury"', 'at = "insurance#wound"', "cause: at: one of"),
        ('label = "Work status"\n', "", "work: label: say it in words"),
        ('papers = ["progress"]', "papers = []", "payer: papers: name at least one"),
        ('status = "common practice"', 'status = "sure"', "payer: status: one of"),
    ],
)
def test_the_file_names_the_entry_to_mend(wrong, right, said):
    text = missing_file.FILE.read_text(encoding="utf-8")
    assert wrong in text
    with pytest.raises(MissingError, match=f"missing.toml: {said}"):
        missing_file.read(text.replace(wrong, right, 1))

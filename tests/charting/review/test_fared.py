"""From first to last score of many people, beside published important changes; reactions; what is missing."""

from datetime import date, timedelta

import pytest

from charting.outcomes.models import OutcomeScore
from charting.review import complete, safety
from charting.review.forms import ReviewForm
from charting.review.muscles import treated
from charting.review.outcomes import outcome_rows
from charting.review.queries import selected
from charting.treatment.models import AdverseEvent, AdverseFollowUp
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.review.practices import LOW_BACK, NECK, people, scored, visit_of

YEAR = {"first": "2026-03", "last": "2026-06"}


def chosen(user, **said):
    form = ReviewForm({**YEAR, **said}, user=user)
    assert form.is_valid(), form.errors
    return form.chosen()


def fared(user, **said):
    choice = chosen(user, **said)
    return {row.name: row for row in outcome_rows(user, choice, selected(user, choice))}


def reached(row):
    return {one.words: (one.people.words, one.of.words) for one in row.reached}


def test_it_tells_first_to_last_by_the_published_changes(mara):
    # Farrar 2001, Pain 94:149 (checked): 2 points or 30 % is much better. 7 to 5 is 2 points but 28.6 %;
    # 4 to 2 is both; by hand.
    for visit in people(mara, 10, LOW_BACK):
        scored(visit, 7, 8, 5)
    for visit in people(mara, 10, LOW_BACK):
        scored(visit, 4, 2)
    row = next(iter(fared(mara).values()))
    assert row.people.words == "20 to 24"
    assert [(one.label, one.people.words) for one in row.groups] == [
        ("Better", "20 to 24"),
        ("As before", "too few"),
        ("Worse", "too few"),
    ]
    told = reached(row)
    assert told["2 points"] == ("20 to 24", "20 to 24")
    percent = next(value for words, value in told.items() if words.endswith("30 %"))
    assert percent == ("10 to 14", "20 to 24")


def test_a_change_for_the_worse_reaches_nothing(mara):
    for visit in people(mara, 10, NECK):
        scored(visit, 3, 8)
    row = next(iter(fared(mara).values()))
    assert row.groups[2].people.words == "10 to 14"
    assert {people_ for people_, _ in reached(row).values()} == {"too few"}


def test_a_change_found_for_the_neck_speaks_of_necks_alone(mara):
    for visit in people(mara, 10, NECK):
        scored(visit, 6, 4)
    for visit in people(mara, 20, LOW_BACK):
        scored(visit, 6, 4)
    row = next(iter(fared(mara).values()))
    # Cleland 2008: 1.3 points, mechanical neck pain (checked).
    assert reached(row)["1.3 points"] == ("10 to 14", "10 to 14")


def test_the_first_score_may_lie_before_the_period_and_the_last_one_not_after(mara):
    for visit in people(mara, 10, NECK):
        scored(visit, 8, 5)
        late = visit_of(visit.patient, mara, at=visit.started_at + timedelta(days=60))
        Visit.objects.filter(pk=late.pk).update(episode=Visit.objects.get(pk=visit.pk).episode)
        OutcomeScore.objects.create(visit=late, instrument="nprs", answers={"average": 0})
    row = next(iter(fared(mara, first="2026-05", last="2026-05").values()))
    last = {part.label: part.last.words for part in row.scale}
    assert last["4 to under 6"] == "10 to 14" and last["0 to under 2"] == "too few"


def test_a_person_with_two_episodes_counts_once_with_the_later(mara):
    for visit in people(mara, 10, NECK):
        scored(visit, 3, 9)
        again = visit_of(visit.patient, mara, NECK, at=visit.started_at + timedelta(days=20))
        scored(again, 9, 3)
    row = next(iter(fared(mara).values()))
    assert row.people.words == row.groups[0].people.words == "10 to 14"
    assert row.groups[2].people.words == "too few"


def test_one_score_is_no_course(mara):
    for visit in people(mara, 12, NECK):
        scored(visit, 5)
    assert fared(mara) == {}


def test_scores_spread_over_the_scale_in_parts(mara):
    for visit in people(mara, 10, NECK):
        scored(visit, 10, 2)
    row = next(iter(fared(mara).values()))
    assert [(one.label, one.first.words, one.last.words) for one in row.scale] == [
        ("0 to under 2", "too few", "too few"),
        ("2 to under 4", "too few", "10 to 14"),
        ("4 to under 6", "too few", "too few"),
        ("6 to under 8", "too few", "too few"),
        ("8 to 10", "10 to 14", "too few"),
    ]


def test_muscles_are_told_by_people_with_the_needled_among_them(mara):
    for number, visit in enumerate(people(mara, 20, NECK)):
        recorded.treat(visit, "pressure", "infraspinatus.right")
        recorded.treat(visit, "pressure", "infraspinatus.left")
        if number < 10:
            recorded.treat(visit, "needling", "infraspinatus.right", needles=recorded.NEEDLES)
        if number < 3:
            recorded.treat(visit, "stretch", "scalenus_medius.right")
    choice = chosen(mara)
    rows = treated(mara, choice, selected(mara, choice))
    assert [(row.name, row.people.words, row.needled.words) for row in rows] == [
        ("Infraspinatus", "20 to 24", "10 to 14")
    ]


def reaction(visit, severity, **more):
    said = {"what": "bruise", "words": "Blue.", "recorded_by": visit.clinician, "technique": "needling"}
    said |= {"patient": visit.patient, "visit": visit, "happened_at": visit.started_at}
    return AdverseEvent.objects.create(severity=severity, **(said | more))


@pytest.fixture
def forty(mara):
    """Forty treatments, half of them with a needle, one visit of words alone."""
    visits = people(mara, 41, NECK)
    for number, visit in enumerate(visits[:40]):
        recorded.treat(visit, "pressure", "infraspinatus.right")
        if number < 20:
            recorded.treat(visit, "needling", "infraspinatus.right", needles=recorded.NEEDLES)
    recorded.treat(visits[40], "education", "infraspinatus.right")
    return visits


def told(rates):
    return [(one.count, one.of) for one in rates]


def test_a_treatment_counts_once_with_its_worst_reaction(mara, forty):
    first, second, third = forty[:3]
    reaction(first, "mild")
    reaction(first, "significant")
    reaction(second, "mild")
    wrong = reaction(third, "serious")
    reaction(third, "mild", corrects=wrong)
    found = safety.safety_of(mara, chosen(mara))
    assert told(found.treatments) == told([safety.rate("", n, 40) for n in (3, 1, 0)])
    assert told(found.needled) == [(3, 20), (1, 20), (0, 20)]
    # 1 - 0.05^(1/20), by hand: 13.9 %.
    assert found.needled[2].at_most_words == "13.9 %"


def test_what_followed_pressing_is_no_reaction_to_the_needle(mara, forty):
    reaction(forty[0], "mild", technique="pressure")
    reaction(forty[1], "mild", technique="")
    found = safety.safety_of(mara, chosen(mara))
    assert found.treatments[0].count == 2 and found.needled[0].count == 1


def test_a_reaction_tied_to_no_visit_is_told_and_in_no_rate(mara, forty):
    tied = reaction(forty[0], "serious")
    reaction(forty[0], "serious", corrects=tied)
    AdverseEvent.objects.create(
        patient=forty[1].patient,
        happened_at=forty[1].started_at,
        severity="serious",
        what="bruise",
        recorded_by=mara,
    )
    found = safety.safety_of(mara, chosen(mara))
    assert found.untied == 1 and found.treatments[2].count == 1


def test_rates_follow_no_filter_that_would_single_out_a_person(mara, forty):
    reaction(forty[0], "mild")
    narrow = safety.safety_of(mara, chosen(mara, sex="male", ages="80", part="neck", kind="burning"))
    assert told(narrow.treatments) == [(1, 40), (0, 40), (0, 40)]


def test_rates_are_of_the_clinician(mara, tom, forty):
    assert told(safety.safety_of(mara, chosen(mara, clinician=str(tom.pk))).treatments) == [(0, 0)] * 3


def test_what_is_missing_is_counted(mara):
    visits = people(mara, 6, NECK)
    scored(visits[0], 5, 4)
    scored(visits[1], 5)
    open_ = visit_of(visits[5].patient, mara)
    Visit.objects.filter(pk=open_.pk).update(signed_at=None)
    day = date(2026, 5, 20)
    AdverseFollowUp.objects.create(
        event=reaction(visits[2], "significant", follow_up_on=day), words="Gone.", done_by=mara
    )
    reaction(visits[3], "significant", follow_up_on=day)
    reaction(visits[4], "mild")
    lines = {line.label: line for line in complete.lines(mara, chosen(mara))}
    assert [(line.count, line.of) for line in lines.values()] == [(7, 8), (3, 7), (2, 2), (1, 1), (1, 2)]
    assert lines["Reactions to be looked at again that were"].remark == "1 overdue"
    assert lines["Signed visits with a score"].remark == "4 without a score"

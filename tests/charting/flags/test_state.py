"""What a visit says of danger: raised anew at each read, decided once, until something new comes."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from charting.drawing.areas import told
from charting.drawing.queries import drawing_of
from charting.flags.models import Decision
from charting.flags.queries import FlagsOpen, facts_of, holding, require_cleared, state_of
from charting.moving import services as moving
from tests.charting import recorded
from tests.charting.flags.conftest import CAUDA, decide, say


def test_it_reads_the_person_the_story_and_the_drawing_together(visit):
    """Anna Keller was born on 3 May 1978."""
    say(visit, chest="unsure")
    facts = facts_of(visit)
    assert facts.case.age == visit.patient.age_on(visit.started_at.date())
    assert facts.case.history["chest"] == "unsure" and facts.case.sex == "unknown"
    assert ("strength:C6", "right") in facts.case.findings
    assert facts.drawn.touched(["front:shoulder_anterior"], side="right")


def test_it_sees_the_same_drawing_painted_here_or_at_hand(visit):
    painted = told(drawing_of(visit)).marks
    assert facts_of(visit, painted).drawn == facts_of(visit).drawn
    assert not facts_of(visit).drawn.is_empty


def test_a_yes_to_bladder_and_saddle_holds_treatment_back_as_an_emergency(raised, flag):
    """Hospital within hours (BMJ Best Practice, Cauda equina syndrome; Finucane et al. 2020)."""
    assert flag.level == "emergency"
    assert flag in state_of(raised).open_flags and state_of(raised).holds_back
    with pytest.raises(FlagsOpen, match=flag.title):
        require_cleared(raised)


def test_with_no_to_all_nothing_is_raised_and_nothing_held_back(blank):
    recorded.answer_danger_screen(blank)
    state = state_of(blank)
    assert (state.flags, state.open_flags, state.holds_back) == ((), (), False)
    require_cleared(blank)


def test_a_flag_to_watch_holds_nothing_back(blank):
    recorded.answer_danger_screen(blank, weight_loss="yes")
    state = state_of(blank)
    assert {flag.level for flag in state.flags} == {"watch"}
    assert not state.holds_back and holding(blank) == ()


def test_a_decision_gives_free_what_was_held_back(raised, flag, mara):
    while state_of(raised).open_flags:
        decide(mara, raised, state_of(raised).open_flags[0].id)
    assert not state_of(raised).holds_back
    require_cleared(raised)
    assert flag in state_of(raised).flags


def test_a_new_reason_opens_it_again_and_says_what_is_new(raised, flag, mara):
    decide(mara, raised, flag.id)
    before = set(flag.reasons)
    say(raised, saddle_numb="yes")
    standing = next(each for each in state_of(raised).standing if each.flag.id == flag.id)
    assert standing.is_open
    assert standing.news and not before & set(standing.news)
    assert any("between the legs" in each for each in standing.news)


def test_a_reason_that_falls_away_opens_nothing(raised, flag, mara):
    say(raised, saddle_numb="yes")
    decide(mara, raised, flag.id)
    say(raised, saddle_numb="no")
    standing = next(each for each in state_of(raised).standing if each.flag.id == flag.id)
    assert not standing.is_open


def test_a_higher_level_opens_it_again(raised, flag, mara):
    made = decide(mara, raised, flag.id)
    lower = {**made.shown, "level": "same_day", "level_words": "Today"}
    Decision.objects.create(
        visit=raised,
        flag=flag.id,
        shown=lower,
        outcome="cleared",
        why="w",
        advised="a",
        understood=True,
        decided_by=mara,
    )
    standing = next(each for each in state_of(raised).standing if each.flag.id == flag.id)
    assert standing.is_open and standing.news == (f"now: {flag.level_words}; before: Today",)


def test_a_lower_level_than_decided_opens_nothing(blank, mara):
    """The heart: an emergency until it is said when it was felt last, then a matter of the same day."""
    say(blank, chest="yes")
    decide(mara, blank, "heart")
    say(blank, chest_now="no")
    standing = next(each for each in state_of(blank).standing if each.flag.id == "heart")
    assert standing.last and standing.last.shown["level"] == "emergency"
    assert (standing.flag.level, standing.is_open) == ("same_day", False)


def test_a_later_decision_replaces_the_first_and_both_are_kept(raised, flag, mara, tom):
    first = decide(mara, raised, flag.id)
    second = decide(tom, raised, flag.id, outcome="known", why="Known since 2019.")
    standing = next(each for each in state_of(raised).standing if each.flag.id == flag.id)
    assert standing.decisions == (first, second) and standing.last == second


def test_what_was_decided_stays_in_sight_when_it_is_raised_no_more(raised, flag, mara):
    made = decide(mara, raised, flag.id)
    say(raised, **{CAUDA: "no"})
    assert made in state_of(raised).no_longer_raised


def test_it_takes_the_same_number_of_queries_however_much_there_is(raised, flag, visit, mara):
    def queries(of):
        with CaptureQueriesContext(connection) as seen:
            state_of(of)
        return len(seen)

    few = queries(raised)
    say(visit, **{CAUDA: "yes"}, saddle_numb="yes", chest="yes", chest_now="yes", fever="unsure")
    for each in state_of(visit).open_flags:
        decide(mara, visit, each.id)
        decide(mara, visit, each.id)
    assert queries(visit) == few <= 10


def test_with_the_painted_drawing_at_hand_it_asks_three_less(visit):
    painted = told(drawing_of(visit)).marks
    with CaptureQueriesContext(connection) as whole:
        state_of(visit)
    with CaptureQueriesContext(connection) as less:
        state_of(visit, painted)
    assert len(whole) - len(less) == 3


def test_it_reads_no_drawing_that_was_struck(visit, mara):
    moving.move_drawing(who=mara, visit=visit, to=None, reason="Another person's.")
    assert facts_of(visit).drawn.is_empty

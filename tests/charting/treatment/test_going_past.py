"""Going past a gate: who may, with what reason, and for how long it counts."""

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, transaction

from charting.audit.models import AuditEntry
from charting.history.models import StandingFact
from charting.treatment import gates
from charting.treatment.gate_services import NotOverridable, override
from charting.treatment.gates import gates_for, require_may_needle
from charting.treatment.models import GateOverride
from charting.treatment.where import Where
from charting.versioning import Stale
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.recorded import NEEDLES

RIGHT = Where("rhomboidei", "right")
REASON = "Fainted once as a child at a blood test; lies down, wants it."


@pytest.fixture
def fears(visit):
    """All is asked and agreed; a reaction to needles is on record."""
    recorded.agree(visit, "needling", "upper_back")
    recorded.asked_before_needles(visit, needle_reaction="yes")
    return visit


def stop(visit, at=RIGHT):
    return gates.stops_in(gates.grounds_of(visit), at)[0]


def go_past(who, visit, at=RIGHT, **others):
    said = {"gate": "needle_reaction", "state": "", "reason": REASON, **others}
    said["state"] = said["state"] or gates.state_of(stop(visit, at))
    return override(who=who, visit=visit, at=at, **said)


def test_a_needle_goes_in_once_a_clinician_went_past_the_stop(fears, mara, add):
    with pytest.raises(gates.GateHolds, match="reaction"):
        add("needling", "rhomboidei.right", needles=NEEDLES)
    go_past(mara, fears)
    assert add("needling", "rhomboidei.right", needles=NEEDLES).pk


def test_the_gate_is_kept_as_it_stood_with_the_reason(fears, mara):
    row = go_past(mara, fears)
    assert (row.reason, row.decided_by, row.muscle) == (REASON, mara, "")
    assert row.shown["level"] == "stop" and row.shown["because"] == "Reaction to needles: yes"
    known = gates_for(fears, technique="needling", muscle="rhomboidei", side="right")
    assert [(one.gate.id, one.decision) for one in known.overridden] == [("needle_reaction", row)]
    assert not known.stops


def test_what_holds_of_the_person_is_gone_past_for_the_whole_visit(fears, mara):
    go_past(mara, fears)
    require_may_needle(fears, muscle="trapezius_middle", side="left")


def test_what_holds_of_one_muscle_is_gone_past_for_that_side_only(visit, mara):
    recorded.asked_before_needles(visit, anticoagulant="yes")
    here = Where("quadratus_lumborum", "right")
    row = go_past(mara, visit, here, gate="bleeding_deep_too")
    assert (row.muscle, row.side) == ("quadratus_lumborum", "right")
    require_may_needle(visit, muscle="quadratus_lumborum", side="right")
    with pytest.raises(gates.GateHolds):
        require_may_needle(visit, muscle="quadratus_lumborum", side="left")


def test_it_counts_no_more_when_the_record_says_something_else(fears, mara):
    go_past(mara, fears)
    said = {"visit": fears, "confirmed_by": mara, "patient": fears.patient}
    StandingFact.objects.create(key="needle_reaction", value="unsure", **said)
    with pytest.raises(gates.GateHolds):
        require_may_needle(fears, muscle="rhomboidei", side="right")


def test_a_second_tap_decides_once(fears, mara):
    state = gates.state_of(stop(fears))
    assert go_past(mara, fears) == go_past(mara, fears, state=state)
    assert GateOverride.objects.count() == 1


@pytest.mark.parametrize("who", ["poll", "vera"])
def test_neither_desk_nor_manager_goes_past_a_gate(fears, who, request):
    with pytest.raises(PermissionDenied, match="override gates"):
        go_past(request.getfixturevalue(who), fears)


@pytest.mark.parametrize("reason", ["", "   "])
def test_a_reason_is_needed(fears, mara, reason):
    with pytest.raises(ValueError, match="reason"):
        go_past(mara, fears, reason=reason)


def test_nobody_goes_past_somebody_who_cannot_decide(visit, mara):
    recorded.asked_before_needles(visit)
    visit.story_answers.create(key="decides_self", value="no")
    with pytest.raises(NotOverridable):
        go_past(mara, visit, gate="cannot_decide")


@pytest.mark.parametrize("others", [{"state": "0" * 16}, {"gate": "diabetes"}, {"gate": "no_such_gate"}])
def test_a_gate_that_is_not_as_it_was_shown_is_shown_again(fears, mara, others):
    with pytest.raises(Stale):
        go_past(mara, fears, **others)


def test_a_signed_visit_is_closed(fears, mara):
    state = gates.state_of(stop(fears))
    type(fears).objects.filter(pk=fears.pk).update(signed_at=fears.started_at)
    with pytest.raises(VisitSigned):
        go_past(mara, fears, state=state)


def test_it_leaves_a_trace_without_words(fears, mara):
    go_past(mara, fears)
    row = AuditEntry.objects.filter(action="went past a gate").get()
    assert row.detail["gate"] == "needle_reaction" and "Fainted" not in str(row.detail)


def test_nobody_changes_or_deletes_it_afterwards(fears, mara):
    row = go_past(mara, fears)
    with pytest.raises(DatabaseError), transaction.atomic():
        GateOverride.objects.filter(pk=row.pk).update(reason="Something else.")
    with pytest.raises(DatabaseError), transaction.atomic():
        row.delete()

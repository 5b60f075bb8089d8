"""Needles in and out: unequal counts open an incident, which stays open until it is recorded."""

import pytest

from bodymaps import atlas
from charting.audit.models import AuditEntry
from charting.treatment import incidents
from charting.treatment.gate_services import give_late_advice, record_incident
from charting.treatment.gates import stops_of
from charting.treatment.models import LateAdvice, NeedleIncident, TreatmentEntry
from charting.versioning import Stale
from tests.charting import recorded
from tests.charting.recorded import NEEDLES

SAID = {"words": "One needle short.", "done": "Found in the towel.", "told_patient": True}


def needled(visit, place="infraspinatus.left.upper_belly", **counts):
    return recorded.treat(visit, "needling", place, needles={**NEEDLES, **counts})


def recount(row, **counts):
    TreatmentEntry.objects.filter(pk=row.pk).update(needles={**row.needles, **counts})


def state(visit):
    return incidents.state_of(incidents.shown_in(visit.treatments.all(), atlas.load()))


def tell(who, visit, **others):
    return record_incident(who=who, visit=visit, **{**SAID, "state": state(visit), **others})


def about_needles(visit):
    return [words for words in stops_of(visit) if "eedles" in words.split("(")[0]]


def test_equal_counts_hold_nothing_back(visit):
    needled(visit)
    assert not about_needles(visit)


def test_a_visit_without_needles_holds_nothing_back(visit):
    recorded.treat(visit, "pressure", "rhomboidei.right", needles={})
    assert stops_of(visit) == ()


def test_needles_that_were_not_counted_out_hold_the_signature_back(visit):
    needled(visit, count_out=None)
    assert about_needles(visit) == ["Needles are not counted out yet: Infraspinatus, left."]


def test_unequal_counts_hold_it_back_until_the_incident_is_recorded(visit, mara):
    needled(visit, count_out=2)
    assert "3 in, 2 out" in about_needles(visit)[0]
    row = tell(mara, visit)
    assert not about_needles(visit)
    assert [(one["count_in"], one["count_out"]) for one in row.shown] == [(3, 2)]
    assert row.shown[0]["where"].startswith("Infraspinatus")


def test_one_too_many_out_is_an_incident_too(visit):
    needled(visit, count_out=4)
    assert "3 in, 4 out" in about_needles(visit)[0]


def test_a_later_count_opens_it_again_and_an_equal_one_closes_it(visit, mara):
    row = needled(visit, count_out=2)
    tell(mara, visit)
    recount(row, count_out=1)
    assert "3 in, 1 out" in about_needles(visit)[0]
    recount(row, count_out=3)
    assert not about_needles(visit)


def test_an_incident_of_one_muscle_says_nothing_of_another(visit, mara):
    needled(visit, count_out=2)
    tell(mara, visit)
    needled(visit, "infraspinatus.right.upper_belly", count_out=2)
    assert "right" in about_needles(visit)[0] and "left" not in about_needles(visit)[0]


def test_counts_that_changed_meanwhile_are_shown_again(visit, mara):
    row = needled(visit, count_out=2)
    before = state(visit)
    recount(row, count_out=1)
    with pytest.raises(Stale):
        tell(mara, visit, state=before)


def test_without_a_difference_there_is_nothing_to_record(visit, mara):
    needled(visit)
    with pytest.raises(Stale):
        tell(mara, visit)


def test_a_second_tap_records_once(visit, mara):
    needled(visit, count_out=2)
    assert tell(mara, visit) == tell(mara, visit)
    assert NeedleIncident.objects.count() == 1


@pytest.mark.parametrize("empty", ["words", "done"])
def test_it_needs_what_happened_and_what_was_done(visit, mara, empty):
    needled(visit, count_out=2)
    with pytest.raises(ValueError, match="needs what happened"):
        tell(mara, visit, **{empty: " "})


def test_the_trail_has_no_words_of_it(visit, mara):
    needled(visit, count_out=2)
    tell(mara, visit)
    row = AuditEntry.objects.get(action="recorded needle incident")
    assert row.detail == {"visit": str(visit.pk), "entries": 1}


def test_needles_over_the_lung_wait_for_the_advice_about_late_symptoms(visit, mara):
    needled(visit, "rhomboidei.right")
    assert stops_of(visit) == (
        "Needled over the lung (Rhomboid major and minor, right): record the advice about late symptoms.",
    )
    give_late_advice(who=mara, visit=visit, words="Short breath: call.", call="112", understood=True)
    assert stops_of(visit) == ()


def test_needles_elsewhere_do_not(visit):
    needled(visit, "soleus.right")
    assert stops_of(visit) == ()


def test_the_same_advice_again_adds_nothing(visit, mara):
    said = {"words": "Short breath: call.", "call": "112", "understood": True}
    first = give_late_advice(who=mara, visit=visit, **said)
    assert give_late_advice(who=mara, visit=visit, **said) == first
    give_late_advice(who=mara, visit=visit, **{**said, "understood": False})
    assert LateAdvice.objects.count() == 2


@pytest.mark.parametrize("empty", ["words", "call"])
def test_advice_needs_its_words_and_whom_to_call(visit, mara, empty):
    said = {"words": "Short breath: call.", "call": "112", "understood": True, empty: " "}
    with pytest.raises(ValueError, match="advice needs"):
        give_late_advice(who=mara, visit=visit, **said)

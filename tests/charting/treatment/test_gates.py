"""Which gates hold in a visit: what was asked, agreed to, decided, and needled on the other side."""

from datetime import timedelta

import pytest
from django.utils import timezone

from charting.consent.models import Consent, ConsentWithdrawn
from charting.history.models import DangerAnswer, StandingFact, StoryAnswer
from charting.treatment import gates
from charting.treatment.gates import GateHolds, gates_for, require_may_needle
from tests.charting import recorded
from tests.charting.flags.conftest import CAUDA, decide, first_flag, say

RHOMBOIDS = {"muscle": "rhomboidei", "side": "right"}


def found(visit, technique="needling", **at):
    return gates_for(visit, technique=technique, **{**RHOMBOIDS, **at})


def ids(listed):
    return [gate.id for gate in listed]


def asked_anew(visit, key, value):
    said = {"visit": visit, "confirmed_by": visit.clinician, "value": value}
    StandingFact.objects.create(patient=visit.patient, key=key, **said)


def test_with_all_asked_and_agreed_nothing_stops_a_needle(agreed):
    assert found(agreed).may_needle and not found(agreed).stops


def test_the_lung_stands_first_and_measures_and_advice_are_called_for(agreed):
    """Needling and a muscle of the published list (clinical reference 12.3)."""
    known = found(agreed)
    assert known.at_risk[0].title == "Lung and pleura" and known.over_lung
    assert "rib_grip" in ids(known.cautions)


def test_a_depth_beyond_the_published_figure_is_warned_of(agreed):
    """19 mm for the rhomboid major (Valera-Calero 2020)."""
    assert "depth:rhomboid_19" not in ids(found(agreed, depth_mm=19).cautions)
    assert "depth:rhomboid_19" in ids(found(agreed, depth_mm=21).cautions)


def test_without_needles_only_consent_and_danger_are_asked(agreed):
    known = found(agreed, technique="pressure", muscle="infraspinatus")
    assert known.may_needle and not (known.at_risk or known.cautions or known.notes)


def test_an_unknown_technique_is_refused(agreed):
    with pytest.raises(ValueError, match="no such technique"):
        found(agreed, technique="magic")


@pytest.mark.parametrize("key", ["anticoagulant", "needle_reaction", "pregnancy"])
def test_what_was_not_asked_holds_the_needle_back(agreed, key):
    asked_anew(agreed, key, "")
    assert f"asked:{key}" in ids(found(agreed).stops)
    with pytest.raises(GateHolds, match="Not asked yet"):
        require_may_needle(agreed, **RHOMBOIDS)


def test_conditions_that_nobody_asked_hold_it_back_too(agreed):
    StoryAnswer.objects.filter(visit=agreed, key="conditions").delete()
    assert ids(found(agreed).stops) == ["asked:conditions"]


def test_an_incomplete_danger_screen_holds_it_back(agreed):
    DangerAnswer.objects.filter(visit=agreed, question="fever").delete()
    assert ids(found(agreed).stops) == ["not_screened"]


def test_what_was_confirmed_long_ago_is_asked_again(agreed, monkeypatch):
    later = timezone.now() + timedelta(days=91)
    monkeypatch.setattr(gates.timezone, "now", lambda: later)
    assert "confirm_again" in ids(found(agreed).cautions)


def test_consent_for_another_area_does_not_cover_this_one(agreed):
    held = found(agreed, muscle="serratus_anterior").held
    assert held and any("chest" in each.words for each in held)


def test_a_consent_that_was_withdrawn_holds_the_next_needle_back(agreed):
    consent = agreed.consents.get(procedure="needling")
    ConsentWithdrawn.objects.create(consent=consent, said_by="patient", recorded_by=agreed.clinician)
    assert any("withdrawn" in each.words for each in found(agreed).held)


def test_an_undecided_sign_of_danger_holds_it_back_and_so_does_one_that_was_sent_away(agreed, mara):
    say(agreed, **{CAUDA: "yes"})
    assert any("sign of danger" in each.words for each in found(agreed).held)
    sent = {"outcome": "sent_now", "called": "144", "called_at": timezone.now()}
    decide(mara, agreed, first_flag(agreed).id, **sent)
    stops = found(agreed).stops
    assert ids(stops) == ["sent_now"] and not stops[0].overridable


def test_what_was_decided_to_be_no_danger_holds_nothing_back(agreed, mara):
    say(agreed, **{CAUDA: "yes"})
    decide(mara, agreed, first_flag(agreed).id, outcome="cleared")
    assert found(agreed).may_needle


def test_both_sides_of_the_thorax_in_one_visit_are_warned_of(agreed):
    recorded.treat(agreed, "needling", "levator_scapulae.left", needles=recorded.NEEDLES)
    assert "both_sides" in ids(found(agreed, side="right").cautions)
    assert "both_sides" not in ids(found(agreed, side="left").cautions)


def test_pressure_on_the_other_side_is_no_needle(agreed):
    recorded.treat(agreed, "pressure", "levator_scapulae.left", needles={})
    assert "both_sides" not in ids(found(agreed).cautions)


def test_a_guardian_who_signed_leaves_a_caution_where_the_person_cannot_decide(agreed):
    StoryAnswer.objects.create(visit=agreed, key="decides_self", value="no")
    assert ids(found(agreed).stops) == ["cannot_decide"]
    of_parent = {**vars(agreed.consents.get(procedure="needling")), "signer": "guardian", "id": None}
    Consent.objects.create(**{name: said for name, said in of_parent.items() if name != "_state"})
    assert "cannot_decide" in ids(found(agreed).cautions) and not found(agreed).stops

"""What is recorded, and what is refused: nothing is saved past a gate."""

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from bodymaps import atlas
from charting.audit.models import AuditEntry
from charting.consent.models import ConsentWithdrawn
from charting.flags.queries import FlagState
from charting.treatment import allowed, services
from charting.treatment.allowed import NotAllowed
from charting.treatment.done import WrongEntry
from charting.treatment.gates import GateHolds
from charting.treatment.models import TreatmentEntry
from charting.treatment.queries import entries_of, minutes_by_technique, needles_of
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import VisitSigned
from tests.charting import recorded
from tests.charting.recorded import NEEDLES

HELD = {"seconds": 60, "repetitions": 3, "strength": "firm"}


def withdrawn(consent, who):
    return ConsentWithdrawn.objects.create(consent=consent, said_by="patient", recorded_by=who)


def test_an_entry_is_kept_whole_and_after_those_before_it(agreed, add):
    add("stretch", "infraspinatus.right")
    more = {"dose": HELD, "minutes": 4, "pain_before": 6, "pain_after": 3, "twitch": "yes", "remark": "Sore."}
    row = add("pressure", "infraspinatus.right.upper_belly", **more)
    row.refresh_from_db()
    assert {name: getattr(row, name) for name in more} == more
    assert (row.muscle, row.side, row.site, row.area) == ("infraspinatus", "right", "upper_belly", "")
    assert (row.position, row.version, row.entered_by) == (2, 1, agreed.clinician)


def test_an_area_and_the_whole_person_can_be_treated(agreed, add):
    assert add("heat", "area:low_back", dose={"kind": "moist_pack"}).area == "low_back"
    assert add("education", "whole", dose={"topics": ["load"]}).muscle == ""


def test_needles_are_kept_and_not_counted_out_yet(agreed, add):
    add("needling", "infraspinatus.right", needles={**NEEDLES, "count_out": None})
    assert not needles_of(agreed).is_settled and needles_of(agreed).count_in == 3


def test_minutes_are_counted_for_each_technique(agreed, add):
    for minutes in (4, 5):
        add("pressure", "infraspinatus.right", minutes=minutes)
    add("exercise", "whole", dose={"which": "Wall slide"}, minutes=10)
    assert minutes_by_technique(agreed) == {"pressure": 9, "exercise": 10}


def test_a_second_tap_on_the_same_form_records_nothing_more(agreed, add):
    first = add("pressure", "infraspinatus.right", after=0, dose=HELD)
    assert add("pressure", "infraspinatus.right", after=0, dose=HELD) == first
    assert add("pressure", "infraspinatus.right", after=first.pk, dose=HELD) != first
    assert len(entries_of(agreed)) == 2


@pytest.mark.parametrize(
    ("technique", "place", "more", "field", "words"),
    [
        ("magic", "infraspinatus.right", {}, "technique", "of the list"),
        ("pressure", "nothing.right", {}, "place", "does not know this muscle"),
        ("pressure", "infraspinatus.up", {}, "place", "right or left"),
        ("pressure", "infraspinatus.right.nowhere", {}, "place", "does not know this place"),
        ("pressure", "area:nowhere", {}, "place", "area of the list"),
        ("pressure", "area:shoulder", {}, "place", "right or left"),
        ("heat", "area:low_back.left", {"dose": {"kind": "mud"}}, "place", "Leave the side out"),
        ("pressure", "whole", {}, "place", "choose a muscle or an area"),
        ("needling", "area:low_back", {"needles": NEEDLES}, "place", "choose a muscle"),
        ("pressure", "infraspinatus.right", {"dose": {"seconds": 601}}, "dose_seconds", "1 to 600 s"),
        ("pressure", "infraspinatus.right", {"dose": {"seconds": "long"}}, "dose_seconds", "whole number"),
        ("pressure", "infraspinatus.right", {"dose": {"strength": "iron"}}, "dose_strength", "from the list"),
        ("pressure", "infraspinatus.right", {"dose": {"load": "5"}}, "dose_load", "does not ask"),
        ("heat", "infraspinatus.right", {}, "dose_kind", "Choose one"),
        ("exercise", "whole", {}, "dose_which", "needed"),
        ("exercise", "whole", {"dose": {"which": "x" * 121}}, "dose_which", "120"),
        ("education", "whole", {"dose": {"topics": ["weather"]}}, "dose_topics", "from the list"),
        ("pressure", "infraspinatus.right", {"minutes": 0}, "minutes", "1 to 120 min"),
        ("pressure", "infraspinatus.right", {"minutes": 121}, "minutes", "1 to 120 min"),
        ("pressure", "infraspinatus.right", {"pain_before": 11}, "pain_before", "0 to 10"),
        ("pressure", "infraspinatus.right", {"pain_after": -1}, "pain_after", "0 to 10"),
        ("pressure", "infraspinatus.right", {"twitch": "maybe"}, "twitch", "yes, no"),
        ("stretch", "infraspinatus.right", {"twitch": "yes"}, "twitch", "Not asked"),
        ("pressure", "infraspinatus.right", {"needles": NEEDLES}, "gauge_mm", "no needles"),
        ("pressure", "infraspinatus.right", {"remark": "x" * 501}, "remark", "500"),
        ("needling", "infraspinatus.right", {}, "count_in", "1 to 40"),
        ("needling", "infraspinatus.right", {"needles": {**NEEDLES, "gauge_mm": 0.26}}, "gauge_mm", "gauge"),
        ("needling", "infraspinatus.right", {"needles": {**NEEDLES, "length_mm": 41}}, "length_mm", "length"),
        ("needling", "infraspinatus.right", {"needles": {**NEEDLES, "depth_mm": 41}}, "depth_mm", "40 mm"),
        ("needling", "infraspinatus.right", {"needles": {**NEEDLES, "count_in": 0}}, "count_in", "1 to 40"),
        (
            "needling",
            "infraspinatus.right",
            {"needles": {**NEEDLES, "count_out": 41}},
            "count_out",
            "0 to 40",
        ),
        ("needling", "rhomboidei.right", {"needles": {**NEEDLES, "depth_mm": None}}, "depth_mm", "lung"),
        ("needling", "rhomboidei.right", {"needles": {**NEEDLES, "direction": " "}}, "direction", "lung"),
    ],
)
def test_what_cant_be_names_its_field(agreed, add, technique, place, more, field, words):
    with pytest.raises(WrongEntry) as wrong:
        add(technique, place, **more)
    assert words in wrong.value.wrong[field]
    assert not entries_of(agreed)


def test_every_field_that_cant_be_is_named_at_once(agreed, add):
    with pytest.raises(WrongEntry) as wrong:
        add("needling", "rhomboidei.right", minutes=999, pain_before=12)
    named = {"minutes", "pain_before", "gauge_mm", "length_mm", "depth_mm", "direction", "count_in"}
    assert set(wrong.value.wrong) == named


def test_depth_and_direction_may_be_left_out_away_from_the_lung(visit, add):
    recorded.agree(visit, "needling", "forearm_hand right")
    recorded.asked_before_needles(visit)
    bare = {
        "gauge_mm": 0.25,
        "length_mm": 25,
        "depth_mm": None,
        "direction": "",
        "count_in": 1,
        "count_out": 1,
    }
    assert add("needling", "brachioradialis.right", needles=bare).needles == bare


# Gates


def test_without_consent_nothing_by_hand_is_recorded(visit, add):
    with pytest.raises(NotAllowed, match="not signed") as refused:
        add("pressure", "infraspinatus.right")
    assert [each.page for each in refused.value.held] == ["consents"]
    assert not entries_of(visit)


def test_consent_to_another_area_or_procedure_does_not_cover(visit, add):
    recorded.agree(visit, "manual", "low_back")
    recorded.asked_before_needles(visit)
    with pytest.raises(NotAllowed, match="does not name the right shoulder"):
        add("pressure", "infraspinatus.right")
    recorded.agree(visit, "manual", "shoulder right")
    add("pressure", "infraspinatus.right")
    with pytest.raises(NotAllowed, match="needling"):
        add("needling", "infraspinatus.right", needles=NEEDLES)


def test_education_and_exercise_need_no_consent(visit, add):
    add("education", "infraspinatus.right", dose={"topics": ["pain"]})
    add("exercise", "area:low_back", dose={"which": "Bridge"})
    assert len(entries_of(visit)) == 2


def test_consent_has_to_be_earlier_than_the_entry(visit, add, monkeypatch):
    consent = recorded.agree(visit, "manual", "shoulder right")
    monkeypatch.setattr(timezone, "now", lambda: consent.signed_at)
    with pytest.raises(NotAllowed, match="has to come first"):
        add("pressure", "infraspinatus.right")


def test_after_a_withdrawal_later_entries_are_refused_and_earlier_ones_stay(visit, add, change, mara):
    consent = recorded.agree(visit, "needling", "shoulder right")
    recorded.asked_before_needles(visit)
    row = add("needling", "infraspinatus.right", needles={**NEEDLES, "count_out": None})
    withdrawn(consent, mara)
    with pytest.raises(NotAllowed, match="withdrawn"):
        add("needling", "infraspinatus.right", needles=NEEDLES)
    assert entries_of(visit) == (row,)
    change(row, needles=NEEDLES)
    assert needles_of(visit).is_settled


def test_a_sign_of_danger_holds_every_technique_that_treats(agreed, add):
    agreed.danger_answers.filter(question="bladder_bowel_saddle").update(answer="yes")
    ways = {"pressure": {}, "needling": {"needles": NEEDLES}, "exercise": {"dose": {"which": "Wall slide"}}}
    for technique, more in ways.items():
        with pytest.raises(NotAllowed, match="sign of danger") as refused:
            add(technique, "infraspinatus.right", **more)
        assert "flags" in [each.page for each in refused.value.held]
    assert not entries_of(agreed)
    add("education", "whole", dose={"topics": ["warning"]})


def test_a_gate_of_needling_holds_the_needle_and_nothing_else(visit, add):
    recorded.agree(visit, "needling", "shoulder right")
    recorded.agree(visit, "manual", "shoulder right")
    recorded.asked_before_needles(visit, needle_reaction="yes")
    with pytest.raises(GateHolds, match="Fear of needles"):
        add("needling", "infraspinatus.right", needles=NEEDLES)
    add("pressure", "infraspinatus.right")
    assert [row.technique for row in entries_of(visit)] == ["pressure"]


def test_who_may_not_treat_records_nothing(agreed, add, vera, poll):
    for who in (vera, poll):
        with pytest.raises(PermissionDenied):
            add("education", "whole", who=who, dose={"topics": ["load"]})


def test_a_signed_visit_takes_no_entry(agreed, add):
    row = add("pressure", "infraspinatus.right")
    Visit.objects.filter(pk=agreed.pk).update(signed_at=timezone.now())
    said = {"who": agreed.clinician, "visit": agreed, "entry": row}
    for act in (
        lambda: add("pressure", "infraspinatus.right"),
        lambda: services.remove_entry(**said, version=1),
        lambda: services.move_entry(**said, step=1),
        lambda: services.repeat_last(who=said["who"], visit=agreed, entries=[], known=atlas.load()),
    ):
        with pytest.raises(VisitSigned):
            act()


def test_danger_that_was_found_already_is_not_found_again(agreed, django_assert_max_num_queries):
    technique = services.techniques.load().get("pressure")
    state = FlagState((), (), (), True)
    with django_assert_max_num_queries(2):
        at = services.where.parse("infraspinatus.right")
        assert allowed.held_back(agreed, technique, at, danger=state) == ()


# Changing, removing, order


def test_what_it_did_is_added_later_and_the_trail_keeps_what_it_was(agreed, add, change):
    row = change(
        add("pressure", "infraspinatus.right", minutes=4, remark="One."), pain_after=2, remark="Two."
    )
    assert (row.pain_after, row.minutes, row.version) == (2, 4, 2)
    detail = AuditEntry.objects.last().detail
    assert detail["changed"] == ["pain_after", "remark"] and detail["was"] == {"pain_after": None}


def test_the_same_sent_again_changes_nothing(agreed, add, change):
    row = add("pressure", "infraspinatus.right", minutes=4)
    rows = AuditEntry.objects.count()
    assert change(row, version=99, minutes=4).version == 1
    assert AuditEntry.objects.count() == rows


def test_two_people_do_not_overwrite_each_other(agreed, add, change, tom):
    row = add("pressure", "infraspinatus.right")
    change(row, who=tom, version=1, minutes=5)
    with pytest.raises(Stale) as stale:
        change(row, version=1, minutes=9)
    assert stale.value.current.minutes == 5


def test_muscle_side_and_technique_of_an_entry_stay(agreed, add, change):
    row = add("pressure", "infraspinatus.right")
    for more in ({"technique": "stretch"}, {"at": services.where.parse("infraspinatus.left")}):
        with pytest.raises(WrongEntry, match="stay"):
            change(row, **more)
    assert change(row, at=services.where.parse("infraspinatus.right.upper_belly")).site == "upper_belly"


def test_another_place_of_the_muscle_needs_the_consent_of_its_area(visit, add, change):
    recorded.agree(visit, "manual", "shoulder right")
    row = add("pressure", "subscapularis.right.axillary")
    with pytest.raises(NotAllowed, match="does not name the upper back"):
        change(row, at=services.where.parse("subscapularis.right.medial"))
    assert TreatmentEntry.objects.get(pk=row.pk).site == "axillary"


def test_an_entry_is_removed_and_the_trail_keeps_what_it_was(agreed, add, mara):
    row = add("pressure", "infraspinatus.right", dose=HELD, minutes=4, remark="Words.")
    services.remove_entry(who=mara, visit=agreed, entry=row, version=1)
    assert not entries_of(agreed)
    was = AuditEntry.objects.last().detail["was"]
    assert was["dose"] == HELD and was["muscle"] == "infraspinatus" and was["minutes"] == 4
    assert "remark" not in was


def test_an_entry_that_somebody_changed_is_not_removed(agreed, add, change, mara):
    row = add("pressure", "infraspinatus.right")
    change(row, minutes=4)
    with pytest.raises(Stale):
        services.remove_entry(who=mara, visit=agreed, entry=row, version=1)


@pytest.mark.parametrize("out", [None, 2, 4])
def test_needles_that_are_not_settled_are_not_removed(agreed, add, mara, out):
    row = add("needling", "infraspinatus.right", needles={**NEEDLES, "count_out": out})
    with pytest.raises(services.NotRemovable, match="Count its needles"):
        services.remove_entry(who=mara, visit=agreed, entry=row, version=1)
    assert entries_of(agreed) == (row,)


def test_an_entry_moves_up_and_down_and_stays_at_the_ends(agreed, add, mara):
    one, two = (add(name, "infraspinatus.right") for name in ("pressure", "stretch"))
    for entry, step, order in ((two, -1, [two, one]), (two, -1, [two, one]), (two, 1, [one, two])):
        services.move_entry(who=mara, visit=agreed, entry=entry, step=step)
        assert list(entries_of(agreed)) == order


def test_a_visit_holds_so_many_entries(agreed, add, monkeypatch):
    monkeypatch.setattr(services, "MOST_ENTRIES", 1)
    add("pressure", "infraspinatus.right")
    with pytest.raises(services.ListFull, match="at most 1"):
        add("pressure", "infraspinatus.right")


# The last visit's list


@pytest.fixture
def last(agreed, mara):
    row = Visit.objects.create(patient=agreed.patient, clinician=mara)
    Visit.objects.filter(pk=row.pk).update(started_at=agreed.started_at - timezone.timedelta(days=8))
    row.refresh_from_db()
    more = {"minutes": 4, "pain_before": 6, "pain_after": 3, "twitch": "yes", "remark": "Sore."}
    return (
        recorded.treat(row, "pressure", "infraspinatus.right", dose=HELD, **more),
        recorded.treat(row, "needling", "infraspinatus.right", needles=NEEDLES),
        recorded.treat(row, "stretch", "masseter.left", dose={"seconds": 30}),
    )


def repeat(visit, rows):
    said = {"who": visit.clinician, "visit": visit, "known": atlas.load()}
    return services.repeat_last(**said, entries=[row.pk for row in rows])


def test_it_is_repeated_without_what_it_did(agreed, last):
    (row,) = repeat(agreed, last[:1])
    assert row.dose == HELD and (row.muscle, row.side) == ("infraspinatus", "right")
    assert (row.minutes, row.pain_before, row.pain_after, row.twitch, row.remark) == (
        None,
        None,
        None,
        "",
        "",
    )


def test_needles_and_what_is_there_already_are_not_repeated(agreed, last):
    repeat(agreed, last[:1])
    assert repeat(agreed, last[:2]) == () and len(entries_of(agreed)) == 1


def test_what_is_not_ticked_and_what_is_of_another_visit_is_not_repeated(agreed, last, add):
    assert repeat(agreed, []) == ()
    assert repeat(agreed, [add("stretch", "infraspinatus.right")]) == ()


def test_all_or_none_are_repeated(agreed, last):
    with pytest.raises(NotAllowed, match="head"):
        repeat(agreed, last)
    assert not entries_of(agreed)

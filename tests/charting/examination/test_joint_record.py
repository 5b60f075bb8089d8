"""Readings and tests of one joint are kept together; another joint stays as it is; nothing is overwritten."""

import pytest

from bodymaps.reasoning import ranges
from charting.audit.models import AuditEntry
from charting.drafts.models import Draft
from charting.drafts.services import keep
from charting.examination.joints import joint_of, sides_of
from charting.examination.models import RangeReading
from charting.examination.range_limits import Taken, WrongReading
from charting.examination.services import draft_key
from charting.screening.queries import found_in, state_of
from charting.screening.services import record_findings
from charting.versioning import Stale
from charting.visits.services import VisitSigned

FLEXION = ("shoulder_flexion", "right")
READ = Taken(active=150, passive=160, instrument="goniometer", end_feel="firm", hurts="yes", pain=4)
HAWKINS = {("shoulder:hawkins", "right"): ("positive", "")}


def test_every_movement_is_kept_on_every_side_and_read_back(joint_recorded, blank):
    for joint in ranges.load().joints:
        read = {
            (movement.id, side): Taken(active=movement.most, instrument=movement.instruments[0])
            for movement in ranges.load().of(joint.id)
            for side in sides_of(movement)
        }
        joint_recorded(joint.id, read)
        assert joint_of(blank, joint.id).readings == read
    assert RangeReading.objects.count() == sum(
        len(sides_of(each)) for each in ranges.load().movements.values()
    )


def test_a_reading_is_kept_whole_and_changed_and_taken_out(joint_recorded, blank):
    joint_recorded("shoulder", {FLEXION: READ})
    assert joint_of(blank, "shoulder").readings == {FLEXION: READ}
    joint_recorded("shoulder", {FLEXION: Taken(hurts="no")})
    assert joint_of(blank, "shoulder").readings == {FLEXION: Taken(hurts="no")}
    joint_recorded("shoulder", {FLEXION: Taken(instrument="goniometer")})
    assert not RangeReading.objects.exists(), "an instrument alone is no reading"


def test_tests_and_readings_of_other_joints_and_screens_stay(joint_recorded, blank, mara):
    touch = {("touch:C5", "right"): ("1", "")}
    record_findings(who=mara, visit=blank, state=state_of(blank), findings=touch)
    joint_recorded("knee", {("knee_flexion", "left"): Taken(active=120, instrument="goniometer")})
    joint_recorded("jaw", {}, {("jaw:click", "left"): ("positive", "late")})
    joint_recorded("shoulder", {FLEXION: READ}, HAWKINS)
    joint_recorded("shoulder", {}, {})
    assert found_in(blank) == {
        ("touch:C5", "right"): ("1", ""),
        ("jaw:click", "left"): ("positive", "late"),
    }
    assert [row.movement for row in RangeReading.objects.all()] == ["knee_flexion"]


def test_of_two_who_record_the_same_joint_the_second_is_told(joint_recorded, blank):
    before = joint_of(blank, "shoulder").state
    joint_recorded("shoulder", {FLEXION: READ})
    with pytest.raises(Stale):
        joint_recorded("shoulder", {FLEXION: Taken(active=90, instrument="goniometer")}, state=before)
    assert joint_of(blank, "shoulder").readings == {FLEXION: READ}


def test_two_who_record_two_joints_do_not_disturb_each_other(joint_recorded, blank):
    before = {joint: joint_of(blank, joint).state for joint in ("shoulder", "knee")}
    joint_recorded("shoulder", {FLEXION: READ}, HAWKINS, state=before["shoulder"])
    joint_recorded("knee", {}, {("knee:lachman", "left"): ("negative", "")}, state=before["knee"])
    assert len(found_in(blank)) == 2


@pytest.mark.parametrize(
    ("taken", "part", "words"),
    [
        (Taken(active=201, instrument="goniometer"), "active", "201° is outside 0 to 200°"),
        (Taken(passive=90.25, instrument="goniometer"), "passive", "at most 1 decimal"),
        (Taken(active=90), "instrument", "Say with what it was measured: goniometer, inclinometer"),
        (Taken(active=90, instrument="tape"), "instrument", "Say with what"),
        (Taken(end_feel="odd"), "end_feel", "end feel of the list"),
        (Taken(hurts="maybe"), "hurts", "painless, painful"),
        (Taken(hurts="yes", pain=11), "pain", "0 to 10"),
        (Taken(hurts="no", pain=3), "pain", "choose painful"),
        (Taken(hurts="NT"), "remark", "why it was not tested"),
        (Taken(hurts="no", remark="x" * 201), "remark", "At most 200"),
    ],
)
def test_what_cannot_stay_is_refused_with_the_part_and_what_to_mend(joint_recorded, taken, part, words):
    with pytest.raises(WrongReading) as problem:
        joint_recorded("shoulder", {FLEXION: taken})
    assert problem.value.part == part and words in problem.value.words
    assert not RangeReading.objects.exists()


@pytest.mark.parametrize(
    "place", [("knee_flexion", "right"), ("shoulder_flexion", ""), ("shoulder_dance", "")]
)
def test_a_movement_of_another_joint_or_without_its_side_is_refused(joint_recorded, place):
    with pytest.raises(ValueError, match="no movement of shoulder"):
        joint_recorded("shoulder", {place: Taken(hurts="no")})


def test_a_test_of_another_joint_is_refused(joint_recorded):
    with pytest.raises(ValueError, match="no tests of shoulder"):
        joint_recorded("shoulder", {}, {("jaw:click", "left"): ("positive", "")})


def test_the_trail_names_what_changed_and_no_remark(joint_recorded):
    joint_recorded("shoulder", {FLEXION: Taken(hurts="no", remark="as Mrs Keller says")}, HAWKINS)
    rows = list(AuditEntry.objects.order_by("pk").values_list("action", "detail"))[-2:]
    assert [did for did, _ in rows] == ["recorded range", "recorded joint tests"]
    assert rows[0][1]["changed"] == ["shoulder_flexion/right"]
    assert "Keller" not in str(rows)


def test_saving_again_without_a_change_writes_no_row_but_forgets_the_draft(joint_recorded, blank, mara):
    joint_recorded("shoulder", {FLEXION: READ}, HAWKINS)
    keep(who=mara, key=draft_key(blank, "shoulder"), data={"state": ["x"]})
    count = AuditEntry.objects.count()
    joint_recorded("shoulder", {FLEXION: READ}, HAWKINS)
    assert AuditEntry.objects.count() == count
    assert not Draft.objects.exists()


def test_a_signed_visit_is_closed(joint_recorded, blank):
    blank.signed_at = blank.started_at
    blank.save()
    with pytest.raises(VisitSigned):
        joint_recorded("shoulder", {FLEXION: READ})

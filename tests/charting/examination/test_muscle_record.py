"""What was felt is kept tap by tap; two people never overwrite each other; what can't be names its field."""

import pytest

from charting.audit.models import AuditEntry
from charting.examination.felt_limits import WrongFinding
from charting.examination.models import MuscleFinding
from charting.examination.queries import felt_of
from charting.versioning import Stale


@pytest.fixture
def row(listed):
    return listed("infraspinatus.right", "infraspinatus.right.upper_belly")[0]


def test_each_tap_is_kept_on_top_of_the_others(blank, row, felt):
    felt(row, band="yes", spot="NT")
    row.refresh_from_db()
    felt(row, referral="no", strength="4", pain=0, remark="sore")
    (found,) = felt_of(blank)
    assert dict(found.signs) == {"band": "yes", "spot": "NT", "referral": "no", "strength": "4"}
    assert found.pain == 0
    row.refresh_from_db()
    assert (row.version, row.remark) == (3, "sore")
    assert AuditEntry.objects.last().detail["changed"] == ["pain", "referral", "remark", "strength"]


def test_a_sign_taken_back_is_not_recorded_and_so_is_the_muscle(blank, row, felt):
    felt(row, band="yes")
    felt(MuscleFinding.objects.get(pk=row.pk), band="")
    assert felt_of(blank) == ()


def test_somebody_elses_save_is_not_overwritten(row, felt, tom):
    felt(row, who=tom, version=1, band="no")
    with pytest.raises(Stale) as stale:
        felt(row, version=1, band="yes")
    assert stale.value.current.signs == {"band": "no"}


def test_the_same_sent_twice_is_no_clash_and_no_second_change(row, felt):
    felt(row, version=1, band="no")
    rows = AuditEntry.objects.count()
    assert felt(row, version=1, band="no").version == 2
    assert AuditEntry.objects.count() == rows


PRESSURE = {"unit": "kPa", "trials": [210.0, 225.0], "tip_cm2": 1.0}


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("band", "maybe", "yes, no or not tested"),
        ("strength", "6", "Choose a grade"),
        ("pain", 11, "0 to 10"),
        ("pain", True, "0 to 10"),
        ("remark", "x" * 301, "300"),
        ("pressure", {**PRESSURE, "unit": "bar"}, "unit"),
        ("pressure", {**PRESSURE, "trials": []}, "one to 5"),
        ("pressure", {**PRESSURE, "trials": [3000.0]}, "10 to 2000 kPa"),
        ("pressure", {**PRESSURE, "unit": "kgf/cm2", "trials": [30.0]}, "0.102 to 20.39 kgf/cm2"),
        ("pressure", {**PRESSURE, "tip_cm2": 9.0}, "cm²"),
        ("site", "nowhere", "does not know"),
        ("site", "upper_belly", "on the list already, as number 2"),
        ("anything", "yes", "No such field"),
    ],
)
def test_what_cant_be_names_its_field(row, felt, field, value, words):
    with pytest.raises(WrongFinding, match=words) as wrong:
        felt(row, **{field: value})
    assert wrong.value.field == field
    assert MuscleFinding.objects.get(pk=row.pk).version == 1


def test_the_ends_of_the_limits_may_be(row, felt):
    felt(row, pain=10, strength="NT", pressure={"unit": "kPa", "trials": [10.0, 2000.0], "tip_cm2": None})
    assert MuscleFinding.objects.get(pk=row.pk).pain == 10

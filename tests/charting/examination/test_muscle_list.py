"""The list of muscles: what stands on it, in which order, and what may be taken off."""

import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.examination.felt_limits import WrongFinding
from charting.examination.models import MuscleFinding
from charting.examination.queries import last_muscles, muscles_of
from charting.examination.services import ListFull, NotRemovable, nothing_in, remove_muscle
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.services import VisitSigned


def names(visit):
    return [str(row).strip() for row in muscles_of(visit)]


def test_muscles_stand_in_the_order_they_were_put_on_and_once_only(blank, listed):
    listed("infraspinatus.right", "masseter.left")
    again = listed("masseter.left", "temporalis.left")
    assert names(blank) == ["infraspinatus right", "masseter left", "temporalis left"]
    assert [row.position for row in muscles_of(blank)] == [1, 2, 3]
    assert [row.muscle for row in again] == ["masseter", "temporalis"]


def test_the_other_side_comes_right_after(blank, listed):
    first, _ = listed("infraspinatus.right", "masseter.left")
    listed("infraspinatus.left", after=first)
    assert names(blank) == ["infraspinatus right", "infraspinatus left", "masseter left"]
    assert [row.position for row in muscles_of(blank)] == [1, 2, 3]


@pytest.mark.parametrize(
    ("line", "field"),
    [("nothing_of_the_kind.right", "muscle"), ("masseter.middle", "side"), ("masseter.left.nowhere", "site")],
)
def test_what_the_atlas_does_not_know_names_its_field(blank, listed, line, field):
    with pytest.raises(WrongFinding) as wrong:
        listed(line)
    assert wrong.value.field == field
    assert names(blank) == []


def test_a_list_has_an_end(listed, monkeypatch):
    monkeypatch.setattr("charting.examination.services.MOST_LINES", 2)
    listed("infraspinatus.right", "masseter.left")
    with pytest.raises(ListFull, match="at most 2"):
        listed("temporalis.left")


def test_only_what_was_not_examined_is_taken_off(blank, listed, felt, mara):
    one, two, _ = listed("infraspinatus.right", "masseter.left", "temporalis.left")
    felt(one, band="NT")
    with pytest.raises(NotRemovable):
        remove_muscle(who=mara, visit=blank, finding=one)
    remove_muscle(who=mara, visit=blank, finding=two)
    assert names(blank) == ["infraspinatus right", "temporalis left"]
    assert [row.position for row in muscles_of(blank)] == [1, 2]


def test_nothing_found_is_said_of_the_named_muscles_and_of_nothing_else(blank, listed, felt, mara):
    one, two, three = listed("infraspinatus.right", "masseter.left", "temporalis.left")
    felt(one, band="yes")
    assert nothing_in(who=mara, visit=blank, findings={two.pk: 1, three.pk: 1}) == 2
    assert [row.signs for row in muscles_of(blank)] == [
        {"band": "yes"},
        *[{"band": "no", "spot": "no", "referral": "no"}] * 2,
    ]


def test_nothing_is_said_of_any_when_one_was_examined_meanwhile(blank, listed, felt, mara):
    one, two = listed("infraspinatus.right", "masseter.left")
    felt(two, band="yes")
    with pytest.raises(Stale):
        nothing_in(who=mara, visit=blank, findings={one.pk: 1, two.pk: 1})
    assert not MuscleFinding.objects.get(pk=one.pk).signs


def test_the_last_visit_is_the_last_at_which_something_was_felt(blank, listed, felt, mara):
    def earlier(days):
        visit = Visit.objects.create(patient=blank.patient, clinician=mara)
        visit.started_at = blank.started_at - timezone.timedelta(days=days)
        visit.save()
        return visit

    long_ago, lately, only_listed = earlier(30), earlier(9), earlier(2)
    felt(listed("masseter.left", visit=long_ago)[0], band="yes")
    rows = listed("temporalis.left", "infraspinatus.right", visit=lately)
    felt(rows[1], band="no")
    listed("deltoideus_anterior.left", visit=only_listed)
    assert [row.muscle for row in last_muscles(blank)] == ["temporalis", "infraspinatus"]
    assert last_muscles(long_ago) == ()


def test_a_signed_visit_and_who_does_not_treat_change_nothing(blank, listed, poll):
    with pytest.raises(PermissionDenied):
        listed("masseter.left", who=poll)
    Visit.objects.filter(pk=blank.pk).update(signed_at=timezone.now())
    with pytest.raises(VisitSigned):
        listed("masseter.left")

"""A joint beside what is known already: the visit before, its list, and the same measurement elsewhere."""

import re
from datetime import timedelta

import pytest

from charting.examination.joints import joint_of
from charting.examination.queries import findings_of
from charting.examination.range_limits import Taken
from charting.screening.queries import state_of
from charting.screening.services import record_findings
from charting.visits.models import Visit

TURN = ("neck_rotation", "right")


@pytest.fixture
def before(blank, mara, joint_recorded):
    """A visit a week earlier with a neck and a shoulder test on record."""
    made = Visit.objects.create(patient=blank.patient, clinician=mara)
    Visit.objects.filter(pk=made.pk).update(started_at=blank.started_at - timedelta(days=7))
    made = Visit.objects.get(pk=made.pk)
    joint_recorded("neck", {TURN: Taken(active=60, instrument="neck_device")}, visit=made)
    joint_recorded("shoulder", {}, {("shoulder:hawkins", "left"): ("positive", "")}, visit=made)
    return made


@pytest.fixture
def shown(as_mara, blank):
    """The page of a joint, as its template gets it, and in words."""

    def get(joint="neck", **asked):
        response = as_mara.get(f"/visits/{blank.pk}/joints/", {"joint": joint, **asked})
        return response.context["page"], re.sub(r"\s+", " ", response.content.decode())

    return get


def test_the_last_value_stands_beside_the_field_before_anything_is_measured(before, shown):
    page, text = shown()
    assert "active: 60°, neck device worn on the head." in text
    assert page.typed.instrument == "neck_device", "the instrument of the last visit is chosen"


def test_five_degrees_are_not_called_real_and_twelve_are_with_their_level(before, shown, joint_recorded):
    """Fletcher and Bandy 2008: 5.4 to 9.6 degrees at the 90 % level."""
    joint_recorded("neck", {TURN: Taken(active=65, instrument="neck_device")})
    _, text = shown()
    assert "5° more, may be error of measurement (least change 3.5 to 9.6°, 90 %)" in text
    assert "more than error" not in text
    joint_recorded("neck", {TURN: Taken(active=72, instrument="neck_device")})
    assert "<strong>12° more, more than error of measurement" in shown()[1]


def test_the_list_of_the_last_visit_shows_its_joints_movements_and_tests_first(before, shown):
    page, text = shown(list="last")
    assert [each.id for each in page.choices] == ["neck", "shoulder"]
    assert [each.movement.id for each in page.movements] == ["neck_rotation"]
    assert "4 other movements" in text
    page, _ = shown("shoulder", list="last")
    (group,) = page.tests
    assert [each.row.key for each in group.tests] == ["shoulder:hawkins"]
    assert len(group.others) > 5


def test_one_tap_fills_nothing_that_the_list_leaves_out(before, as_mara, blank):
    said = {"joint": "neck", "list": "last", "state": joint_of(blank, "neck").state, "fill": "range"}
    typed = as_mara.post(f"/visits/{blank.pk}/joints/", said).context["page"].typed
    assert set(typed.readings) == {TURN, ("neck_rotation", "left")}
    said = {**said, "joint": "shoulder", "fill": "shoulder"}
    typed = as_mara.post(f"/visits/{blank.pk}/joints/", said).context["page"].typed
    assert {key for key, _ in typed.tests.values} == {"shoulder:hawkins"}


def test_asked_for_a_list_that_is_not_there_it_shows_everything(shown):
    page, _ = shown(list="last")
    assert len(page.choices) == 11 and not page.other_movements


def test_it_starts_with_what_is_published_for_the_age_and_calls_nothing_normal(before, shown):
    _, text = shown()
    assert "For the age of this person:" in text and "Youdas JW" in text and "(from memory)" in text
    assert "nobody is judged by them" in text


def test_rotation_measured_here_counts_for_the_cluster_of_the_neuro_screen(blank, joint_recorded, as_mara):
    """Wainner 2003 counts rotation below 60 degrees."""
    joint_recorded("neck", {TURN: Taken(active=55, instrument="goniometer")})
    assert findings_of(blank)["neck:rotation", "right"] == 55
    response = as_mara.get(f"/visits/{blank.pk}/neuro-screen/")
    told = response.context["page"].reasoned
    assert any("otation" in words for words in told.clusters[0].told.positive)
    assert "Measured as range and counted here: Neck, Rotation, right: 55 °" in response.content.decode()


def test_where_both_have_it_the_neuro_screen_counts_and_the_joint_says_so(
    blank, joint_recorded, mara, shown, as_mara
):
    assert "it counts for the neuro screen too" in shown()[1]
    found = {("neck:rotation", "right"): ("70", "inclinometer"), ("neck:rotation", "left"): ("NT", "sore")}
    record_findings(who=mara, visit=blank, state=state_of(blank), findings=found)
    read = {TURN: Taken(active=55, instrument="goniometer")}
    joint_recorded("neck", {**read, ("neck_rotation", "left"): Taken(active=50, instrument="goniometer")})
    values = findings_of(blank)
    assert values["neck:rotation", "right"] == 70
    assert values["neck:rotation", "left"] == 50, "not tested there, measured here"
    assert "Neuro screen, right: 70°; it differs from this one, and counts for the rules." in shown()[1]
    page = as_mara.get(f"/visits/{blank.pk}/neuro-screen/").content.decode()
    assert "counted here: Neck, Rotation, left: 50 °." in page

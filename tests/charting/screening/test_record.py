"""What was found is kept, test by test and side by side; one scale of reflexes; NT is never normal."""

import pytest

from bodymaps.reasoning import items
from bodymaps.reasoning.case import Case
from charting.audit.models import AuditEntry
from charting.screening.forms import field_name
from charting.screening.models import NeuroFinding
from charting.screening.queries import findings_of, found_in, state_of, table_of
from charting.screening.sections import NEURO, VITAL, cells, every_cell
from charting.screening.services import OtherScale, record_findings
from charting.versioning import Stale

# One value that is not plainly normal, for every type and scale.
GRADES = {
    "sensation": "1",
    "strength": "4",
    "reflex_ninds": "1",
    "reflex_clinic": "3+",
    "test": "positive",
    "relief": "relief",
    "looked": "abnormal",
}


def some_value(key):
    item = items.findings().items[key]
    return f"{item.most:g}" if item.type == "number" else GRADES[item.scale]


@pytest.mark.parametrize("page", [NEURO, VITAL])
def test_every_test_is_saved_and_read_back_on_both_sides(blank, as_mara, sent, page):
    mine = [cell for cell in every_cell(page) if not cell[0].startswith("reflex_clinic:")]
    fields = {field_name(*cell): some_value(cell[0]) for cell in mine}
    address = {"neuro": "neuro-screen", "vital": "vitals"}[page]
    assert as_mara.post(f"/visits/{blank.pk}/{address}/", sent(page, **fields)).status_code == 302
    assert found_in(blank) == {cell: (some_value(cell[0]), "") for cell in mine}
    shown = as_mara.get(f"/visits/{blank.pk}/{address}/").context["page"]
    back = {cell.name: cell.value for part in shown.sections for row in part.rows for cell in row.cells}
    assert {name: value for name, value in back.items() if value} == fields


def test_the_clinic_scale_is_saved_too(blank, as_mara, sent, url):
    fields = {
        field_name(*cell): "2+"
        for item in items.findings().items.values()
        if item.group == "reflex_clinic"
        for cell in cells(item)
    }
    assert as_mara.post(url, sent(scale="reflex_clinic", **fields)).status_code == 302
    assert len(found_in(blank)) == len(fields) == 13


def test_it_saves_what_was_graded_and_leaves_the_rest_open(blank, as_mara, sent, url):
    as_mara.post(url, sent(strength_C5_right="4", strength_C5_left="5"))
    assert NeuroFinding.objects.count() == 2
    (table,) = table_of(blank).tables
    assert [(row.right.grade, row.left.grade) for row in table.rows] == [("4", "5")]


def test_findings_are_what_a_case_holds(blank, found):
    found({("neck:rotation", "right"): ("58", "inclinometer"), ("touch:C6", "left"): "1",
           ("neck:lhermitte", ""): "positive", ("strength:C5", "left"): ("NT", "cast")})  # fmt: skip
    found({("vital:temperature", ""): "38.5"}, page=VITAL)
    values = findings_of(blank)
    assert values == {
        ("neck:rotation", "right"): 58.0,
        ("touch:C6", "left"): "1",
        ("neck:lhermitte", ""): "positive",
        ("strength:C5", "left"): "NT",
        ("vital:temperature", ""): 38.5,
    }
    assert Case(findings=values).finding("neck:rotation", "right") == 58.0


def test_findings_take_one_query(blank, found, django_assert_num_queries):
    found({("touch:C6", "left"): "1"})
    with django_assert_num_queries(1):
        findings_of(blank)


def test_rows_of_the_first_screen_are_still_valid(blank, as_mara, url):
    """Keys and grades of neuro-screen-1, as they were stored."""
    for item, grade in (("touch:C6", "2"), ("strength:T1", "4"), ("reflex:triceps", "3")):
        NeuroFinding.objects.create(visit=blank, item=item, side="right", grade=grade)
    assert len(findings_of(blank)) == 3
    assert as_mara.get(url).status_code == 200


def test_what_the_catalogue_does_not_know_is_left_out_and_stays(blank, as_mara, sent, url):
    NeuroFinding.objects.create(visit=blank, item="touch:gone", side="right", grade="2")
    assert findings_of(blank) == {}
    as_mara.post(url, sent(touch_C5_right="2"))
    assert NeuroFinding.objects.filter(item="touch:gone").exists()


@pytest.mark.parametrize("reason", ["", "   "])
def test_not_tested_needs_a_reason(as_mara, sent, url, reason):
    response = as_mara.post(url, sent(touch_C7_left="NT", touch_C7_left_remark=reason))
    assert response.status_code == 422
    assert "Light touch, C7, left: Say why it was not tested." in response.content.decode()
    assert not NeuroFinding.objects.exists()


def test_a_number_that_was_not_measured_needs_a_reason_too(blank, as_mara, sent, url):
    assert as_mara.post(url, sent(neck_rotation_left_nt="NT")).status_code == 422
    said = {"neck_rotation_left_nt": "NT", "neck_rotation_left_remark": "collar"}
    assert as_mara.post(url, sent(**said)).status_code == 302
    assert found_in(blank) == {("neck:rotation", "left"): ("NT", "collar")}


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("neck_rotation_right", "130", "Neck, Rotation, right: Out of range: 130 ° is outside 0 to 120."),
        ("neck_rotation_right", "far", "Neck, Rotation, right: Enter a number in °, from 0 to 120."),
        ("neck_rotation_right", "nan", "Neck, Rotation, right: "),
        ("neck_rotation_right", "58.5", "Neck, Rotation, right: Enter it with no decimals."),
        ("pretest_myelopathy", "0", "Before the tests, Cord compression"),
        ("touch_C5_right", "3", "Light touch, C5, right: 3 is no grade of this test."),
        ("strength_C5_right", "4+", "Strength, Elbow flexors, right: 4+ is no grade"),
    ],
)
def test_a_wrong_value_names_its_field_and_is_kept(as_mara, sent, url, field, typed, says):
    response = as_mara.post(url, sent(**{field: typed, "strength_T1_left": "4"}))
    assert response.status_code == 422
    assert says in response.content.decode()
    rows = [row for part in response.context["page"].sections for row in part.rows]
    values = {cell.name: cell.value for row in rows for cell in row.cells}
    assert (values[field], values["strength_T1_left"]) == (typed, "4")
    assert not NeuroFinding.objects.exists()


def test_a_remark_without_a_grade_is_not_lost(as_mara, sent, url):
    response = as_mara.post(url, sent(touch_C5_right_remark="feels odd"))
    assert response.status_code == 422
    assert 'value="feels odd"' in response.content.decode()


def test_the_service_refuses_what_the_form_would(blank, mara):
    state = state_of(blank)
    for findings in (
        {("touch:C5", "right"): ("3", "")},
        {("touch:C9", "right"): ("2", "")},
        {("touch:C5", "both"): ("2", "")},
        {("touch:C5", ""): ("2", "")},
        {("touch:C5", "right"): ("NT", "")},
        {("touch:C5", "right"): ("2", ""), ("vital:pulse", ""): ("70", "")},
        {("touch:C5", "right"): ("2", ""), ("neck:rotation", "left"): ("121", "")},
    ):
        with pytest.raises(ValueError, match="touch|vital|rotation"):
            record_findings(who=mara, visit=blank, state=state, findings=findings)
    with pytest.raises(Stale):
        record_findings(who=mara, visit=blank, state="x", findings={})
    assert not NeuroFinding.objects.exists()


def test_a_visit_never_holds_reflexes_on_two_scales(blank, mara, found):
    both = {("reflex:biceps", "right"): ("2", ""), ("reflex_clinic:triceps", "right"): ("2+", "")}
    with pytest.raises(ValueError, match="one scale"):
        record_findings(who=mara, visit=blank, state=state_of(blank), findings=both, switch_scale=True)
    found({("reflex:biceps", "right"): "2"})
    other = {("reflex_clinic:biceps", "right"): ("2+", "")}
    with pytest.raises(OtherScale):
        record_findings(who=mara, visit=blank, state=state_of(blank), findings=other)
    record_findings(who=mara, visit=blank, state=state_of(blank), findings=other, switch_scale=True)
    assert found_in(blank) == other


def test_the_audit_names_what_changed_and_what_was_taken_out(found):
    found({("touch:C5", "right"): "2", ("touch:C6", "right"): "2", ("neck:lhermitte", ""): "negative"})
    found({("touch:C5", "right"): "1", ("touch:C6", "right"): "2"})
    entry = AuditEntry.objects.filter(action="recorded neuro screen").last()
    assert entry.detail["changed"] == ["touch:C5/right"]
    assert entry.detail["taken_out"] == ["neck:lhermitte"]
    assert entry.detail["screen"] == items.findings().version


def test_vitals_and_neuro_screen_leave_each_other_alone(blank, found):
    found({("touch:C5", "right"): "2"})
    before = state_of(blank)
    found({("vital:pulse", ""): "70"}, page=VITAL)
    assert state_of(blank) == before
    found({("touch:C5", "right"): "1"})
    assert findings_of(blank) == {("touch:C5", "right"): "1", ("vital:pulse", ""): 70.0}


def test_of_two_who_record_at_once_the_second_sees_both(blank, as_mara, tom, client, sent, url):
    client.force_login(tom)
    mine = sent(strength_C5_right="4", touch_C5_left="1")
    toms = sent(strength_C5_right="3")
    as_mara.post(url, mine)
    response = client.post(url, toms)
    assert response.status_code == 409
    page = response.context["page"]
    assert ("Strength, Elbow flexors, right", "4", "3") in page.clashes
    assert page.typed.values == {("strength:C5", "right"): ("3", ""), ("touch:C5", "left"): ("1", "")}
    assert found_in(blank)["strength:C5", "right"] == ("4", "")


def test_it_does_not_change_once_the_visit_is_signed(blank, as_mara, sent, url):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.post(url, sent(strength_C5_right="4")).status_code == 403
    assert as_mara.post(f"/visits/{blank.pk}/vitals/", sent("vital", vital_pulse="70")).status_code == 403

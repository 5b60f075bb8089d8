"""The first neurological screen: what is tested, how it is graded, and that sides are compared plainly."""

import copy
import tomllib

import pytest

from charting.screening import neuro_screen
from charting.screening.forms import NeuroForm, field_name
from charting.screening.models import NeuroFinding
from charting.screening.neuro_screen import FILE, NeuroScreenError, read
from charting.screening.queries import state_of, table_of
from charting.screening.services import record_findings
from charting.versioning import Stale


def url(visit):
    return f"/visits/{visit.pk}/neuro-screen/"


def sent(visit, **grades):
    return {"state": state_of(visit), **grades}


def section(name):
    return next(each for each in neuro_screen.load().sections if each.id == name)


def test_it_tests_light_touch_at_the_key_points_of_c5_to_t1():
    """ISNCSCI key points: both sides of the elbow crease, thumb, middle finger, little finger."""
    where = {item.label: item.how.lower() for item in section("touch").items}
    assert list(where) == ["C5", "C6", "C7", "C8", "T1"]
    telling = {
        "C5": "thumb side of the elbow",
        "C6": "thumb",
        "C7": "middle finger",
        "C8": "little finger",
        "T1": "elbow",
    }
    assert all(words in where[root] for root, words in telling.items())
    assert "little-finger side of the elbow" in where["T1"]


def test_it_tests_the_key_muscles_of_c5_to_t1():
    """ISNCSCI key muscles."""
    assert [(item.roots, item.label) for item in section("strength").items] == [
        (("C5",), "Elbow flexors"),
        (("C6",), "Wrist extensors"),
        (("C7",), "Elbow extensors"),
        (("C8",), "Finger flexors"),
        (("T1",), "Little-finger abductor"),
    ]


def test_a_three_is_full_range_against_gravity_without_more():
    """Medical Research Council grades."""
    assert section("strength").words_for("3") == "full range against gravity, no added resistance"
    assert [grade.value for grade in section("strength").grades] == ["0", "1", "2", "3", "4", "5", "NT"]


def test_the_reflex_scale_is_named_and_its_three_is_normal():
    """NINDS scale (Hallett 1993): 2 and 3 are the halves of normal; "brisk" belongs to another scale."""
    assert "NINDS" in section("reflex").scale
    assert section("reflex").words_for("3") == "upper half of normal"
    assert "brisk" not in " ".join(grade.words for grade in section("reflex").grades)


def test_the_reflexes_name_the_main_root_first_and_exclude_no_other_of_the_tables():
    """Textbook tables differ: triceps C6-7, mainly C7, or C7-8; brachioradialis C6 or C5-6."""
    roots = {item.label: item.roots for item in section("reflex").items}
    assert roots["Biceps"] == ("C5", "C6")
    assert roots["Brachioradialis"] == ("C6", "C5")
    assert roots["Triceps"][0] == "C7" and set(roots["Triceps"]) == {"C6", "C7", "C8"}


def test_every_scale_has_a_source_and_says_what_is_from_memory():
    for each in neuro_screen.load().sections:
        assert each.source and each.status in ("checked", "from memory")
    assert {grade.value for grade in section("reflex").grades if grade.status == "from memory"} == {
        "2",
        "3",
        "4",
    }


def test_it_refuses_a_wrong_file():
    data = tomllib.loads(FILE.read_text())
    for change in ({"normal": "9"}, {"source": " "}, {"items": data["section"][0]["items"] * 2}):
        wrong = copy.deepcopy(data)
        wrong["section"][0].update(change)
        with pytest.raises(NeuroScreenError):
            read(wrong)
    for name in ("scale", "grades", "items"):
        wrong = copy.deepcopy(data)
        del wrong["section"][1][name]
        with pytest.raises(NeuroScreenError, match=name):
            read(wrong)


def test_it_saves_what_was_graded_and_leaves_the_rest_open(blank, as_mara):
    as_mara.post(url(blank), sent(blank, strength_C5_right="4", strength_C5_left="5"))
    assert NeuroFinding.objects.count() == 2
    strength = table_of(blank).tables[1]
    assert (strength.rows[0].right.grade, strength.rows[0].left.grade) == ("4", "5")
    assert strength.rows[1].right.grade == ""


def test_it_shows_plainly_how_the_sides_differ(blank, as_mara):
    as_mara.post(
        url(blank),
        sent(blank, strength_C5_right="4", strength_C5_left="5", touch_C6_right="2", touch_C6_left="2"),
    )
    table = table_of(blank)
    assert table.tables[1].rows[0].difference == "right 4, left 5"
    assert table.tables[0].rows[1].difference == ""
    assert table.differences == ("Strength, elbow flexors (C5): right 4, left 5",)
    assert "Strength, elbow flexors (C5): right 4, left 5" in as_mara.get(url(blank)).content.decode()


def test_it_names_what_is_outside_normal_on_both_sides_alike(blank, as_mara):
    """Brisk reflexes on both sides are no side difference, and yet a finding; 3 is normal on the scale of
    Hallett 1993 (the clinic's own scale calls it brisk).
    """
    both = {
        f"reflex_{name}_{side}": grade
        for name, grade in (("biceps", "4"), ("triceps", "3"))
        for side in ("right", "left")
    }
    as_mara.post(url(blank), sent(blank, **both))
    table = table_of(blank)
    assert table.differences == ()
    assert len(table.alike) == 1
    assert "biceps" in table.alike[0]
    assert "both sides 4" in table.alike[0]
    assert "Outside normal on both sides" in as_mara.get(url(blank)).content.decode()


def test_it_compares_only_sides_that_were_tested(blank, as_mara):
    as_mara.post(
        url(blank),
        sent(blank, reflex_biceps_right="NT", reflex_biceps_right_remark="Cast", reflex_biceps_left="2"),
    )
    assert table_of(blank).differences == ()


@pytest.mark.parametrize("reason", ["", "   "])
def test_not_tested_needs_a_reason(blank, as_mara, reason):
    response = as_mara.post(url(blank), sent(blank, touch_C7_left="NT", touch_C7_left_remark=reason))
    assert response.status_code == 422
    assert "Say why it was not tested." in response.content.decode()
    assert not NeuroFinding.objects.exists()


def test_all_normal_fills_in_what_is_open_and_saves_nothing(blank, as_mara):
    response = as_mara.post(url(blank), sent(blank, fill="normal", strength_C5_right="4"))
    values = response.context["page"].form.initial
    assert values["strength_C5_right"] == "4"
    assert values["strength_C5_left"] == "5"
    assert values["touch_T1_right"] == "2"
    assert values["reflex_triceps_left"] == "2"
    assert not NeuroFinding.objects.exists()


def test_all_normal_fills_in_every_test(db):
    filled = NeuroForm.with_normals({})
    assert len(filled) == 2 * len(list(neuro_screen.load().tests())) == 26
    assert field_name("touch:C5", "left") in filled


def test_the_server_refuses_a_grade_that_the_scale_does_not_have(blank, as_mara):
    assert as_mara.post(url(blank), sent(blank, touch_C5_right="3")).status_code == 422
    assert as_mara.post(url(blank), sent(blank, strength_C5_right="4+")).status_code == 422


def test_the_service_refuses_what_the_form_would(blank, mara):
    state = state_of(blank)
    for findings in (
        {("touch:C5", "right"): ("3", "")},
        {("touch:C9", "right"): ("2", "")},
        {("touch:C5", "both"): ("2", "")},
        {("touch:C5", "right"): ("NT", "")},
    ):
        with pytest.raises(ValueError, match="touch"):
            record_findings(who=mara, visit=blank, state=state, findings=findings)
    with pytest.raises(Stale):
        record_findings(who=mara, visit=blank, state="x", findings={})


def test_of_two_who_record_at_once_the_second_sees_both(blank, as_mara, tom, client):
    client.force_login(tom)
    mine, toms = sent(blank, strength_C5_right="4"), sent(blank, strength_C5_right="3")
    as_mara.post(url(blank), mine)
    response = client.post(url(blank), toms)
    assert response.status_code == 409
    assert response.context["page"].clashes == (("Strength, Elbow flexors, right", "4", "3"),)
    assert NeuroFinding.objects.get().grade == "4"


def test_it_does_not_change_once_the_visit_is_signed(blank, as_mara):
    type(blank).objects.filter(pk=blank.pk).update(signed_at=blank.started_at)
    assert as_mara.post(url(blank), sent(blank, strength_C5_right="4")).status_code == 403


def test_it_words_no_diagnosis(visit, as_mara):
    main = as_mara.get(url(visit)).content.decode()
    main = main[main.index('<main id="content"') : main.index("</main>")].lower()
    for word in ("diagnos", "radiculopathy", "lesion", "compression", "palsy"):
        assert word not in main

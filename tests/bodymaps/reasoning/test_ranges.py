"""The catalogue of movements: refused with an error that names the entry; what it holds is as published."""

import copy
import math
import tomllib

import pytest

from bodymaps import parts
from bodymaps.reasoning import case, clusters, items, ranges
from bodymaps.reasoning.ranges import RangesError

DATA = tomllib.loads(ranges.FILE.read_text(encoding="utf-8"))
SPINE = ["neck", "thoracic", "lumbar", "sacroiliac", "jaw"]
JOINTS = [*SPINE, "shoulder", "elbow", "wrist", "hip", "knee", "ankle"]


def movement(name):
    return ranges.load().movements[name]


def test_every_joint_the_trade_examines_has_its_movements_and_the_sacroiliac_joint_only_tests():
    known = ranges.load()
    assert {joint.id for joint in known.joints} == set(JOINTS)
    assert not known.of("sacroiliac")
    assert all(len(known.of(joint)) >= 2 for joint in JOINTS if joint != "sacroiliac")
    assert 40 <= len(known.movements) <= 55


def test_every_group_of_joint_tests_belongs_to_one_joint_and_every_joint_to_parts_of_the_body():
    named = [group for joint in ranges.load().joints for group in joint.tests]
    assert sorted(named) == sorted(group.id for group in items.findings().on_page("joint"))
    known = {part.id for part in parts.load().parts}
    assert {part for joint in ranges.load().joints for part in joint.drawn} <= known


def test_what_is_the_same_measurement_is_a_number_of_the_neuro_screen_with_the_same_unit():
    pairs = [(each, items.findings().items[each.same_as]) for each in DATA_MOVEMENTS if each.same_as]
    assert [(each.id, item.key) for each, item in pairs] == [("neck_rotation", "neck:rotation")]
    assert all(
        (item.unit, item.sided, item.type) == (each.unit, each.sided, "number") for each, item in pairs
    )
    assert all((item.least, item.most) == (each.least, each.most) for each, item in pairs)


DATA_MOVEMENTS = tuple(ranges.load().movements.values())


@pytest.mark.parametrize(("error", "printed"), [(4.1, 9.6), (2.3, 5.4)])
def test_the_printed_changes_of_the_neck_are_of_the_90_per_cent_level(error, printed):
    """Fletcher and Bandy 2008 print standard errors of 2.3 to 4.1 degrees and changes of 5.4 to 9.6: 1.645
    times the square root of 2 times the error gives them, 1.96 times does not.
    """
    assert math.isclose(1.645 * math.sqrt(2) * error, printed, abs_tol=0.1)
    assert not math.isclose(1.96 * math.sqrt(2) * error, printed, abs_tol=0.5)
    named = [each for each in movement("neck_rotation").changes if each.source.startswith("Fletcher")]
    assert [(each.lower, each.value, each.level) for each in named] == [(5.4, 9.6, "90 %")]
    assert named[0].status == "checked"


@pytest.mark.parametrize(
    ("name", "instrument", "how", "lower", "value", "level"),
    [
        # Kolber and others 2011, abstract, MDC90: flexion 8, abduction 4, internal rotation 8, external 9.
        ("shoulder_flexion", "inclinometer", "active", 8, 8, "90 %"),
        ("shoulder_abduction", "inclinometer", "active", 4, 4, "90 %"),
        ("shoulder_internal_rotation", "inclinometer", "active", 8, 8, "90 %"),
        ("shoulder_external_rotation", "inclinometer", "active", 9, 9, "90 %"),
        # Armstrong and others 1998, abstract, 95 %: goniometer, same examiner 8, another 11 degrees.
        ("forearm_supination", "goniometer", "active", 8, 11, "95 %"),
        # Konor and others 2012, abstract: tape 1.1 to 1.5 cm.
        ("ankle_lunge_distance", "tape", "active", 1.1, 1.5, "95 %"),
        # Robinson and Mengshoel 2014, abstract: fingertip to floor 9.8 cm, modified Schober 1.8 cm.
        ("lumbar_fingertip_floor", "tape", "active", 9.8, 9.8, "not stated"),
        ("lumbar_skin_stretch", "tape", "active", 1.8, 1.8, "not stated"),
    ],
)
def test_the_figures_are_those_of_the_abstracts(name, instrument, how, lower, value, level):
    (found,) = movement(name).changes_with(instrument, how)
    assert (found.lower, found.value, found.level, found.status) == (lower, value, level, "checked")


def test_a_figure_for_active_movement_says_nothing_of_passive():
    assert not movement("shoulder_flexion").changes_with("inclinometer", "passive")
    assert not movement("neck_rotation").changes_with("inclinometer", "active"), "no figure is known"


def test_what_is_usual_depends_on_age_and_is_said_to_be_from_memory():
    """Youdas 1992, from memory: rotation about 57 degrees at 60 to 69; AAOS 60, AMA 80: handbooks differ."""
    at_65 = movement("neck_rotation").published_for(65)
    assert [each.value for each in at_65] == [57, 60, 80]
    assert {each.status for each in at_65} == {"from memory"}
    assert [each.value for each in movement("neck_rotation").published_for(None)] == [60, 80]


def broken(kind, number, **said):
    data = copy.deepcopy(DATA)
    data[kind][number] = {**data[kind][number], **said}
    return data


NECK = next(index for index, each in enumerate(DATA["movement"]) if each["id"] == "neck_rotation")
FLETCHER = {"study": "fletcher_2008", "instrument": "neck_device", "value": 9.6, "level": "90 %"}


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"joint": "tail"}, "movement neck_rotation: no such joint: tail"),
        ({"unit": "inch"}, "movement neck_rotation: unit must be one of °, mm, cm"),
        ({"sided": "yes"}, "movement neck_rotation: sided must be true or false"),
        ({"least": 120}, "movement neck_rotation: least must be below most"),
        ({"most": "far"}, "movement neck_rotation: most must be a number"),
        ({"how": " "}, "movement neck_rotation: how must be a text"),
        ({"id": "neck_flexion"}, "movement neck_flexion: there are two of this id"),
        ({"instruments": ["tape"], "changes": []}, "movement neck_rotation: tape does not read °"),
        ({"instruments": []}, "movement neck_rotation: instruments must be of goniometer, inclinometer"),
        ({"normal": 80}, "movement neck_rotation: unknown member normal"),
        ({"usual": [{"study": "nobody", "value": 80}]}, "movement neck_rotation: no such study: nobody"),
        ({"usual": [{"study": "ama", "value": 180}]}, "a usual value lies outside 0 to 120"),
        ({"usual": [{"study": "ama", "value": 80, "from": 20}]}, "from and to are years of age"),
        ({"changes": [{**FLETCHER, "level": "sure"}]}, "the level of a change must be one of 90 %"),
        ({"changes": [{**FLETCHER, "instrument": "tape"}]}, "a change needs one of its instruments"),
        ({"changes": [{**FLETCHER, "lower": 10}]}, "lower not above value"),
        ({"changes": [{**FLETCHER, "of": "both"}]}, "a change is of active or passive"),
    ],
)
def test_a_movement_that_cannot_be_used_is_named_with_what_to_mend(said, message):
    with pytest.raises(RangesError) as problem:
        ranges.read(broken("movement", NECK, **said))
    assert "ranges.toml" in str(problem.value) and message in str(problem.value)


@pytest.mark.parametrize(
    ("kind", "said", "message"),
    [
        ("study", {"status": "sure"}, "study fletcher_2008: status must be one of checked"),
        ("study", {"work": ""}, "study fletcher_2008: work must be a text"),
        ("instrument", {"units": ["inch"]}, "instrument goniometer: units must be of"),
        ("end_feel", {"words": ""}, "end_feel soft: words must be a text"),
        ("joint", {"drawn": []}, "joint neck: drawn must name a part"),
        ("joint", {"mind": ""}, "joint neck: mind must be a text"),
    ],
)
def test_so_is_every_other_entry(kind, said, message):
    with pytest.raises(RangesError) as problem:
        ranges.read(broken(kind, 0, **said))
    assert message in str(problem.value)


def test_neck_rotation_of_a_file_counts_for_the_cluster_that_asks_for_it():
    """Wainner 2003 counts rotation below 60 degrees: 55 actively turned is positive, and not asked again."""
    read = case.read({"findings": {"active:neck_rotation": {"right": 55}}})
    assert read.finding("neck:rotation", "right") == 55
    (found,) = [each for each in clusters.singles(read) if "rotation" in each.id]
    assert (found.side, found.result) == ("right", "positive")


def test_what_the_neuro_screen_measured_itself_counts_before_it():
    found = {"active:neck_rotation": {"right": 55, "left": 50}, "neck:rotation": {"right": 70, "left": "NT"}}
    read = case.read({"findings": found})
    assert read.finding("neck:rotation", "right") == 70
    assert read.finding("neck:rotation", "left") == 50, "not tested there, measured here"
    passive = case.read({"findings": {"passive:neck_rotation": {"right": 55}}})
    assert passive.finding("neck:rotation", "right") is None, "passive is another measurement"

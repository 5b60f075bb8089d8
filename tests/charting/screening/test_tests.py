"""What is tested and how it is graded, and how it is laid out in parts and sections."""

import copy
import tomllib

import pytest

from bodymaps import parts as body_parts
from bodymaps.reasoning import items
from charting.screening import sections
from charting.screening.sections import FILE, SectionsError, parts_for, read

SCALES = items.findings().scales


def group(name):
    return next(each for each in items.findings().groups if each.id == name)


def test_it_tests_light_touch_and_pin_prick_at_the_28_key_points():
    """ISNCSCI: C2 to S4-5, 28 on each side."""
    touch = {item.label: item.help.lower() for item in group("touch").items}
    assert len(touch) == len(group("pin").items) == 28
    telling = {
        "C2": "skull",
        "C4": "acromion",
        "C5": "thumb side of the elbow",
        "C6": "thumb",
        "C7": "middle finger",
        "C8": "little finger",
        "T1": "little-finger side of the elbow",
        "T4": "nipple",
        "T10": "navel",
        "L4": "inner ankle",
        "S1": "heel",
        "S4-5": "anus",
    }
    assert all(words in touch[root] for root, words in telling.items())


def test_it_tests_the_ten_key_muscles():
    """ISNCSCI key muscles."""
    key = {item.roots[0]: item.label for item in group("strength").items if item.key[9:] == item.roots[0]}
    assert key == {
        "C5": "Elbow flexors",
        "C6": "Wrist extensors",
        "C7": "Elbow extensors",
        "C8": "Finger flexors",
        "T1": "Little-finger abductor",
        "L2": "Hip flexors",
        "L3": "Knee extensors",
        "L4": "Ankle dorsiflexors",
        "L5": "Long toe extensor",
        "S1": "Ankle plantar flexors",
    }


def test_a_three_is_full_range_against_gravity_without_more():
    """Medical Research Council grades."""
    assert SCALES["strength"].words_for("3") == "full range against gravity, no added resistance"
    assert [grade.id for grade in SCALES["strength"].grades] == ["0", "1", "2", "3", "4", "5", "NT"]


def test_the_two_scales_of_reflexes_are_named_and_differ_in_what_is_normal():
    """NINDS (Hallett 1993): 2 and 3 are the halves of normal. Clinic scale: 3+ is brisker than average."""
    ninds, clinic = SCALES["reflex_ninds"], SCALES["reflex_clinic"]
    assert "NINDS" in ninds.name and "linic" in clinic.name
    assert ninds.within_normal == ("2", "3") and clinic.within_normal == ("2+",)
    assert ninds.words_for("3") == "upper half of normal"
    assert ninds.from_memory == ("2", "3", "4")


def test_the_reflexes_name_the_main_root_first_and_exclude_no_other_of_the_tables():
    """Textbook tables differ: triceps C6-7, mainly C7, or C7-8; brachioradialis C6 or C5-6; knee L2 to L4."""
    for name in sections.REFLEX_SCALES:
        roots = {item.label: item.roots for item in group(name).items}
        assert roots["Biceps"] == ("C5", "C6")
        assert roots["Triceps"][0] == "C7" and set(roots["Triceps"]) == {"C6", "C7", "C8"}
        assert roots["Knee"][0] == "L4" and set(roots["Knee"]) == {"L2", "L3", "L4"}


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("neck:spurling", "injury"),
        ("neck:spurling", "cord"),
        ("neck:distraction", "injury"),
        ("neck:distraction", "cord"),
        ("neck:rotation", "injury"),
        ("back:femoral_stretch", "operation"),
        ("touch:S4_5", "consent"),
        ("strength:S1", "hold"),
    ],
)
def test_where_a_test_can_hurt_it_says_so(key, words):
    """Common practice."""
    assert words in items.findings().items[key].caution.lower()


def test_every_scale_has_a_source_and_a_status():
    assert all(scale.source and scale.status in ("checked", "from memory") for scale in SCALES.values())


def test_every_test_stands_in_one_section():
    placed = [item.key for section in sections.load().sections for item in section.items]
    on_pages = {key for page in sections.PAGES for key, _ in sections.every_cell(page)}
    assert sorted(placed) == sorted(on_pages)


def test_a_part_holds_its_roots_and_what_belongs_to_them():
    def keys(part):
        known = sections.load()
        return {key for key, item in items.findings().items.items() if known.in_parts(item, [part])}

    assert {"touch:C5", "touch:T1", "reflex:triceps", "neck:spurling", "entrapment:phalen"} <= keys("arm")
    assert not {"touch:C4", "touch:T2", "touch:L2", "cord:babinski", "back:slr"} & keys("arm")
    assert {"touch:L2", "touch:S2", "touch:S4_5", "reflex:ankle", "back:slr"} <= keys("leg")
    assert {"touch:T2", "touch:L1", "pin:T10"} <= keys("trunk")
    assert {"touch:C2", "cord:hoffmann", "reflex:jaw", "neck:lhermitte"} <= keys("cord")


@pytest.mark.parametrize(
    ("drawn", "shown"),
    [
        ([], ("arm",)),
        (["hand right"], ("arm",)),
        (["neck", "shoulder left"], ("arm",)),
        (["low_back", "foot left"], ("leg",)),
        (["hand right", "thigh left"], ("arm", "leg")),
        (["neck"], ("cord",)),
        (["chest right"], ("trunk",)),
    ],
)
def test_the_drawing_chooses_what_is_shown_first(drawn, shown):
    drawn = [key if key in body_parts.KEYS else key.split()[0] for key in drawn]
    assert parts_for(drawn) == shown


def test_one_tap_never_fills_what_brings_on_pain_or_is_a_number():
    for section in sections.load().sections:
        if section.one_tap:
            assert {item.group for item in section.items} <= set(sections.BY_ROOT)
            assert not any(item.key.endswith((":S3", ":S4_5")) for item in section.items)


@pytest.mark.parametrize(
    ("name", "change", "says"),
    [
        ("section", {"keys": ["touch:C9"]}, "touch:C9"),
        ("section", {"group": "toes"}, "toes"),
        ("section", {"keys": ["touch:C5"]}, "in no section"),
        ("section", {"group": "neck", "not_keys": [], "one_tap": True}, "one_tap"),
        ("part", {"groups": ["toes"]}, "toes"),
        ("part", {"drawn": ["tail"]}, "tail"),
        ("part", {"roots": []}, "belongs to no part"),
        ("differs", {"key": "neck:turning"}, "neck:turning"),
    ],
)
def test_it_refuses_a_wrong_file(name, change, says):
    data = copy.deepcopy(tomllib.loads(FILE.read_text()))
    data[name][0].update(change)
    with pytest.raises((SectionsError, KeyError), match=says):
        read(data)
    del data[name][0][next(iter(data[name][0]))]
    with pytest.raises(SectionsError):
        read(data)

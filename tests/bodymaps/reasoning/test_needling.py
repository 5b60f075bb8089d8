"""What stands against a needle. Contraindications: South African Allied Health Professions Act, board notice
121 (read); muscles with lung beneath: a union of published lists, from memory; depths and the case of 2025 as
named beside each.
"""

import copy
import tomllib
from typing import Any

import pytest

from bodymaps import atlas
from bodymaps.reasoning import items, needling, needling_file, needling_rules
from bodymaps.reasoning.case import Case, read
from bodymaps.reasoning.needling_rules import NeedlingError

TOLD = tomllib.loads((items.FOLDER / needling_rules.FILE).read_text(encoding="utf-8"))
ATLAS = atlas.load()
NOTHING_SAID = {
    "anticoagulant": "no",
    "pregnancy": "no",
    "needle_reaction": "no",
    "implant": "no",
    "allergy": "no",
    "conditions": ["none"],
}


def case(findings: dict[str, Any] | None = None, *, age: int = 40, **history: Any) -> Case:
    told = {"age": age, "sex": "female", "history": {**NOTHING_SAID, **history}, "findings": findings or {}}
    return read(told)


def of_person(known: Case) -> dict[str, str]:
    return {gate.id: gate.level for gate in needling.person_gates(known)}


def of_muscle(muscle: str, known: Case, side: str = "right", site: str = "") -> dict[str, str]:
    return {gate.id: gate.level for gate in needling.muscle_gates(muscle, side, known, ATLAS, site)}


# (what is on record, the gate it opens, its level, the muscle it counts for; "" the person as a whole)
OPENS: tuple[tuple[dict[str, Any], str, str, str], ...] = (
    # Absolute in the board notice.
    ({"needle_reaction": "yes"}, "needle_reaction", "stop", ""),
    ({"decides_self": "no"}, "cannot_decide", "stop", ""),
    ({"fully_alert": "no"}, "cannot_decide", "stop", ""),
    ({"conditions": ["lymphoedema"]}, "lymphoedema", "caution", ""),
    ({"conditions": ["lymphoedema"]}, "lymphoedema_limb", "stop", "soleus"),
    ({"anticoagulant": "yes"}, "bleeding_deep", "stop", "iliopsoas"),
    ({"anticoagulant": "yes"}, "bleeding_deep", "stop", "tibialis_posterior"),
    ({"anticoagulant": "yes"}, "bleeding_deep_too", "stop", "quadratus_lumborum"),
    # Relative there.
    ({"anticoagulant": "yes"}, "bleeding", "caution", ""),
    ({"immune_weak": "yes"}, "defence", "caution", ""),
    ({"fever": "yes"}, "defence", "caution", ""),
    ({"cancer": "yes"}, "defence", "caution", ""),
    ({"recent_bacterial": "yes"}, "defence", "caution", ""),
    ({"conditions": ["diabetes"]}, "diabetes", "caution", ""),
    ({"conditions": ["heart"]}, "heart_vessels", "caution", ""),
    ({"conditions": ["stroke"]}, "heart_vessels", "caution", ""),
    ({"heart_known": "yes"}, "heart_vessels", "caution", ""),
    ({"aneurysm_known": "yes"}, "heart_vessels", "caution", ""),
    # From memory of the guidelines of Australia (2013) and Ireland (2012).
    ({"pregnancy": "yes"}, "pregnant", "caution", ""),
    ({"pregnancy": "yes"}, "pregnant_here", "stop", "rectus_abdominis"),
    ({"pregnancy": "yes"}, "pregnant_here", "stop", "multifidus_lumborum"),
    ({"pregnancy": "yes"}, "pregnant_sacral", "stop", "piriformis"),
    ({"conditions": ["epilepsy"]}, "epilepsy", "caution", ""),
    ({"conditions": ["lung"]}, "lung_disease", "caution", "rhomboidei"),
    ({"conditions": ["depression"]}, "mood", "note", ""),
    ({"mood_low": "yes"}, "mood", "note", ""),
    ({"suicidal_thoughts": "yes"}, "distress", "caution", ""),
    ({"suicidal_plan": "yes"}, "distress", "caution", ""),
    ({"allergy": "yes"}, "allergy", "caution", ""),
    ({"implant": "yes"}, "implant", "caution", ""),
    ({"lay_still": "yes"}, "recent_surgery", "caution", ""),
    ({"treatments": ["surgery"]}, "recent_surgery", "caution", ""),
    ({"neck_surgery": "yes"}, "neck_surgery", "caution", "splenius_capitis"),
    ({"rash": "yes"}, "skin_here", "caution", ""),
    ({"calf_swollen": "yes"}, "leg_vein", "stop", "gastrocnemius"),
    ({"limb_tense": "yes"}, "tense_limb", "stop", "supinator"),
    ({"joint_hot": "yes"}, "hot_joint", "stop", "vastus_medialis"),
)
FOUND: tuple[tuple[dict[str, Any], dict[str, Any], str, str, str], ...] = (
    ({"vital:temperature": 38.0}, {"vital:temperature": 37.9}, "ill", "stop", ""),
    ({"vital:systolic": 180}, {"vital:systolic": 179}, "very_high_pressure", "caution", ""),
    ({"vital:diastolic": 110}, {"vital:diastolic": 109}, "very_high_pressure", "caution", ""),
    ({"look:rash": "abnormal"}, {"look:rash": "normal"}, "skin_here", "caution", ""),
    (
        {"look:calf": {"right": "abnormal"}},
        {"look:calf": {"right": "normal", "left": "abnormal"}},
        "leg_vein",
        "stop",
        "soleus",
    ),
    (
        {"look:limb": {"right": "abnormal"}},
        {"look:limb": {"left": "abnormal"}},
        "tense_limb",
        "stop",
        "soleus",
    ),
    ({"look:joint": {"right": "abnormal"}}, {"look:joint": {"right": "NT"}}, "hot_joint", "stop", "soleus"),
)


def _found(known: Case, muscle: str) -> dict[str, str]:
    return of_muscle(muscle, known) if muscle else of_person(known)


def test_each_answer_opens_its_gate_and_the_gate_goes_with_it() -> None:
    for told, gate, level, muscle in OPENS:
        assert _found(case(**told), muscle).get(gate) == level, (told, gate)
        assert gate not in _found(case(), muscle), gate
        denied: dict[str, Any] = {key: "no" for key, said in told.items() if said == "yes"}
        assert gate not in _found(case(**denied), muscle), (denied, gate)


def test_not_sure_of_a_danger_is_taken_for_a_yes() -> None:
    for told, gate, level, muscle in OPENS:
        unsure: dict[str, Any] = {key: "unsure" for key, said in told.items() if said in ("yes", "no")}
        if unsure:
            assert _found(case(**unsure), muscle).get(gate) == level, (unsure, gate)


def test_each_finding_opens_its_gate_and_its_neighbour_does_not() -> None:
    for found, other, gate, level, muscle in FOUND:
        assert _found(case(found), muscle).get(gate) == level, found
        assert gate not in _found(case(other), muscle), other


def test_every_question_that_the_file_asks_is_in_one_of_these_tables() -> None:
    asked: set[str] = set().union(*(rule.when.keys() for rule in needling_file.load().rules if rule.when))
    listed = {key for told, *_ in OPENS for key in told} | {key for found, *_ in FOUND for key in found}
    assert asked == listed


@pytest.mark.parametrize(("age", "gate"), [(17, "child"), (75, "old")])
def test_age_is_a_caution_from_its_year_on(age: int, gate: str) -> None:
    assert of_person(case(age=age))[gate] == "caution"
    assert gate not in of_person(case(age=18 if gate == "child" else 74))


def test_no_needle_into_the_head_of_a_small_child_whoever_decides() -> None:
    gates = needling.muscle_gates("temporalis", "right", case(age=1), ATLAS)
    assert [one.overridable for one in gates if one.id == "fontanelle"] == [False]
    assert "fontanelle" not in of_muscle("soleus", case(age=1))


def test_what_holds_only_here_is_not_said_elsewhere() -> None:
    assert "bleeding_deep" not in of_muscle("soleus", case(anticoagulant="yes"))
    assert "bleeding_deep_too" not in of_muscle("trapezius_upper", case(anticoagulant="yes"))
    assert "pregnant_here" not in of_muscle("deltoideus_medius", case(pregnancy="yes"))
    assert "lung_disease" not in of_muscle("soleus", case(conditions=["lung"]))
    assert "lymphoedema_limb" not in of_muscle("multifidus_lumborum", case(conditions=["lymphoedema"]))


def test_a_gate_of_one_site_is_said_of_the_muscle_as_a_whole_but_not_of_its_other_sites() -> None:
    known = case(pregnancy="yes")
    assert "pregnant_sacral" in of_muscle("piriformis", known, site="medial")
    assert "pregnant_sacral" in of_muscle("piriformis", known)
    assert "pregnant_sacral" not in of_muscle("piriformis", known, site="lateral")


@pytest.mark.parametrize("key", NOTHING_SAID)
def test_not_asked_is_never_no(key: str) -> None:
    told = {"age": 40, "sex": "female", "history": {k: v for k, v in NOTHING_SAID.items() if k != key}}
    gates = needling.person_gates(read(told))
    assert [gate.title for gate in gates if gate.id == f"asked:{key}"] == [
        f"Not asked yet: {items.history().items[key].label}"
    ]
    assert not [gate for gate in needling.person_gates(case()) if gate.kind == needling.ASKED]


def test_nobody_asks_a_man_whether_he_is_pregnant() -> None:
    assert "asked:pregnancy" not in of_person(read({"age": 40, "sex": "male"}))


def test_nobody_goes_past_a_person_who_cannot_decide() -> None:
    gates = {gate.id: gate for gate in needling.person_gates(case(decides_self="no", needle_reaction="yes"))}
    assert not gates["cannot_decide"].overridable and gates["cannot_decide"].met_by == needling.GUARDIAN
    assert gates["needle_reaction"].overridable


def test_it_says_what_in_the_record_makes_it_so() -> None:
    gates = {gate.id: gate.because for gate in needling.person_gates(case(anticoagulant="unsure"))}
    assert gates["bleeding"] == "Blood thinner or bleeding disorder: not sure"


# ---- The muscle

# Risk sites of the published lists put together (from memory): each with the muscles of the atlas meant.
LISTED = {
    "upper trapezius": ["trapezius_upper"],
    "levator scapulae": ["levator_scapulae"],
    "rhomboids": ["rhomboidei"],
    "mid and lower trapezius": ["trapezius_middle", "trapezius_lower"],
    "serratus anterior and posterior": [
        "serratus_anterior",
        "serratus_posterior_superior",
        "serratus_posterior_inferior",
    ],
    "iliocostalis and longissimus thoracis": ["iliocostalis_thoracis", "longissimus_thoracis"],
    "pectoralis major and minor": [
        "pectoralis_major_clavicular",
        "pectoralis_major_sternocostal",
        "pectoralis_minor",
    ],
    "scalenes": ["scalenus_anterior", "scalenus_medius", "scalenus_posterior", "scalenus_minimus"],
    "supraspinatus": ["supraspinatus"],
    "subscapularis": ["subscapularis"],
    "latissimus": ["latissimus_dorsi"],
    "intercostals, diaphragm zone": ["intercostales_diaphragma"],
    "multifidus (less)": ["multifidus_cervicis", "multifidus_lumborum"],
}


def test_every_muscle_of_the_published_lists_is_treated_as_over_the_lung() -> None:
    for named, muscles in LISTED.items():
        for muscle in muscles:
            assert needling.over_lung(muscle), (named, muscle)
            assert needling.needs_late_advice(muscle), (named, muscle)
            assert "rib_grip" in of_muscle(muscle, case()), (named, muscle)
    listed = {one.muscle for one in needling_file.load().pleura.values() if one.listed}
    assert listed == {muscle for muscles in LISTED.values() for muscle in muscles}


def test_the_hole_of_the_breastbone_is_said_beside_it_and_only_there() -> None:
    assert "place_sternum" in of_muscle("pectoralis_major_sternocostal", case(), site="parasternal")
    assert "place_sternum" not in of_muscle("pectoralis_major_sternocostal", case(), site="lateral_margin")


def test_the_lung_is_shown_first_for_every_muscle_for_which_the_atlas_names_it() -> None:
    named = [
        id_ for id_, one in ATLAS.muscles.items() if "pleura" in {each.structure for each in one.at_risk}
    ]
    assert len(named) > 20
    for muscle in named:
        first = needling.muscle_gates(muscle, "left", case(), ATLAS)[0]
        assert (first.id, first.kind, first.level) == ("structure:pleura", "structure", "caution"), muscle


def test_structures_at_risk_stand_before_all_else_in_the_words_of_the_atlas() -> None:
    gates = needling.muscle_gates("rhomboidei", "right", case(anticoagulant="yes"), ATLAS)
    structures = [gate.words for gate in gates if gate.kind == needling.STRUCTURE]
    assert [gate.words for gate in gates][: len(structures)] == structures
    assert sorted(structures) == sorted(one.words for one in ATLAS.muscles["rhomboidei"].at_risk)


@pytest.mark.parametrize(
    ("muscle", "site", "other"),
    [
        ("intercostales_diaphragma", "diaphragm_dome", ""),
        ("levator_ani_coccygeus", "levator_ani_front", ""),
        ("obturatorius_internus", "pelvic_part", "gluteal_part"),
        ("iliopsoas", "psoas_belly", "lower"),
    ],
)
def test_where_the_atlas_says_that_no_needle_goes_by_feel_the_entry_is_held_back(
    muscle: str, site: str, other: str
) -> None:
    """From memory, as the atlas has it."""
    assert of_muscle(muscle, case(), site=site)["place_avoided"] == "stop"
    assert not other or "place_avoided" not in of_muscle(muscle, case(), site=other)


def test_far_from_the_chest_nothing_is_said_of_the_lung() -> None:
    for muscle in ("soleus", "piriformis", "masseter", "supinator", "vastus_medialis"):
        assert not needling.over_lung(muscle)
        assert "rib_grip" not in of_muscle(muscle, case())


def test_of_a_long_muscle_only_the_sites_over_the_lung_count() -> None:
    assert needling.over_lung("rectus_abdominis", "upper") and needling.over_lung("rectus_abdominis")
    assert not needling.over_lung("rectus_abdominis", "pyramidalis")
    assert not needling.over_lung("multifidus_lumborum", "sacral")


def test_a_pattern_of_the_practice_is_over_the_lung_unless_it_is_known_not_to_be() -> None:
    assert needling.over_lung("own_fold") and needling.over_lung("own_fold", area="chest")
    assert not needling.over_lung("own_fold", area="leg_foot")
    assert not needling.over_lung("own_fold", area="leg_foot right")
    # Apex in the neck, blade on the ribs, pleura behind the last ribs: common practice.
    for area in ("neck", "shoulder left", "abdomen", "low_back"):
        assert needling.over_lung("own_fold", area=area), area
    assert needling.over_lung("own_fold", area="chest right")
    gates = needling.muscle_gates("own_fold", "right", case(), ATLAS)
    assert gates[0].id == "unknown" and gates[0].kind == needling.STRUCTURE


def test_a_rib_between_the_fingers_is_called_no_proof() -> None:
    """Mintken et al. 2025: rib held, 20 mm needle, lung collapsed over two days."""
    gate = next(
        one for one in needling.muscle_gates("rhomboidei", "left", case(), ATLAS) if one.id == "rib_grip"
    )
    assert gate.level == "caution" and "no proof" in gate.title and "20 mm" in gate.words


# ---- The depth


@pytest.mark.parametrize(
    ("muscle", "depth", "warned"),
    [
        # Valera-Calero 2020: at most 19 mm for the rhomboid major. 2025: a 20 mm needle reached the lung.
        ("rhomboidei", 19, []),
        ("rhomboidei", 19.5, ["depth:rhomboid_19"]),
        ("rhomboidei", 20, ["depth:rhomboid_19", "depth:rhomboid_20"]),
        ("rhomboidei", 31, ["depth:rhomboid_19", "depth:rhomboid_20", "depth:needle_31"]),
        # Board notice 121: 31 mm needles have reached the lung; 33 mm on average at the neck angle.
        ("pectoralis_minor", 30, []),
        ("pectoralis_minor", 31, ["depth:needle_31"]),
        ("trapezius_upper", 32, ["depth:needle_31"]),
        ("trapezius_upper", 33, ["depth:needle_31", "depth:neck_angle_33"]),
        ("soleus", 60, []),
    ],
)
def test_a_depth_beyond_the_published_figure_is_warned_of(
    muscle: str, depth: float, warned: list[str]
) -> None:
    gates = needling.depth_gates(muscle, "right", depth)
    assert [gate.id for gate in gates] == warned
    assert {gate.level for gate in gates} <= {"caution"}


def test_published_depths_are_shown_before_any_depth_is_entered() -> None:
    shown = [
        gate for gate in needling.muscle_gates("rhomboidei", "right", case(), ATLAS) if gate.kind == "depth"
    ]
    assert [gate.level for gate in shown] == ["note"] * 3 and "19 mm" in shown[0].words


# ---- The visit


def test_both_sides_of_the_thorax_in_one_visit_are_warned_of() -> None:
    both = needling.visit_gates([("rhomboidei", "right"), ("soleus", "left"), ("levator_scapulae", "left")])
    assert [(gate.id, gate.level) for gate in both] == [("both_sides", "caution")]


@pytest.mark.parametrize(
    "needled",
    [
        [],
        [("rhomboidei", "right"), ("levator_scapulae", "right")],
        [("rhomboidei", "right"), ("soleus", "left")],
        [("rhomboidei", "right", ""), ("rectus_abdominis", "left", "pyramidalis")],
    ],
)
def test_one_side_of_the_thorax_is_not(needled: list[tuple[str, ...]]) -> None:
    assert needling.visit_gates(needled) == ()


def test_late_advice_says_when_it_can_start_and_fits_what_a_row_holds() -> None:
    text = needling.late_advice()
    assert "hours" in text.words and "two days" in text.words and len(text.words) <= 2000
    assert text.call and len(text.call) <= 100


# ---- The file


def spoiled(*path: Any, value: Any) -> dict[str, Any]:
    told = copy.deepcopy(TOLD)
    at: Any = told
    for step in path[:-1]:
        at = at[step]
    if value is None:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return told


def number(kind: str, key: str, name: str = "id") -> int:
    return next(i for i, entry in enumerate(TOLD[kind]) if entry[name] == key)


@pytest.mark.parametrize(
    ("told", "says"),
    [
        (spoiled("gate", 0, "level", value="high"), "gate needle_reaction: level must be one of stop"),
        (spoiled("gate", 0, "source", value=" "), "gate needle_reaction: source must be a text"),
        (spoiled("gate", 0, "status", value="sure"), "gate needle_reaction: status must be one of checked"),
        (spoiled("gate", 0, "when", value=None), "gate needle_reaction: say of whom it is true"),
        (spoiled("gate", 0, "colour", value="red"), "gate needle_reaction: unknown key colour"),
        (spoiled("gate", 0, "id", value="diabetes"), "gate diabetes: stands twice"),
        (spoiled("gate", 0, "areas", value=["calf"]), "gate needle_reaction: no such area: calf"),
        (spoiled("gate", 0, "muscles", value=["calf"]), "gate needle_reaction: not in the atlas: calf"),
        (
            spoiled("gate", 0, "when", value={"item": "needle_reaction", "is": ["yes"]}),
            "gate needle_reaction: needle_reaction: not sure counts as the danger",
        ),
        (
            spoiled("gate", 0, "when", value={"drawn": ["front:pectoral_upper"]}),
            "gate needle_reaction: a needle does not ask what was drawn",
        ),
        (
            spoiled("gate", 0, "when", value={"yes": ["no_such_key"]}),
            "gate needle_reaction:",
        ),
        (
            spoiled("gate", number("gate", "pregnant_sacral"), "sites", "piriformis", value=["top"]),
            "gate pregnant_sacral: piriformis: sites must be some of lateral, medial",
        ),
        (spoiled("asked", "stop", value=["no_such_key"]), "asked: no such question: no_such_key"),
        (spoiled("structure", 0, value=None), "structures: one for each that the atlas knows: pleura"),
        (
            spoiled("pleura", number("pleura", "teres_minor", "muscle"), value=None),
            "pleura: the atlas names the pleura for: teres_minor",
        ),
        (spoiled("depth", 0, "kind", value="deep"), "depth rhomboid_19: kind must be one of advised"),
        (spoiled("depth", 0, "muscles", value=None), "depth rhomboid_19: mm must be above 0, and muscles"),
        (spoiled("visit", 0, value=None), "visit: one for each of both_sides"),
        (spoiled("late_advice", "call", value=""), "late_advice: call must be a text"),
        (spoiled("version", value=None), "lacks version"),
    ],
)
def test_it_refuses_a_file_and_names_what_to_mend(told: dict[str, Any], says: str) -> None:
    with pytest.raises(NeedlingError) as refused:
        needling_file.read(told)
    assert str(refused.value).startswith(needling_rules.FILE) and says in str(refused.value)

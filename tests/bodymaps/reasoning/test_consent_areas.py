"""Where each muscle is reached, as consent names it. The places are common practice; what is held against
something outside the data is the anatomy of the atlas: where a site lies on the figure.
"""

import copy
import tomllib

import pytest

from bodymaps import atlas
from bodymaps.reasoning import consent_areas, items
from bodymaps.reasoning.consent_areas import ConsentAreasError

TOLD = tomllib.loads((items.FOLDER / consent_areas.FILE).read_text(encoding="utf-8"))


def test_it_says_where_every_muscle_of_the_atlas_is_reached() -> None:
    assert all(consent_areas.of_muscle(id_, "right") for id_ in atlas.load().muscles)


@pytest.mark.parametrize(
    ("muscle", "site", "keys"),
    [
        ("trapezius_upper", "horizontal_fibres", {"shoulder left"}),
        ("trapezius_upper", "", {"neck", "shoulder left"}),
        ("levator_scapulae", "scapular_attachment", {"upper_back"}),
        ("pectoralis_major_sternocostal", "intermediate", {"chest left", "breast left"}),
        ("pectoralis_major_clavicular", "belly", {"chest left"}),
        ("gluteus_minimus_anterior", "", {"buttock left"}),
        ("piriformis", "medial", {"buttock left"}),
        ("pectineus", "", {"groin left"}),
        ("adductor_longus_brevis", "upper", {"groin left"}),
        ("adductor_longus_brevis", "lower", {"thigh left"}),
        ("iliopsoas", "psoas_belly", {"abdomen"}),
        ("iliopsoas", "", {"abdomen", "groin left"}),
        ("obturatorius_internus", "pelvic_part", {"pelvic_floor"}),
        ("obturatorius_internus", "", {"pelvic_floor", "buttock left"}),
    ],
)
def test_it_names_the_skin_that_is_uncovered(muscle: str, site: str, keys: set[str]) -> None:
    """Common practice."""
    assert set(consent_areas.of_muscle(muscle, "left", site)) == keys


def test_it_asks_for_both_sides_when_no_side_is_named() -> None:
    assert consent_areas.of_muscle("pectineus", "") == ("groin right", "groin left")


def test_an_own_site_asks_for_all_areas_of_its_muscle_and_an_own_pattern_names_none() -> None:
    assert consent_areas.of_muscle("iliopsoas", "left", "own") == consent_areas.of_muscle("iliopsoas", "left")
    assert consent_areas.of_muscle("own_fold_of_the_biceps", "left") == ()


def test_muscles_of_one_group_do_not_lie_far_from_each_other() -> None:
    """The group of the atlas says the part of the body: an area that does not belong to it is a slip."""
    allowed = {
        "jaw": {"head", "neck"},
        "head_neck": {"head", "neck", "shoulder"},
        "shoulder_girdle": {"neck", "shoulder", "upper_back", "chest"},
        "chest": {"chest", "breast", "upper_back", "abdomen"},
        "back": {"upper_back", "low_back"},
        "abdomen": {"abdomen", "groin", "chest", "low_back"},
        "hip": {"buttock", "groin", "abdomen", "thigh"},
        "pelvis": {"pelvic_floor", "buttock"},
        "thigh": {"thigh", "groin", "buttock"},
        "arm": {"arm"},
        "forearm": {"forearm_hand"},
        "hand": {"forearm_hand"},
        "leg": {"leg_foot", "thigh"},
        "foot": {"leg_foot"},
    }
    for id_, muscle in atlas.load().muscles.items():
        named = {key.partition(" ")[0] for key in consent_areas.of_muscle(id_, "right")}
        assert named <= allowed[muscle.group], id_


def test_it_says_a_key_in_words_and_refuses_one_that_there_is_not() -> None:
    assert consent_areas.words_of("forearm_hand right") == "right forearm and hand"
    assert consent_areas.words_of("neck") == "neck"
    for wrong in ("neck right", "shoulder", "tail", ""):
        with pytest.raises(ConsentAreasError):
            consent_areas.words_of(wrong)


def test_what_is_sensitive_is_what_the_trade_asks_a_consent_of_its_own_for() -> None:
    """Breast, groin, buttock, pelvic floor: common practice."""
    named = {id_ for id_, area in consent_areas.areas().items() if area.sensitive}
    assert named == {"breast", "buttock", "groin", "pelvic_floor"}


def _without_a_muscle(told: dict) -> None:
    del told["muscles"]["soleus"]


def _an_unknown_area(told: dict) -> None:
    told["muscles"]["soleus"]["areas"] = ["calf"]


def _an_unknown_site(told: dict) -> None:
    told["muscles"]["soleus"]["sites"] = {"top": ["thigh"]}


def _an_unknown_muscle(told: dict) -> None:
    told["muscles"]["soles"] = {"areas": ["thigh"]}


def _no_area(told: dict) -> None:
    told["muscles"]["soleus"]["areas"] = []


def _twice(told: dict) -> None:
    told["area"].append(told["area"][0])


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_without_a_muscle, "muscles: say where these are reached: soleus"),
        (_an_unknown_area, "muscle soleus: no such area: calf"),
        (_an_unknown_site, "muscle soleus: has no such site: top"),
        (_an_unknown_muscle, "muscle soles: is not in the atlas"),
        (_no_area, "muscle soleus: at least one area is needed"),
        (_twice, "each with an id of its own"),
    ],
)
def test_it_refuses_a_file_and_names_what_to_mend(spoil, says: str) -> None:
    told = copy.deepcopy(TOLD)
    spoil(told)
    with pytest.raises(ConsentAreasError) as refused:
        consent_areas.read(told)
    assert str(refused.value).startswith(consent_areas.FILE) and says in str(refused.value)

"""Lists of regions under one name, and "anywhere"."""

from __future__ import annotations

import re
from typing import Any

import pytest

from bodymaps import regions
from bodymaps.reasoning import case, condition_words, conditions, flag_rules, items, places
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_rules import FILES

LITTLE = "front:little_palmar"


def drawn(region: str, kind: str = "ache") -> Facts:
    return Facts(case.read({}), Drawn(frozenset({(region, "left", kind)})))


def test_a_name_asks_for_every_region_of_its_list_and_no_other() -> None:
    neck = conditions.read({"drawn": ["neck"]})
    in_list = {one.id for one in regions.names() if neck.holds(drawn(one.id))}
    assert in_list == set(places.known()["neck"].regions)
    assert condition_words.in_words(neck) == "drawn: neck"


def test_anywhere_is_every_region_of_the_body() -> None:
    numb = conditions.read({"drawn": ["anywhere"], "kinds": ["numbness"]})
    assert all(numb.holds(drawn(one.id, "numbness")) for one in regions.names())
    assert not any(numb.holds(drawn(one.id)) for one in regions.names())
    assert condition_words.in_words(numb) == "drawn as numbness: anywhere"


def test_names_and_regions_may_stand_together_and_an_own_name_is_kept() -> None:
    mixed = conditions.read({"drawn": ["middle_finger", LITTLE, LITTLE]})
    assert mixed.told == {"drawn": ["front:middle_palmar", "back:middle_dorsal", LITTLE]}
    both = conditions.read({"drawn": ["head", "neck"]})
    assert both.told["called"] == "head or face or neck"
    assert conditions.read({"drawn": ["head"], "called": "skull"}).told["called"] == "skull"


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        ({"called": "neck"}, "hand: needs called and regions"),
        ({"called": "", "regions": [LITTLE]}, "hand: needs called and regions"),
        ({"called": "hand", "regions": [LITTLE], "side": "left"}, "hand: needs called and regions"),
        ({"called": "hand", "regions": ["front:paw"]}, "hand: no such region: front:paw"),
    ],
)
def test_a_faulty_list_is_refused_with_its_name(told: dict[str, Any], reason: str) -> None:
    with pytest.raises(places.PlacesError, match=f"places.toml: {reason}"):
        places.read({"places": {"hand": told}})


def test_anywhere_cannot_be_made_smaller() -> None:
    with pytest.raises(places.PlacesError, match="anywhere: needs"):
        places.read({"places": {"anywhere": {"called": "anywhere", "regions": [LITTLE]}}})


def test_a_name_that_stands_for_nothing_is_refused() -> None:
    with pytest.raises(conditions.ConditionError, match="no such region, kind or sex: nek"):
        conditions.read({"drawn": ["nek"]})


def test_every_list_is_used() -> None:
    files = (flag_rules.FLAGS, flag_rules.ASKED, *FILES)
    told = "".join((items.FOLDER / file).read_text(encoding="utf-8") for file in files)
    named = set(re.findall(r'"(\w+)"', "".join(re.findall(r"drawn = \[([^\]]*)\]", told))))
    assert set(places.known()) == named

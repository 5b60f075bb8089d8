"""The muscles of a drawing file: what is taken, and what is refused in one line that names the member."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from bodymaps import atlas, drawing_file
from bodymaps.reasoning import case
from bodymaps.reasoning.case import CaseError
from bodymaps.reasoning.felt import Felt, Pressure

SITE = atlas.load().muscles["infraspinatus"].sites[0].id
FULL = {
    "muscle": "infraspinatus",
    "side": "left",
    "site": SITE,
    "band": "yes",
    "spot": True,
    "referral": "NT",
    "recognised": False,
    "twitch": "no",
    "stretch_pain": "yes",
    "stretch_limit": "no",
    "strength": "4",
    "pain": 7,
    "pressure": {"unit": "kgf/cm2", "trials": [2.5, 3], "tip_cm2": 1},
}


def read(*entries: Any) -> tuple[Felt, ...]:
    return case.read({"findings": {"muscles": list(entries)}}).felt


def test_it_takes_everything_that_can_be_found() -> None:
    (felt,) = read(FULL)
    assert (felt.muscle, felt.side, felt.site, felt.pain) == ("infraspinatus", "left", SITE, 7)
    assert felt.signs == {
        "band": "yes",
        "spot": "yes",
        "referral": "NT",
        "recognised": "no",
        "twitch": "no",
        "stretch_pain": "yes",
        "stretch_limit": "no",
        "strength": "4",
    }
    assert felt.pressure == Pressure("kgf/cm2", (2.5, 3.0), 1.0)


def test_what_is_left_out_was_not_recorded() -> None:
    (felt,) = read({"muscle": "infraspinatus", "side": "right"})
    assert felt == Felt("infraspinatus", "right") and not felt.is_examined


def test_it_keeps_the_order_of_examining_beside_the_other_findings() -> None:
    muscles = [{"muscle": name, "side": "right"} for name in ("supinator", "infraspinatus")]
    found = case.read({"findings": {"touch:C6": {"right": "1"}, "muscles": muscles}})
    assert [felt.muscle for felt in found.felt] == ["supinator", "infraspinatus"]
    assert found.findings == {("touch:C6", "right"): "1"}


def test_the_same_muscle_is_taken_for_each_side_and_site() -> None:
    whole, other = {"muscle": "infraspinatus", "side": "left"}, {"muscle": "infraspinatus", "side": "right"}
    assert len(read(FULL, whole, other)) == 3


def test_a_drawing_file_carries_it() -> None:
    told = {"type": "FeatureCollection", "features": [], "findings": {"muscles": [FULL]}}
    assert drawing_file.read(json.dumps(told)).case.felt == read(FULL)
    told["findings"]["muscles"][0] = {**FULL, "band": "perhaps"}  # type: ignore[index]
    with pytest.raises(drawing_file.DrawingError, match=r"findings\.muscles\[0\]\.band: 'perhaps'"):
        drawing_file.read(json.dumps(told))


M = "findings.muscles"
BARE = {"muscle": "infraspinatus", "side": "right"}
REFUSED = [
    ({**BARE, "muscle": "elbow"}, f"{M}[1].muscle: 'elbow' is no muscle of the atlas"),
    ({"side": "right"}, f"{M}[1].muscle: None is no muscle"),
    ({**BARE, "muscle": ["infraspinatus"]}, f"{M}[1].muscle: ['infraspinatus'] is no muscle"),
    ({**BARE, "side": "both"}, f"{M}[1].side: 'both' is not one of right, left"),
    ({"muscle": "infraspinatus"}, f"{M}[1].side: None is not one of"),
    ({**BARE, "site": "nowhere"}, f"{M}[1].site: 'nowhere' is not one of {SITE}"),
    ({**BARE, "band": "maybe"}, f"{M}[1].band: 'maybe' is not one of yes, no, NT"),
    ({**BARE, "band": 1}, f"{M}[1].band: 1 is not one of yes, no, NT"),
    ({**BARE, "band": None}, f"{M}[1].band: None is not one of yes, no, NT"),
    ({**BARE, "twitch": ["yes"]}, f"{M}[1].twitch: ['yes'] is not one of"),
    ({**BARE, "strength": 4}, f"{M}[1].strength: 4 is not one of 0, 1, 2, 3, 4, 5, NT"),
    ({**BARE, "strength": "6"}, f"{M}[1].strength: '6' is not one of"),
    ({**BARE, "pain": 11}, f"{M}[1].pain: must be a whole number, 0 to 10"),
    ({**BARE, "pain": -1}, f"{M}[1].pain: must be a whole number"),
    ({**BARE, "pain": 3.5}, f"{M}[1].pain: must be a whole number"),
    ({**BARE, "pain": True}, f"{M}[1].pain: must be a whole number"),
    ({**BARE, "jump": "yes"}, f"{M}[1].jump: unknown key; taken are muscle, side"),
    ({**BARE, "pressure": 250}, f"{M}[1].pressure: needs unit and trials"),
    ({**BARE, "pressure": {"trials": [250]}}, f"{M}[1].pressure: needs unit and trials"),
    ({**BARE, "pressure": {"unit": "kPa", "trials": [250], "tip": 1}}, f"{M}[1].pressure: needs unit"),
    ({**BARE, "pressure": {"unit": "psi", "trials": [250]}}, f"{M}[1].pressure.unit: 'psi' is not one of"),
    (
        {**BARE, "pressure": {"unit": "kPa", "trials": []}},
        f"{M}[1].pressure.trials: must be a list of 1 to 5",
    ),
    ({**BARE, "pressure": {"unit": "kPa", "trials": [9]}}, f"{M}[1].pressure.trials[0]: must be a number"),
    (
        {**BARE, "pressure": {"unit": "kgf/cm2", "trials": [2.5, 250]}},
        f"{M}[1].pressure.trials[1]: must be a number in kgf/cm2, 0.102 to 20.39",
    ),
    (
        {**BARE, "pressure": {"unit": "kPa", "trials": [math.nan]}},
        f"{M}[1].pressure.trials[0]: must be a number in kPa, 10 to 2000",
    ),
    (
        {**BARE, "pressure": {"unit": "kPa", "trials": [250], "tip_cm2": 0}},
        f"{M}[1].pressure.tip_cm2: must be a number in cm2, 0.1 to 5",
    ),
    ("infraspinatus", f"{M}[1]: must be an object"),
    (FULL, f"{M}[1]: infraspinatus, left, site {SITE} is there twice"),
]


@pytest.mark.parametrize(("entry", "said"), REFUSED)
def test_it_refuses_in_one_line_that_names_the_member(entry: Any, said: str) -> None:
    with pytest.raises(CaseError) as refused:
        read(FULL, entry)
    assert str(refused.value).startswith(said)
    assert "\n" not in str(refused.value)


def test_the_muscles_are_a_list() -> None:
    with pytest.raises(CaseError, match=r"^findings\.muscles: must be a list of objects"):
        case.read({"findings": {"muscles": BARE}})


def test_the_whole_muscle_twice_is_refused() -> None:
    with pytest.raises(CaseError, match="infraspinatus, right is there twice"):
        read(BARE, {**BARE, "site": ""})

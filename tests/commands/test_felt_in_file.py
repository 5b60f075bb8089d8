"""rank_drawing with muscles among the findings: what the criteria make of each stands in the answer."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from bodymaps import drawing_file
from tests.commands.test_atlas_commands import collection, feature, here

ROOT = Path(__file__).resolve().parents[2]
FELT = {
    "muscle": "infraspinatus",
    "side": "right",
    "band": "yes",
    "spot": "yes",
    "referral": "no",
    "recognised": "yes",
}


def told(*muscles: dict[str, Any]) -> str:
    file = json.loads(collection(feature("front:shoulder_anterior")))
    return json.dumps({**file, "findings": {"muscles": list(muscles)}})


def test_the_answer_says_what_the_criteria_make_of_each_muscle() -> None:
    pressure = {"unit": "kgf/cm2", "trials": [2.5], "tip_cm2": 1}
    other = {"muscle": "supinator", "side": "left", "band": "yes", "spot": "yes", "pressure": pressure}
    active, incomplete = json.loads(here("rank_drawing", "-", stdin=told(FELT, other)).stdout)["felt"]
    assert active == {
        "muscle": "infraspinatus",
        "side": "right",
        "site": None,
        "result": "active",
        "count": 2,
        "untested": [],
        "words": "active trigger point, 2 of 3",
        "remark": "",
        "sure": "",
        "pressure": None,
    }
    assert incomplete["result"] == "incomplete" and incomplete["untested"] == ["referral", "recognised"]
    assert incomplete["sure"].startswith("Two of three present")
    assert incomplete["pressure"] == {"kPa": 245.2, "kgf_cm2": 2.5, "trials": 1, "tip_cm2": 1}


def test_the_muscle_hears_of_it_and_the_order_of_the_geometry_stays() -> None:
    before, after = (
        json.loads(here("rank_drawing", "-", stdin=told(*each)).stdout) for each in ((), (FELT,))
    )
    assert before["muscles"] == after["muscles"] and before["felt"] == []
    lines = next(one for one in after["evidence"] if (one["id"], one["side"]) == ("infraspinatus", "right"))
    assert "felt_active" in {line["rule"] for line in lines["for"]}


def test_a_wrong_answer_ends_with_one_line_that_names_it() -> None:
    refused = here("rank_drawing", "-", stdin=told(FELT, {**FELT, "side": "left", "band": "thick"}))
    assert refused.returncode == 2 and refused.stdout == ""
    assert refused.stderr.strip().endswith("findings.muscles[1].band: 'thick' is not one of yes, no, NT")


def test_the_example_for_developers_is_read() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    example = re.search(
        r'```\n(\{"type": "FeatureCollection", "features": \[\.\.\.\].*?)```', text, re.DOTALL
    )
    assert example
    case = drawing_file.read(example[1].replace("[...]", "[]")).case
    assert case.felt and case.findings

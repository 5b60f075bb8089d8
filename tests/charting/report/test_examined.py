"""Vitals and neuro screen in the note: what differs first, the scale by name, nothing taken for normal."""

import pytest

from charting.report import pdf
from charting.report.content import assemble
from tests.charting.report import full, printed


@pytest.fixture
def examined(visit):
    full.find(
        visit,
        **{
            "vital:systolic ": "142",
            "vital:pulse ": "72",
            "reflex:triceps right": "NT: a graze under a plaster",
            "reflex:biceps right": "1",
        },
    )
    return visit


def on_paper(visit, paper="a4"):
    return " ".join(printed.pages(pdf.render(assemble(visit), paper=paper)))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_it_prints_what_differs_before_what_is_alike(examined, paper):
    whole = on_paper(examined, paper)
    places = [
        whole.index(words)
        for words in (
            "Vitals: Blood pressure, upper: 142 mmHg; Pulse: 72 /min.",
            "Light touch (ISNCSCI sensory grades): both sides 2 (normal): C5",
            "Wrist extensors (C6) right 4, left 5",
            "both sides 5 (normal",
            "Biceps (C5, C6) right 1, left 2",
            "right not tested (a graze under a plaster), left 2",
            "Consider the right C6 root:",
            "A test that is not listed was not recorded; nothing at all of: Pin prick",
        )
    ]
    assert places == sorted(places)


def test_it_names_the_scale_and_what_the_grades_mean(examined):
    whole = on_paper(examined)
    assert "(NINDS scale 0 to 4)" in whole
    assert "1 small, below normal, a trace, or only with reinforcement" in whole


def test_a_test_on_one_side_alone_says_that_the_other_is_not_recorded(visit):
    full.find(visit, **{"neck:spurling right": "positive"})
    row = next(row for table in assemble(visit)["screening"]["neuro"] for row in table["rows"])
    assert row["label"]
    assert "Spurling right positive, left not recorded" in on_paper(visit)


def test_four_positive_tests_print_ratio_before_and_after(visit):
    """Wainner et al. 2003, Spine 28:52-62: four of four positive, ratio 30.3; 23 % before."""
    tests = {
        "neck:spurling right": "positive",
        "neck:distraction right": "positive",
        "neck:rotation right": "50",
        "tension:median right": "positive",
    }
    full.find(visit, **tests)
    found = next(one for one in assemble(visit)["screening"]["clusters"] if one["side"] == "right")
    assert (found["ratio"], found["before"], found["after"]) == ("30.3", "23 %", "90 %")
    whole = on_paper(visit)
    assert found["reading"] in whole
    assert found["arithmetic"] in whole
    assert f"[{found['source']}]" in whole
    assert "Wainner" in assemble(visit)["sources"][found["source"] - 1]


def test_nothing_recorded_is_said_and_not_taken_for_normal(blank):
    content = assemble(blank)
    assert (content["screening"]["is_empty"], content["screening"]["fits"]) == (True, [])
    assert "Nothing is recorded." in on_paper(blank)

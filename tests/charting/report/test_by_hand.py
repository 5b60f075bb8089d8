"""Muscles in the note: what was recorded, what the criteria make of it, where it lies on the figure.

Criteria: Fernández-de-las-Peñas and Dommerholt, Pain Med 2018;19:142-50 (the abstract names the three signs
and that an active point is one whose pain the patient knows; two of three as enough: from memory).
1 kgf/cm² is 98.0665 kPa exactly (standard acceleration of gravity, CGPM 1901).
"""

import pytest

from bodymaps.reasoning import felt
from charting.examination.models import MuscleFinding
from charting.report.content import assemble
from tests.charting import recorded


@pytest.fixture
def muscles(whole):
    return whole["muscles"]


def row(muscles, number):
    return next(each for each in muscles["rows"] if each["number"] == number)


def test_it_keeps_every_sign_in_words_with_its_verdict(muscles):
    first = row(muscles, 1)
    assert (first["name"], first["side"], first["at"]) == ("Infraspinatus", "right", "upper belly")
    assert first["signs"]["band"] == {"label": "Taut band", "answer": "yes", "words": "felt"}
    assert (first["result"], first["pain"], first["remark"]) == ("active", 7, "Runs into the thumb.")
    assert first["strength"]["grade"] == "5"


@pytest.mark.parametrize(
    ("number", "result"),
    [
        (1, "active"), (2, "active"), (3, "latent"), (4, "active"), (5, "incomplete"), (6, "tender_spot"),
        (7, "not_met"),
    ],
)  # fmt: skip
def test_the_criteria_decide_row_by_row(muscles, number, result):
    assert row(muscles, number)["result"] == result


def test_what_was_not_tested_is_printed_so_and_never_as_no(muscles):
    fifth = row(muscles, 5)
    assert fifth["cells"][[sign["id"] for sign in muscles["columns"]].index("referral")] == "NT"
    assert "not tested: referred sensation" in fifth["verdict"]


def test_pressure_is_kept_in_both_units_with_its_trials_and_tip(muscles):
    """(210 + 225 + 230) / 3 = 221.67 kPa = 2.26 kgf/cm²."""
    said = row(muscles, 1)["pressure"]
    assert (said["kpa"], said["kgf_cm2"], said["trials"]) == ("221.7", "2.26", ["210", "225", "230"])
    assert (said["unit"], said["tip_cm2"]) == ("kPa", "1")


def test_it_counts_what_was_examined_and_names_what_was_not(muscles):
    assert muscles["counts"] == (
        "9 places examined: 3 active trigger points, 1 latent trigger point, 1 tender spot only, "
        "1 incomplete, 3 without trigger point"
    )
    assert muscles["not_examined"] == ["10 Teres minor, right"]
    assert muscles["incomplete"] == ["5 Trapezius, descending part, right"]
    assert muscles["plain"] == [
        "7 Biceps brachii, right",
        "8 Brachialis, right",
        "9 Infraspinatus, left (upper belly)",
    ]


@pytest.mark.parametrize(
    "more", [{"pain": 1}, {"remark": "Warm."}, {"pressure": recorded.PRESSED}, {"signs": {"twitch": "yes"}},
             {"signs": {"strength": "4"}}],
)  # fmt: skip
def test_only_a_muscle_of_which_nothing_was_found_stands_in_the_sentence(visit, more):
    recorded.feel(visit, [("brachialis", "right", "", "no no no no", None, {}, "")])
    assert not assemble(visit)["muscles"]["has_table"]
    finding = MuscleFinding.objects.get(visit=visit)
    for name, value in more.items():
        setattr(finding, name, {**finding.signs, **value} if name == "signs" else value)
    finding.save()
    found = assemble(visit)["muscles"]
    assert (found["plain"], found["has_table"]) == ([], True)


def test_the_figure_holds_each_examined_place_once_and_no_other(muscles):
    numbers = [mark["number"] for figure in muscles["figures"] for mark in figure["marks"]]
    assert sorted(numbers) == [each["number"] for each in muscles["rows"]]
    assert [figure["view"] for figure in muscles["figures"]] == ["front", "back"]


def test_each_mark_lies_within_the_part_of_the_body_that_is_shown(muscles):
    for figure in muscles["figures"]:
        left, top, width, height = map(float, figure["box"].split())
        for mark in figure["marks"]:
            assert left < float(mark["x"]) < left + width, mark["words"]
            assert top < float(mark["y"]) < top + height, mark["words"]


def test_a_number_stays_legible_on_paper_however_far_the_places_lie_apart(visit):
    """The digits are 38 mm of the figure high: printed, at least 2 mm, about 6 points."""
    far = [("temporalis", "left", ""), ("gastrocnemius", "right", "")]
    recorded.feel(visit, [(*place, "yes yes yes no", 3, {}, "") for place in far])
    for figure in assemble(visit)["muscles"]["figures"]:
        _, _, _, height = map(float, figure["box"].split())
        assert 38 * float(figure["height"].removesuffix("mm")) / height > 2


def test_a_view_without_a_finding_is_not_shown(visit):
    recorded.feel(visit, [("infraspinatus", "right", "upper_belly", "yes yes no no", 3, {}, "")])
    assert [figure["view"] for figure in assemble(visit)["muscles"]["figures"]] == ["back"]


def test_it_cites_the_criteria_and_what_is_published_of_each_sign(whole):
    muscles, sources = whole["muscles"], whole["sources"]
    assert "2018" in sources[muscles["criteria"]["source"] - 1]
    assert [one["label"] for one in muscles["repeatable"]] == [sign["label"] for sign in muscles["columns"]]
    for one in muscles["repeatable"]:
        for said in one["said"]:
            assert said["source"] in sources[said["number"] - 1]


def test_nothing_felt_cites_nothing_and_says_so(visit):
    found = assemble(visit)["muscles"]
    assert (found["rows"], found["figures"], found["criteria"]) == ([], [], None)


def test_it_keeps_the_versions_of_what_it_was_judged_by(whole):
    versions = whole["versions"]
    assert versions["muscle_signs"] == felt.load().version
    names = ("ranges", "joints", "clusters_joints", "examine_next", "certainty")
    assert all(versions[name] for name in names)

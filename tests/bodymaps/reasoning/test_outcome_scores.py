"""Scores worked out: the examples that authors and scoring sheets print."""

import pytest

from bodymaps.reasoning.outcomes import instruments, score, wrong_in


def total(said, answered):
    return {"sum": said, "answered": answered}


def activities(*values, names="ABCDE"):
    return {
        "activities": [{"name": name, "value": value} for name, value in zip(names, values, strict=False)]
    }


TOTALS = [
    # The printed example of a scoring sheet (16 of 45, given as 35.5 %), and the mean-fill rule of the
    # developer's note (Vernon): both rules come to the same, and the raw score is kept for the bands.
    ("ndi", 16, 9, 17.7778, "17.8 of 50 (35.6 %)", "moderate"),
    # Bands of the developer's note, on the raw score, at their edges; worked by hand.
    ("ndi", 4, 10, 4, "4 of 50 (8 %)", "none"),
    ("ndi", 5, 10, 5, "5 of 50 (10 %)", "mild"),
    ("ndi", 14, 10, 14, "14 of 50 (28 %)", "mild"),
    ("ndi", 15, 10, 15, "15 of 50 (30 %)", "moderate"),
    ("ndi", 24, 10, 24, "24 of 50 (48 %)", "moderate"),
    ("ndi", 25, 10, 25, "25 of 50 (50 %)", "severe"),
    ("ndi", 34, 10, 34, "34 of 50 (68 %)", "severe"),
    ("ndi", 35, 10, 35, "35 of 50 (70 %)", "complete"),
    # 4.44 of 50 lies between two printed bands and counts to the higher: a decision of ours.
    ("ndi", 4, 9, 4.4444, "4.4 of 50 (8.9 %)", "mild"),
    # Scoring of the Oswestry index (idcafe.net): 22 of 50, and 16 of 45 with one section missing.
    ("odi", 22, 10, 44, "44 %", "severe"),
    ("odi", 16, 9, 35.5556, "35.6 %", "moderate"),
    # Bands are printed as 0-20, 21-40 and so on. That 20 is the lower and anything above it the higher is a
    # decision of ours; whole answers to ten sections or fewer never fall between two bands.
    ("odi", 10, 10, 20, "20 %", "minimal"),
    ("odi", 8, 8, 20, "20 %", "minimal"),
    ("odi", 9, 8, 22.5, "22.5 %", "moderate"),
    ("odi", 20, 10, 40, "40 %", "moderate"),
    ("odi", 30, 10, 60, "60 %", "severe"),
    ("odi", 40, 10, 80, "80 %", "very severe"),
    ("odi", 41, 10, 82, "82 %", "extreme"),
    # Formula of the scoring page of the short form (zaro.info): (sum/n - 1) x 25; worked by hand.
    ("quickdash", 27, 11, 36.3636, "36.4 of 100", ""),
    ("quickdash", 25, 10, 37.5, "37.5 of 100", ""),
    ("quickdash", 11, 11, 0, "0 of 100", ""),
    ("quickdash", 55, 11, 100, "100 of 100", ""),
    # Sheet of the authors of the DASH: the same formula, at least 27 of 30.
    ("dash", 54, 27, 25, "25 of 100", ""),
    ("dash", 30, 30, 0, "0 of 100", ""),
    ("dash", 150, 30, 100, "100 of 100", ""),
]


def test_it_scores_the_totals_of_licensed_forms_as_their_sheets_do():
    for name, said, answered, value, shown, band in TOTALS:
        found = score(name, total(said, answered))
        row = (name, said, answered)
        assert found.value == pytest.approx(value, abs=5e-5), row
        assert (found.shown, found.band) == (shown, band), row


def test_both_rules_for_a_missing_item_of_the_neck_index_come_to_the_same():
    """Mean-fill (Vernon) and the smaller denominator (the printed sheet), by arithmetic."""
    for said, answered in [(16, 9), (7, 8), (45, 9), (0, 5), (33, 7)]:
        filled = (said + (10 - answered) * said / answered) / 50
        assert score("ndi", total(said, answered)).value == pytest.approx(filled * 50)
        assert said / (5 * answered) == pytest.approx(filled)


@pytest.mark.parametrize(("name", "answered", "needed"), [("quickdash", 9, 10), ("dash", 26, 27)])
def test_too_few_answers_make_no_score_and_it_says_how_many_are_needed(name, answered, needed):
    found = score(name, total(answered * 2, answered))
    assert found.value is None
    assert f"At least {needed}" in found.why_not
    assert str(answered) in found.why_not


def test_missing_items_are_said_and_so_few_that_it_needs_caution():
    assert (
        score("ndi", total(16, 9)).detail == "9 of 10 answered; the missing count as the mean of the others."
    )
    assert "caution" in score("ndi", total(10, 5)).detail
    assert score("ndi", total(10, 10)).detail == ""


# A sum that no answers can make. DASH items are from 1 to 5: a sum below the number answered is impossible.
IMPOSSIBLE = [
    ("dash", 26, 27, "sum", "27 to 135"),
    ("dash", 151, 30, "sum", "30 to 150"),
    ("quickdash", 56, 11, "sum", "11 to 55"),
    ("ndi", 46, 9, "sum", "0 to 45"),
    ("odi", -1, 10, "sum", "0 to 50"),
    ("odi", 20, 11, "answered", "1 to 10"),
    ("odi", 20, 0, "answered", "1 to 10"),
    ("ndi", 16.5, 9, "sum", "0 to 45"),
    ("ndi", True, 9, "sum", "0 to 45"),
    ("ndi", "16", 9, "sum", "0 to 45"),
]


def test_a_sum_that_cannot_be_is_refused_with_what_can_be():
    for name, said, answered, field, words in IMPOSSIBLE:
        wrong = wrong_in(name, total(said, answered))
        assert set(wrong) == {field}, (name, said, answered)
        assert words in wrong[field].replace("from ", ""), wrong
        assert score(name, total(said, answered)).value is None


# Bands of the scoring page of HL7 Europe: 0, 1-3, 4-6, 7-9, 10.
SEVERITY = ["none", *["mild"] * 3, *["moderate"] * 3, *["severe"] * 3, "worst"]


def test_a_rating_of_pain_has_its_word():
    for rating, band in enumerate(SEVERITY):
        assert score("nprs", {"now": rating}).band == band
    assert score("nprs", {"now": 6, "average": 2}).band == "mild"


def test_a_rating_beyond_the_scale_is_refused():
    for value in (-1, 11, 4.5, "4", True):
        assert set(wrong_in("nprs", {"worst": value})) == {"worst"}
    assert "usual" in wrong_in("nprs", {"usual": 3})


def test_activities_are_their_mean_and_fewer_than_three_is_said():
    """Stratford 1995: sum over number of activities, three to five of them; (3, 5, 4) worked by hand."""
    assert score("psfs", activities(3, 5, 4)).value == 4
    assert score("psfs", activities(3, 5, 4)).detail == ""
    assert score("psfs", activities(3, 6)).value == 4.5
    assert "Mean of 2 only" in score("psfs", activities(3, 6)).detail
    assert score("psfs", activities(None, None)).value is None
    assert score("psfs", activities(3, 5, None)).value == 4


def test_activities_need_names_of_their_own_and_are_five_at_most():
    assert wrong_in("psfs", activities(*[1] * 6, names="ABCDEF")).keys() == {"activities"}
    assert wrong_in("psfs", activities(1, 2, names=["Stairs", "stairs "])).keys() == {"activity_2"}
    assert wrong_in("psfs", activities(1, names=["  "])).keys() == {"activity_1"}
    assert wrong_in("psfs", activities(1, 11)).keys() == {"activity_2"}


def test_the_three_ratings_are_a_mean_or_nothing():
    """Krebs 2009: the mean of three; (7, 8, 6) worked by hand. With one missing no score, and why."""
    assert score("peg", {"pain": 7, "enjoyment": 8, "activity": 6}).value == 7
    assert score("peg", {"pain": 5, "enjoyment": 5, "activity": 5}).value == 5
    found = score("peg", {"pain": 7, "activity": 6})
    assert found.value is None
    assert "enjoyment" in found.why_not


def test_the_two_numberings_of_the_patients_judgement_run_in_opposite_directions():
    """IMMPACT order and Hurst and Bolton 2004 (both from memory); 1 and 2 as improved: Farrar 2001."""
    better = [score("pgic", {"value": value}, "impact").detail.startswith("Counts") for value in range(1, 8)]
    assert better == [True, True, False, False, False, False, False]
    hurst = [score("pgic", {"value": value}, "hurst").detail.startswith("Counts") for value in range(1, 8)]
    assert hurst == [False, False, False, False, False, True, True]
    assert wrong_in("pgic", {"value": 2}).keys() == {"form"}
    assert wrong_in("pgic", {"value": 8}, "impact").keys() == {"value"}


def test_nothing_answered_is_no_score_and_no_error():
    for name, instrument in instruments().items():
        form = instrument.forms[0].id if instrument.forms else ""
        assert wrong_in(name, {}, form) == {}
        assert score(name, {}, form).value is None
        assert score(name, {}, form).why_not

"""What the criteria make of a finding: Fernández-de-las-Peñas C, Dommerholt J, Pain Med 2018;19:142-50. The
three criteria, and recognition as what tells active from latent: abstract, checked. Two of the three are
enough: from memory.
"""

from __future__ import annotations

from itertools import product

import pytest

from bodymaps.reasoning.felt import (
    ACTIVE,
    ANSWERS,
    CRITERIA,
    INCOMPLETE,
    LATENT,
    NOT_MET,
    NOTHING,
    TENDER_SPOT,
    Felt,
    Verdict,
    verdict,
)

FOUR = (*CRITERIA, "recognised")
EVERY = list(product(ANSWERS, repeat=4))
SHORT = {"Y": "yes", "N": "no", "-": "NT"}


def of(*answers: str) -> Verdict:
    """Of band, spot, referral, recognised."""
    return verdict(Felt("infraspinatus", "right", signs=dict(zip(FOUR, answers, strict=True))))


# Band, spot, referral, recognised: the table of the consensus' logic.
TABLE = [
    ("YYYY", ACTIVE, 3, ""),
    ("YYNY", ACTIVE, 2, ""),
    ("YYNN", LATENT, 2, ""),
    ("NYYY", ACTIVE, 2, "band not felt"),
    ("YNNN", NOT_MET, 1, ""),
    ("NYNY", TENDER_SPOT, 1, ""),
    ("YY-Y", INCOMPLETE, 2, ""),
]


@pytest.mark.parametrize(("row", "result", "count", "remark"), TABLE)
def test_it_decides_as_the_table_of_the_consensus(row: str, result: str, count: int, remark: str) -> None:
    found = of(*(SHORT[one] for one in row))
    assert (found.result, found.count, found.remark) == (result, count, remark)


@pytest.mark.parametrize("answers", EVERY)
def test_with_a_criterion_not_tested_it_is_incomplete_and_names_it(answers: tuple[str, ...]) -> None:
    untested = tuple(sign for sign, one in zip(CRITERIA, answers, strict=False) if one == "NT")
    found = of(*answers)
    assert (found.result == INCOMPLETE) or not untested
    assert set(untested) <= set(found.untested)
    assert all(word in found.words for word in ("not tested",) * bool(untested))


@pytest.mark.parametrize("answers", EVERY)
def test_nothing_that_was_not_tested_is_taken_for_no(answers: tuple[str, ...]) -> None:
    """Where NT and no give the same complete answer, yes gives it too: the sign did not decide."""
    for place, one in enumerate(answers):
        if one != "NT" or of(*answers).result == INCOMPLETE:
            continue
        as_no, as_yes = (
            of(*(answers[:place] + (other,) + answers[place + 1 :])).result for other in ("no", "yes")
        )
        assert as_no == as_yes


@pytest.mark.parametrize("answers", [each for each in EVERY if "NT" not in each])
def test_two_of_three_make_a_trigger_point_and_what_the_patient_knows_makes_it_active(
    answers: tuple[str, ...],
) -> None:
    found = of(*answers)
    assert found.is_met == (answers[:3].count("yes") >= 2)
    if found.is_met:
        assert found.result == (ACTIVE if answers[3] == "yes" else LATENT)
    else:
        assert found.result == (TENDER_SPOT if answers[1] == "yes" else NOT_MET)


@pytest.mark.parametrize("answers", EVERY)
def test_what_is_sure_stays_true_whatever_is_tested_later(answers: tuple[str, ...]) -> None:
    found = of(*answers)
    choices = [("yes", "no") if one == "NT" else (one,) for one in answers]
    later = {of(*each).is_met for each in product(*choices)}
    assert ("enough for a trigger point" in found.sure) <= (later == {True})
    assert ("no trigger point" in found.sure) == (found.result == INCOMPLETE and later == {False})


def test_it_says_what_is_sure_already() -> None:
    assert of("yes", "yes", "NT", "yes").sure == (
        "Two of three present, which is enough for a trigger point; the pain is known to the patient."
    )
    assert of("yes", "yes", "no", "NT").sure.endswith("active or latent is open.")
    assert of("no", "no", "NT", "NT").sure.startswith("Fewer than two of three")
    assert of("yes", "yes", "yes", "yes").sure == ""


def test_recognition_is_not_missed_where_it_decides_nothing() -> None:
    assert of("no", "no", "no", "NT").result == NOT_MET
    assert of("no", "yes", "no", "NT").result == TENDER_SPOT
    assert of("yes", "no", "NT", "NT").untested == ("referral", "recognised")


def test_what_was_not_recorded_is_not_tested() -> None:
    assert verdict(Felt("infraspinatus", "right")).result == NOTHING
    only_band = verdict(Felt("infraspinatus", "right", signs={"band": "yes"}))
    assert only_band.result == INCOMPLETE and only_band.untested == ("spot", "referral", "recognised")


@pytest.mark.parametrize("sign", ["twitch", "stretch_pain", "stretch_limit", "strength"])
def test_a_twitch_a_stretch_and_strength_change_nothing_of_it(sign: str) -> None:
    three = {"band": "yes", "spot": "yes", "referral": "no", "recognised": "no"}
    for answer in ANSWERS:
        felt = Felt("infraspinatus", "right", signs={**three, sign: answer})
        assert verdict(felt) == of(*three.values())
